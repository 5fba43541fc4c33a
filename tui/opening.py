"""Opening a room file for a command: the room, or a message and an exit status."""

from __future__ import annotations

import sys
from pathlib import Path

from model.room import Room
from model.roomfile import RoomFileErrors, UnreadableFile, read_room

OK, FOUND, UNUSABLE = (
    0,
    1,
    2,
)  # exit status: all well; errors, findings or a refused line; wrong usage or unreadable file


def say(message: str) -> None:
    """A message for the person who started the program."""
    print(message, file=sys.stderr)


def open_room(path: str) -> Room | None:
    """The room of a file; None, and all that is wrong with it said, where it cannot be had."""
    try:
        return read_room(Path(path))
    except (UnreadableFile, RoomFileErrors) as problem:
        say(str(problem))
        return None
