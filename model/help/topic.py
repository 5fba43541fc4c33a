"""A topic of the help as data. Whatever shows one renders it: a terminal, a file in Markdown, the screen.

In the words of a paragraph, a point or a cell, what stands between two backticks is written as it is typed.
"""

from __future__ import annotations

import re
from typing import NamedTuple


class Section(NamedTuple):
    """A heading within a topic."""

    title: str


class Paragraph(NamedTuple):
    """Some sentences."""

    text: str


class Points(NamedTuple):
    """A list of short paragraphs."""

    items: tuple[str, ...]


class Table(NamedTuple):
    """Rows of cells under a head; each row has as many cells as the head."""

    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


class Example(NamedTuple):
    """Text that is shown as it is, line by line. ``language``: what a Markdown reader may colour it as."""

    text: str
    language: str = ""


Block = Section | Paragraph | Points | Table | Example


class Topic(NamedTuple):
    """What is to be read on one subject."""

    title: str
    blocks: tuple[Block, ...]


_CODE = re.compile(r"`([^`]+)`")


def split_code(text: str) -> list[tuple[str, bool]]:
    """The words of a block in order, each with whether it is written as it is typed.

    >>> split_code("Type `undo`.")
    [('Type ', False), ('undo', True), ('.', False)]
    """
    return [(part, at % 2 == 1) for at, part in enumerate(_CODE.split(text)) if part]


def code(*words: str) -> str:
    """Words to be typed as they are, with commas between them.

    >>> code("undo", "redo")
    '`undo`, `redo`'
    """
    return ", ".join(f"`{word}`" for word in words)


def ohms(value: float) -> str:
    """An impedance in a table.

    >>> ohms(1_000_000.0)
    '1 000 000 ohm'
    """
    return f"{value:,.10g} ohm".replace(",", " ")
