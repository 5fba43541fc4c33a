"""The text of a room file of which each part knows the cell of the table that it comes from.

The reader of room files finds all that is wrong in it, as in any room file; its errors are then told of the cells.
"""

from __future__ import annotations

import re
from bisect import bisect_right

from model.bench.tables.table_faults import NOWHERE, Cell, Faults
from model.room.file.errors import FileError

_LINE = re.compile(r"'[^']*'|\bline (\d+)\b")  # what stands in quotes is a name


class SourcedText:
    """Lines, and for each the columns from which on its text comes from a cell."""

    def __init__(self) -> None:
        self.lines: list[str] = []
        self._sources: list[list[tuple[int, Cell]]] = []

    def add(self, *parts: str | tuple[str, Cell]) -> None:
        """One line; a part that comes from a cell stands with it."""
        text = ""
        sources: list[tuple[int, Cell]] = []
        for part in parts:
            if isinstance(part, str):
                text += part
            else:
                sources.append((len(text), part[1]))
                text += part[0]
        self.lines.append(text)
        self._sources.append(sources)

    @property
    def text(self) -> str:
        """The whole text."""
        return "\n".join(self.lines) + "\n"

    def cell(self, line: int, column: int = 0) -> Cell:
        """The cell of a place, both counted from 1: the one that begins there or last before it, else the line's first."""
        sources = self._sources[line - 1] if 0 < line <= len(self._sources) else []
        if not sources:
            return NOWHERE
        at = bisect_right([start for start, _ in sources], column - 1)
        return sources[max(at - 1, 0)][1]

    def tell(self, errors: tuple[FileError, ...], faults: Faults) -> None:
        """Notes each error of the room file at the cell that it comes from."""
        for error in errors:
            faults.error(self.cell(error.line, error.column), _LINE.sub(self._row, error.text))

    def _row(self, found: re.Match[str]) -> str:
        if found[1] is None:
            return found[0]
        cell = self.cell(int(found[1]))
        return f"row {cell.row + 1}" if cell is not NOWHERE else "another row"
