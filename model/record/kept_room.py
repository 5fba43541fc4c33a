"""The room file under a record: read with its text, compared with the one of before, and the session carried over."""

from __future__ import annotations

import os
from dataclasses import fields
from pathlib import Path
from typing import Any, NamedTuple

from model.bay.state import State
from model.record.checkpoint import session_as_plain, session_from_plain
from model.record.plain_state import put_into, state_as_plain
from model.room.wiring import Room
from model.session import Session

# What of a room has no bearing on what its record says.
_NO_MATTER = {"house_patch", "marks", "priors"}


class RoomFile(NamedTuple):
    """A room file: where it is, what it says, and the room that it describes."""

    path: Path
    text: str
    room: Room


def read_room_file(path: str | os.PathLike[str]) -> RoomFile:
    """Read a room file; raises what :func:`~model.room.file.read_room` raises."""
    from model.room.file import read_room  # a room that was read elsewhere needs no reader here

    place = Path(path)
    while True:
        saved = _saved(place)
        room = read_room(place)
        text = place.read_bytes()
        if _saved(place) == saved:  # else it was saved between the two readings
            return RoomFile(place, text.decode("utf-8-sig"), room)


def _saved(place: Path) -> tuple[int, int, int] | None:
    try:
        found = place.stat()
    except (OSError, ValueError):
        return None
    return found.st_ino, found.st_size, found.st_mtime_ns


def same_wiring(a: Room, b: Room) -> bool:
    """Whether two rooms are wired alike, wherever in their files each thing stands."""
    names = [field.name for field in fields(Room) if field.name not in _NO_MATTER]
    return all(_without_lines(getattr(a, name)) == _without_lines(getattr(b, name)) for name in names)


def _without_lines(value: Any) -> Any:
    if isinstance(value, tuple) and value and hasattr(value[0], "line"):
        at = value[0]._fields.index("line")
        return [entry[:at] + entry[at + 1 :] for entry in value]
    return value


def carry_over(old: Session, new: Session) -> list[str]:
    """Make a session in a changed room what the old one was, as far as the new room allows.

    The answer is one sentence for each thing that no longer holds or means something else now. The history comes along as
    far back as its actions still lead to the state that was carried over; how far that is, is said where it is cut.
    """
    now = state_as_plain(old.patch.state)
    state = State(new.room)
    words = put_into(state, now)
    steps = len(old.patch.stack)
    kept = steps
    taken = session_from_plain(new, session_as_plain(old, kept))
    if taken.last_refused is not None:
        kept = steps - taken.last_refused - 1
        taken = session_from_plain(new, session_as_plain(old, kept))
    if taken.last_refused is not None or not new.patch.state.same_as(state):
        kept = 0
        taken = session_from_plain(new, session_as_plain(old, kept))
    words += taken.parts
    if kept < steps:
        words.append(f"undo reaches back over {kept} of {steps} actions: the earlier ones do not fit the room any more")
    return words
