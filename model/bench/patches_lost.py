"""Which patches would no longer do on a changed wiring what they do today: the house patch and the saved ones."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, NamedTuple

from model.patches.placed import place
from model.patches.saved_patch import SavedPatch
from model.patches.shelf import HOUSE
from model.room.wiring import Room
from model.session import Session

Connections = set[tuple[str, str]]


class Wiring(NamedTuple):
    """A room, and its connections before any cord."""

    room: Room
    rest: Connections


def patches_lost(old: Wiring, new: Wiring, saved: Mapping[str, SavedPatch]) -> list[str]:
    """The names of the patches that make or break other connections in the new room, the change at rest left aside."""
    at_rest_too = old.rest ^ new.rest
    lost = []
    for name, patch in ((HOUSE, None), *saved.items()):
        was, will = (_with_patch(wiring, patch) for wiring in (old, new))
        if (was ^ will) - at_rest_too:
            lost.append(name)
    return lost


def connections(change: Mapping[str, Any]) -> Connections:
    """What a change made, as a set."""
    return {(source, load) for source, load in change["made"]}


def _cords(room: Room, patch: SavedPatch) -> list[str]:
    return [room.cord_words(cord.jacks) for cord in place(patch, room).placed.cords]


def _with_patch(wiring: Wiring, patch: SavedPatch | None) -> Connections:
    """The connections with a patch, the house patch where it is None."""
    session, stands = Session(wiring.room), set(wiring.rest)
    for typed in session.house_entries() if patch is None else _cords(wiring.room, patch):
        outcome = session.enter(typed)
        if outcome.ok:  # a cord that cannot be plugged makes nothing: that is what differs
            change = outcome.change.as_json(wiring.room)
            stands -= {(source, load) for source, load in change["broken"]}
            stands |= connections(change)
    return stands
