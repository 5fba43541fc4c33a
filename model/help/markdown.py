"""A topic as Markdown, with the tables that most readers of it know."""

from __future__ import annotations

import re
from collections.abc import Callable

from model.help.topic import Block, Example, Paragraph, Points, Section, Table, Topic, split_code

_SIGNS = re.compile(r"([\\*_<\[\]])")  # what Markdown would take for its own outside of code


def as_markdown(topic: Topic, level: int = 1) -> str:
    """The topic as a page. ``level``: of its title; its sections are one deeper."""
    parts = [f"{'#' * level} {_text(topic.title)}\n"]
    parts += [block_markdown(block, level + 1) for block in topic.blocks]
    return "\n".join(parts)


def block_markdown(block: Block, level: int = 2) -> str:
    """One block, with the end of its last line; ``level``: of a section's heading."""
    if isinstance(block, Section):
        return f"{'#' * level} {_text(block.title)}\n"
    return _WRITERS[type(block)](block)


def _paragraph(block: Paragraph) -> str:
    return f"{_text(block.text)}\n"


def _points(block: Points) -> str:
    return "".join(f"- {_text(item)}\n" for item in block.items)


def _table(block: Table) -> str:
    lines = [block.head, ("---",) * len(block.head), *block.rows]
    return "".join("| " + " | ".join(_cell(cell) for cell in line) + " |\n" for line in lines)


def _example(block: Example) -> str:
    return f"```{block.language}\n{block.text.rstrip()}\n```\n"


_WRITERS: dict[type, Callable[..., str]] = {
    Paragraph: _paragraph,
    Points: _points,
    Table: _table,
    Example: _example,
}


def _text(text: str) -> str:
    return "".join(f"`{part}`" if typed else _SIGNS.sub(r"\\\1", part) for part, typed in split_code(text))


def _cell(text: str) -> str:
    return _text(text).replace("|", "\\|")
