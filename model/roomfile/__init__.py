"""The room file: YAML to a :class:`~model.room.Room`, every error with its line and column."""

from model.roomfile.errors import FileError, RoomFileErrors, UnreadableFile
from model.roomfile.reader import parse_room, read_room

__all__ = ["FileError", "RoomFileErrors", "UnreadableFile", "parse_room", "read_room"]
