"""The pairs of a room: what stands above what on a panel or is joined by a cross normal, with the normal between."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import NamedTuple

from model.check.numbering import Label, Labels
from model.room.kinds import NO_NORMAL
from model.room.wiring import Normal, Room


class Pair(NamedTuple):
    """Two jacks with something behind both."""

    top: int
    bottom: int
    above: Label
    below: Label
    kind: str  # of the normal; 'none' counts as one
    line: int


def columns(room: Room, labels: Labels) -> Iterator[list[Pair | None]]:
    """The pairs of each panel with two rows, column by column; None where a jack has nothing behind."""
    normal_of = {(normal.top, normal.bottom): normal for normal in room.normals}
    for bay in room.bays:
        if len(bay.rows) == 2:
            top, bottom = (room.rows[row].first for row in bay.rows)
            yield [_pair(room, labels, top + at, bottom + at, normal_of) for at in range(bay.points)]


def crossed(room: Room, labels: Labels) -> Iterator[Pair]:
    """The pairs that cross normals join."""
    for normal in room.normals:
        if normal.cross:
            pair = _pair(room, labels, normal.top, normal.bottom, {normal[:2]: normal})
            if pair is not None:
                yield pair


def _pair(room: Room, labels: Labels, top: int, bottom: int, normal_of: dict[tuple[int, int], Normal]) -> Pair | None:
    above, below = labels.at(top), labels.at(bottom)
    if above is None or below is None:
        return None
    normal = normal_of.get((top, bottom))
    if normal is None:
        return Pair(top, bottom, above, below, NO_NORMAL, room.jacks[top].line)
    return Pair(top, bottom, above, below, normal.kind, normal.line)


def runs(pairs: list[Pair | None], alike: Callable[[Pair], object]) -> Iterator[list[Pair]]:
    """The stretches of pairs side by side that are alike in something."""
    run: list[Pair] = []
    for pair in [*pairs, None]:
        if run and (pair is None or alike(pair) != alike(run[-1])):
            yield run
            run = []
        if pair is not None:
            run.append(pair)


def house_jacks(room: Room) -> set[int]:
    """The jacks that hold a plug of the house patch: what is open there is meant so."""
    return {jack for cord in room.house_patch for jack in cord.jacks}
