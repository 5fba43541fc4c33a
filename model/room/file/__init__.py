"""The room file: YAML to a :class:`~model.room.wiring.Room`, every error with its line and column."""

from model.room.file.errors import FileError, RoomFileErrors, UnreadableFile
from model.room.file.reader import parse_room, read_room

__all__ = ["FileError", "RoomFileErrors", "UnreadableFile", "parse_room", "read_room"]
