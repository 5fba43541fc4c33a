"""Which patches would no longer do on a changed wiring what they do today: the house patch and the saved ones."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from model.patches.placed import place
from model.patches.saved_patch import SavedPatch
from model.patches.shelf import HOUSE
from model.rehearse import at_rest_json
from model.room.wiring import Room
from model.session import Session

Connections = set[tuple[str, str]]


def patches_lost(old: Room, new: Room, saved: Mapping[str, SavedPatch]) -> list[str]:
    """The names of the patches that make or break other connections in the new room, the change at rest left aside."""
    cords = {HOUSE: (Session(old).house_lines(), Session(new).house_lines())}
    cords |= {name: (_cords(old, patch), _cords(new, patch)) for name, patch in saved.items()}
    rest = at_rest(old), at_rest(new)
    at_rest_too = rest[0] ^ rest[1]
    lost = []
    for name, lines in cords.items():
        was, will = (_with_cords(room, own, at) for room, own, at in zip((old, new), lines, rest, strict=True))
        if (was ^ will) - at_rest_too:
            lost.append(name)
    return lost


def at_rest(room: Room) -> Connections:
    """The connections of a room before any cord."""
    return {(source, load) for source, load in at_rest_json(Session(room))["made"]}


def _cords(room: Room, patch: SavedPatch) -> list[str]:
    return [" > ".join(room.jacks[jack].address for jack in cord.jacks) for cord in place(patch, room).placed.cords]


def _with_cords(room: Room, lines: Sequence[str], rest: Iterable[tuple[str, str]]) -> Connections:
    session, stands = Session(room), set(rest)
    for line in lines:
        outcome = session.enter(line)
        if outcome.ok:  # a cord that cannot be plugged makes nothing: that is what differs
            change = outcome.change.as_json()
            stands -= {(source, load) for source, load in change["broken"]}
            stands |= {(source, load) for source, load in change["made"]}
    return stands
