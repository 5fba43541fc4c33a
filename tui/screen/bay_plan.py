"""Where each bay, and in it each jack, is drawn: the bays normalized to the width and set side by side where they fit.

A bay that is wider than the screen is normalized into equal parts, one under the other. Nothing here draws.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import NamedTuple

from model.room.wiring import Bay, Room

TITLE, NUMBERS, ROW, NORMALS, NAMES = "title", "numbers", "row", "normals", "names"
GAP = 2  # columns between bays side by side
LONGEST_LABEL = 7  # columns for a row's name
NARROWEST_CELL = 3
HIGH_ENOUGH_FOR_NAMES = 20  # lines: more than one normalized bay with its names
MAX_FOLDS_WANTED = 2  # a bay in more parts no longer looks like the bay: only where the width forces it


class BlockLine(NamedTuple):
    """One line of a bay's block. ``row`` counts the bay's rows; for normals it is the row above them."""

    kind: str
    first: int = 0  # the fold's first point
    points: int = 0
    row: int = 0


@dataclass(frozen=True, slots=True)
class Block:
    """One bay on the field, at column ``x`` and line ``y``. Each fold has at most ``fold`` points."""

    bay: Bay
    x: int
    y: int
    width: int
    fold: int
    lines: tuple[BlockLine, ...]


@lru_cache(256)
def block_lines(points: int, fold: int, rows: int, names: bool = False) -> tuple[BlockLine, ...]:
    """The lines of a bay: its title, then for each fold the point numbers and the rows with their normals between.

    With ``names`` a strip stands above the first row and one below the last.
    """
    lines = [BlockLine(TITLE)]
    for first in range(1, points + 1, fold):
        count = min(fold, points - first + 1)
        if names:
            lines.append(BlockLine(NAMES, first, count, 0))
        lines.append(BlockLine(NUMBERS, first, count))
        for row in range(rows):
            lines.append(BlockLine(ROW, first, count, row))
            # the line under a bay's only row tells of its cross normals
            if row < rows - 1 or rows == 1:
                lines.append(BlockLine(NORMALS, first, count, row))
        if names and rows > 1:
            lines.append(BlockLine(NAMES, first, count, rows - 1))
    return tuple(lines)


def fold_of(points: int, most: int) -> int:
    """Points in each of the fewest equal parts that have at most ``most``.

    >>> fold_of(48, 25), fold_of(48, 20), fold_of(24, 25)
    (24, 16, 24)
    """
    parts = -(-points // max(1, most))
    return -(-points // parts)


class BayPlan:
    """All bays of a room on a field of a given width; ``height`` is what it wants to be, and may be scrolled.

    ``names``: whether the strips with names are wanted; None shows them where there is height for them.
    """

    def __init__(self, room: Room, width: int, height: int, cell: int, names: bool | None = None) -> None:
        self.room = room
        self.cell = cell
        longest = max((len(row.name) for row in room.rows), default=1)
        self.label = min(longest, LONGEST_LABEL) + 1
        self.blocks: list[Block] = []
        self.shelves: list[list[Block]] = []
        self.height = 0
        self.names = bool(names)
        most = self._best(width, height)
        if names is None:
            without = self._shelved(most, width)[1]
            self.names = True
            most_with = self._best(width, height)
            with_names = self._shelved(most_with, width)[1]
            self.names = with_names <= height or (without > height >= HIGH_ENOUGH_FOR_NAMES)
            most = most_with if self.names else most
        self._place(most, width)
        self._shelf_starts = [shelf[0].y for shelf in self.shelves]

    def _best(self, width: int, height: int) -> int:
        """The most points a fold may have: all, if everything is seen then; or what makes the field least high."""
        across = max(1, (width - self.label) // self.cell)
        longest = max((bay.points for bay in self.room.bays), default=1)
        wanted = {fold_of(longest, -(-longest // parts)) for parts in range(1, MAX_FOLDS_WANTED + 1)}
        tries = sorted({min(points, across) for points in wanted}, reverse=True)
        heights = {points: self._shelved(points, width)[1] for points in tries}
        for points in tries:
            if heights[points] <= height:
                return points
        return min(tries, key=lambda points: (heights[points], -points))

    def _shelved(self, most: int, width: int) -> tuple[list[list[Block]], int]:
        """The bays in the room's order on shelves of a width, and the height of all shelves."""
        shelves: list[list[Block]] = []
        x = y = height = 0
        for bay in self.room.bays:
            fold = fold_of(bay.points, most)
            lines = block_lines(bay.points, fold, len(bay.rows), self.names)
            wide = min(width, self.label + self.cell * fold)
            if not shelves or x + wide > width:
                shelves.append([])
                x, y, height = 0, y + height, 0
            shelves[-1].append(Block(bay, x, y, wide, fold, lines))
            x += wide + GAP
            height = max(height, len(lines))
        return shelves, y + height

    def _place(self, most: int, width: int) -> None:
        self.shelves, self.height = self._shelved(most, width)
        self.blocks = [block for shelf in self.shelves for block in shelf]

    def blocks_at(self, y: int) -> Sequence[Block]:
        """The bays that a line of the field runs through, from left to right."""
        at = bisect_right(self._shelf_starts, y) - 1
        if at < 0:
            return ()
        return [block for block in self.shelves[at] if y - block.y < len(block.lines)]

    def place_of(self, jack: int) -> tuple[int, int]:
        """Column and line of the first cell of a jack."""
        room = self.room
        row = room.rows[room.jacks[jack].row]
        block = self.blocks[row.bay]
        part, within = divmod(room.jacks[jack].point - 1, block.fold)
        order = block.bay.rows.index(row.index)
        lines_a_part = (len(block.lines) - 1) // -(-block.bay.points // block.fold)
        above = 1 + self.names  # the fold's lines before its first row
        return block.x + self.label + within * self.cell, block.y + 1 + part * lines_a_part + above + 2 * order

    def jack_at(self, x: int, y: int) -> int | None:
        """The jack at a column and line; None between the jacks."""
        for block in self.blocks_at(y):
            line = block.lines[y - block.y]
            within = x - block.x - self.label
            if line.kind == ROW and 0 <= within < line.points * self.cell:
                row = self.room.rows[block.bay.rows[line.row]]
                return row.first + line.first - 1 + within // self.cell
        return None

    def title_line(self, jack: int) -> int:
        """The line of the title of a jack's bay."""
        return self.blocks[self.room.rows[self.room.jacks[jack].row].bay].y
