"""The room file under a record: read with its text, and compared with the one of before."""

from __future__ import annotations

import os
from dataclasses import fields
from pathlib import Path
from typing import Any, NamedTuple

from model.room.wiring import Room

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
