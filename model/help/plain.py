"""A topic as plain text for a terminal: wrapped to its width, with no character that steers it."""

from __future__ import annotations

import textwrap
from collections.abc import Callable, Iterator, Sequence

from model.help.topic import Block, Example, Paragraph, Points, Section, Table, Topic, split_code
from model.text.clean import shown

WIDTH = 80
NARROWEST = 40  # below that, words would be cut to pieces
_GAP = 2  # spaces between columns
_SHORT = 30  # a column no wider than this is not wrapped where there is room for the others
_NO_BREAK = "\N{NO-BREAK SPACE}"  # textwrap breaks lines at plain spaces alone


def as_plain(topic: Topic, width: int = WIDTH) -> list[str]:
    """The lines of a topic. No line is wider than ``width`` but those of examples, which stand as they are."""
    width = max(width, NARROWEST)
    lines = [*_heading(shown(topic.title), "=", width)]
    for block in topic.blocks:
        lines += ["", *block_lines(block, width)]
    return lines


def block_lines(block: Block, width: int = WIDTH) -> list[str]:
    """The lines of one block."""
    return [shown(line) for line in _WRITERS[type(block)](block, width)]


def _heading(title: str, line: str, width: int) -> list[str]:
    lines = _wrapped(title, width)
    return [*lines, line * max(map(len, lines), default=0)]


def _section(block: Section, width: int) -> Iterator[str]:
    yield from _heading(block.title, "-", width)


def _paragraph(block: Paragraph, width: int) -> Iterator[str]:
    yield from _wrapped(_quoted(block.text), width)


def _points(block: Points, width: int) -> Iterator[str]:
    for item in block.items:
        first, *rest = _wrapped(_quoted(item), width - 2)
        yield f"- {first}"
        yield from (f"  {line}" for line in rest)


def _example(block: Example, width: int) -> Iterator[str]:
    for line in block.text.rstrip("\n").split("\n"):
        yield f"    {line}".rstrip()


def _table(block: Table, width: int) -> Iterator[str]:
    rows = [[_cell(cell) for cell in row] for row in (block.head, *block.rows)]
    widths = column_widths(rows, width)
    for number, row in enumerate(rows):
        cells = [_wrapped(cell, size) or [""] for cell, size in zip(row, widths, strict=True)]
        for at in range(max(map(len, cells))):
            parts = [(cell[at] if at < len(cell) else "").ljust(size) for cell, size in zip(cells, widths, strict=True)]
            yield (" " * _GAP).join(parts).rstrip()
        if not number:
            yield (" " * _GAP).join("-" * size for size in widths)


_WRITERS: dict[type, Callable[..., Iterator[str]]] = {
    Section: _section,
    Paragraph: _paragraph,
    Points: _points,
    Table: _table,
    Example: _example,
}


def column_widths(rows: Sequence[Sequence[str]], width: int) -> list[int]:
    """How wide each column of a table is, so that all fit: short columns whole, the others by how much they hold.

    >>> column_widths([["word", "a long story of many words"]], 20)
    [4, 14]
    """
    natural = [max(map(len, column)) for column in zip(*rows, strict=True)]
    left = width - _GAP * (len(natural) - 1)
    if sum(natural) <= left:
        return natural
    least = [
        min(size, max(len(word) for cell in column for word in (*cell.split(), "")))
        for size, column in zip(natural, zip(*rows, strict=True), strict=True)
    ]
    kept = [size <= _SHORT for size in natural]
    wanted = [size if keep else low for size, keep, low in zip(natural, kept, least, strict=True)]
    if sum(wanted) > left:  # not even the short ones can stand whole
        wanted = least
    if sum(wanted) > left:  # not even the longest words can
        return _shares(natural, left)
    more = [size - low for size, low in zip(natural, wanted, strict=True)]
    return [low + extra for low, extra in zip(wanted, _shares(more, left - sum(wanted)), strict=True)]


def _shares(wishes: Sequence[int], left: int) -> list[int]:
    """What is left, given out in proportion to the wishes; all of it, to the last cell."""
    given, so_far, total = [], 0, sum(wishes)
    for wish in wishes:
        before, so_far = so_far, so_far + wish
        given.append(left * so_far // total - left * before // total)
    return given


def _wrapped(text: str, width: int) -> list[str]:
    lines = textwrap.wrap(text, max(width, 1), break_on_hyphens=False)
    return [line.replace(_NO_BREAK, " ") for line in lines]


def _quoted(text: str) -> str:
    """What is typed stands in quotes, and is not broken where it is short."""
    return "".join(f"'{_kept_whole(part)}'" if typed else part for part, typed in split_code(text))


def _cell(text: str) -> str:
    """A cell: what is typed stands in quotes among words, and bare where the cell holds nothing else."""
    parts = split_code(text)
    alone = all(typed or part == ", " for part, typed in parts)
    return "".join(part for part, _ in parts) if alone else _quoted(text)


def _kept_whole(part: str) -> str:
    return part.replace(" ", _NO_BREAK) if len(part) < NARROWEST // 2 else part
