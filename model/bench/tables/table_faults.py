"""What is wrong with a table of jacks, and what had to be guessed in it: each with its row and its column."""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import NamedTuple

from model.text.clean import quoted, shown
from model.text.folding import fold_names


class Cell(NamedTuple):
    """A cell's text and place; row and column count from 0, and the column is None where a whole row is meant."""

    text: str
    row: int
    column: int | None = None


NOWHERE = Cell("", -1)
_NUMBERS = re.compile(r"\d+|\b[A-Z]\b")  # what a range may stand for


class Fault(NamedTuple):
    """Something wrong in a table, or guessed: a spreadsheet's row from 1, its column's letters and heading, and what it is."""

    row: int
    column: str
    heading: str
    text: str

    def __str__(self) -> str:
        row = f"row {self.row}" if self.row else ""
        column = f"column {self.column}" if self.column else ""
        heading = f" ({shown(self.heading)})" if self.heading and self.column else ""
        place = ", ".join(filter(None, (row, f"{column}{heading}" if column else "")))
        return f"{place}: {shown(self.text)}" if place else shown(self.text)

    def to_dict(self) -> dict[str, object]:
        """As JSON: row and column are null where the whole table is meant."""
        return {"row": self.row or None, "column": self.column or None, "heading": self.heading, "text": self.text}


def fault_lines(faults: Iterable[Fault]) -> list[str]:
    """Errors or guesses in words, those alike in one column told together.

    >>> fault_lines([Fault(row, "C", "device", f"'Pre {row} in' is 'line in'") for row in (2, 3, 4)])
    ["rows 2 to 4, column C (device): 'Pre {2-4} in' is 'line in'"]
    """
    alike: dict[tuple[str, str, str], list[Fault]] = {}
    for fault in faults:
        alike.setdefault((fault.column, fault.heading, _NUMBERS.sub("#", fault.text)), []).append(fault)
    lines: list[tuple[int, str]] = []
    for (column, heading, _), members in alike.items():
        rows: dict[str, list[int]] = {}
        for fault in members:
            rows.setdefault(fault.text, []).append(fault.row)
        texts = list(rows)
        at = 0
        for fold in fold_names(texts):
            within = [row for text in texts[at : at + fold.count] for row in rows[text]]
            at += fold.count
            first, last = min(within), max(within)
            words = str(Fault(first, column, heading, fold.template))
            lines.append(
                (first, words if first == last else words.replace(f"row {first}", f"rows {first} to {last}", 1))
            )
    return [words for _, words in sorted(lines)]


class TableErrors(Exception):
    """A table from which no room can be made: ``faults`` are all that were found, in the order of their places."""

    def __init__(self, faults: list[Fault]) -> None:
        super().__init__(faults)
        self.faults = faults

    def __str__(self) -> str:
        return "\n".join(map(str, self.faults))


def letters(column: int) -> str:
    """A column as spreadsheets count them.

    >>> letters(0), letters(27)
    ('A', 'AB')
    """
    text = ""
    column += 1
    while column:
        column, letter = divmod(column - 1, 26)
        text = chr(ord("A") + letter) + text
    return text


class Faults:
    """The faults of one table as they are found."""

    def __init__(self, headings: dict[int, str]) -> None:
        self.headings = headings
        self.errors: list[Fault] = []
        self.guesses: list[Fault] = []

    def _at(self, cell: Cell, text: str) -> Fault:
        column = "" if cell.column is None else letters(cell.column)
        heading = "" if cell.column is None else self.headings.get(cell.column, "")
        return Fault(cell.row + 1, column, heading, text)

    def error(self, cell: Cell, text: str) -> None:
        """Notes that something is wrong with a cell."""
        self.errors.append(self._at(cell, text))

    def guess(self, cell: Cell, text: str) -> None:
        """Notes that something was guessed of a cell."""
        self.guesses.append(self._at(cell, text))


def twice(what: str, other: Cell) -> str:
    """That something stands in an earlier row already."""
    return f"{what} is given twice: row {other.row + 1} has {quoted(other.text) if other.text else 'it'} already"
