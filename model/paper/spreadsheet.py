"""Tables for a spreadsheet and back: comma-separated text (RFC 4180), written so that no cell is run as a formula."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterable, Sequence

# What makes a spreadsheet take a cell for a formula: these at its start, their wide forms, and white space before them.
_FORMULA = re.compile(r"\s*[=+\-@\uff1d\uff0b\uff0d\uff20|%']")
_BYTE_ORDER = {b"\xef\xbb\xbf": "utf-8-sig", b"\xff\xfe": "utf-16", b"\xfe\xff": "utf-16"}


def as_cell(text: str) -> str:
    """A text as it stands in a cell: one that a spreadsheet would run, or that begins so already, gets an apostrophe.

    >>> as_cell("=1+2"), as_cell("Pre 4 in")
    ("'=1+2", 'Pre 4 in')
    """
    return f"'{text}" if _FORMULA.match(text) else text


def from_cell(cell: str) -> str:
    """The text of a cell: what :func:`as_cell` wrote, without white space around it.

    >>> from_cell(" '=1+2 ")
    '=1+2'
    """
    text = cell.strip()
    return text[1:] if text.startswith("'") and _FORMULA.match(text[1:]) else text


def write_rows(rows: Iterable[Sequence[str]]) -> str:
    """Rows as comma-separated text; an empty row parts two tables."""
    out = io.StringIO()
    writer = csv.writer(out, quoting=csv.QUOTE_ALL, lineterminator="\r\n")  # RFC 4180
    writer.writerows([as_cell(cell) for cell in row] for row in rows)
    return out.getvalue()


class NotATable(ValueError):
    """Bytes that are no table; the text says why."""


def read_rows(data: bytes) -> list[list[str]]:
    """The rows of a spreadsheet's file, cells without white space around them: comma, semicolon or tab, whichever parts most.

    UTF-8 or UTF-16 by the mark at its start, else UTF-8, else Latin-1. Raises :class:`NotATable` where there are no rows.
    """
    text = _decoded(data)
    if not text.strip():
        raise NotATable("the file is empty")
    if "\0" in text:
        raise NotATable("it is binary, not text")
    first = "\n".join(text.splitlines()[:20])
    delimiter = max(",;\t", key=first.count)
    try:
        rows = list(csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True))
    except csv.Error as error:
        raise NotATable(f"it is no table: {error}") from None
    return [[from_cell(cell) for cell in row] for row in rows]


def _decoded(data: bytes) -> str:
    for mark, encoding in _BYTE_ORDER.items():
        if data.startswith(mark):
            try:
                return data.decode(encoding)
            except UnicodeDecodeError as error:
                raise NotATable(f"it begins as {encoding.upper()} and is not: {error.reason}") from None
    try:
        return data.decode("utf-8")
    except UnicodeDecodeError:
        return data.decode("latin-1")
