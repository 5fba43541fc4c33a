"""Opening a room file for a command: the room, or a message and an exit status."""

from __future__ import annotations

from pathlib import Path

from model.room.file import RoomFileErrors, UnreadableFile, read_room
from model.room.wiring import Room
from tui.cli.status import say


def open_room(path: str) -> Room | None:
    """The room of a file; None, and all that is wrong with it said, where it cannot be had."""
    try:
        return read_room(Path(path))
    except (UnreadableFile, RoomFileErrors) as problem:
        say(str(problem))
        return None
