"""Tables for a spreadsheet and back: comma-separated text (RFC 4180), written so that no cell is run as a formula."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterable, Sequence

# What makes a spreadsheet take a cell for a formula: these at its start, their wide forms, and white space before them.
_FORMULA = re.compile(r"\s*[=+\-@\uff1d\uff0b\uff0d\uff20|%']")
DELIMITERS = ",;\t"
_SAID = re.compile(r'"?sep=([,;\t])"?\r?\n', re.IGNORECASE)  # a first line by which some spreadsheets are told
_LOOKED_AT = 50  # lines by which the delimiter is found
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

    UTF-8 or UTF-16 by the mark at its start, else by what decodes, Latin-1 last. Raises :class:`NotATable` where there is none.
    """
    text = _decoded(data)
    if not text.strip():
        raise NotATable("the file is empty")
    if "\0" in text:
        raise NotATable("it is binary, not text")
    said = _SAID.match(text)
    delimiter = said[1] if said else max(DELIMITERS, key=lambda each: _cells_in_a_row(text, each))
    reader = csv.reader(io.StringIO(text[said.end() :] if said else text, newline=""), delimiter=delimiter, strict=True)
    rows: list[list[str]] = [[]] if said else []  # that row is counted, so that a row's number is the spreadsheet's
    try:
        rows += reader
    except csv.Error as error:
        raise NotATable(f"it is no table from its row {len(rows) + 1} on: {error}") from None
    return [[from_cell(cell) for cell in row] for row in rows]


def _cells_in_a_row(text: str, delimiter: str) -> int:
    """How many cells most of the first rows have, if this parts them: decimal commas and commas in names do not count."""
    sample = "\n".join(text.splitlines()[:_LOOKED_AT])
    counts = sorted(len(row) for row in csv.reader(io.StringIO(sample, newline=""), delimiter=delimiter) if any(row))
    return counts[len(counts) // 2] if counts else 0


def _decoded(data: bytes) -> str:
    for mark, encoding in _BYTE_ORDER.items():
        if data.startswith(mark):
            try:
                return data.decode(encoding)
            except UnicodeDecodeError as error:
                raise NotATable(f"it begins as {encoding.upper()} and is not: {error.reason}") from None
    pair = data[:2]
    if len(pair) == 2 and pair.count(0) == 1:  # UTF-16 without its mark: the first letter of a heading has a byte 0
        try:
            return data.decode("utf-16-le" if pair[1] == 0 else "utf-16-be")
        except UnicodeDecodeError as error:
            raise NotATable(f"it begins as UTF-16 and is not: {error.reason}") from None
    try:
        return data.decode("utf-8")
    except UnicodeDecodeError:
        return data.decode("latin-1")
