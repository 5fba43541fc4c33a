"""What is told of tonight's settings of gear: what is assigned, selected, armed.

Each function gives what it settles, by input and output: whether the signal passes. Settled ways of several sentences are
put together by :func:`put_together`; a later sentence wins.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable

from model.room.inside import ARMED, ASSIGNED, SELECTED, Settings
from model.room.wiring import Room


def assigned(room: Room, entry: int, outputs: Collection[int]) -> Settings:
    """An input of a desk is assigned to some of its busses, and to no other that it could be assigned to."""
    return {entry: {out: out in outputs for out in _outputs(room, entry, ASSIGNED)}}


def selected(room: Room, entry: int) -> Settings:
    """An input is selected wherever one of several is: the outputs that it can be heard at hear none of the others."""
    found: dict[int, dict[int, bool]] = {}
    for out in _outputs(room, entry, SELECTED):
        for other in room.carried_from(out):
            if room.condition(other, out) == SELECTED:
                found.setdefault(other, {})[out] = other == entry
    return found


def armed(room: Room, entries: Iterable[int], on: bool = True) -> Settings:
    """The tracks of some inputs of a recorder are armed and in input, or are not."""
    return {entry: dict.fromkeys(_outputs(room, entry, ARMED), on) for entry in entries}


def put_together(*said: Settings) -> Settings:
    """All that some sentences settle; what a later one settles anew is as the later one says."""
    found: dict[int, dict[int, bool]] = {}
    for each in said:
        for entry, outputs in each.items():
            found.setdefault(entry, {}).update(outputs)
    return {entry: outputs for entry, outputs in found.items() if outputs}


def _outputs(room: Room, entry: int, condition: str) -> list[int]:
    return [out for out in room.carried(entry) if room.condition(entry, out) == condition]
