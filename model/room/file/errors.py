"""What is wrong with a room file: errors as values with a place, gathered and reported all together."""

from __future__ import annotations

from typing import NamedTuple

from model.text.clean import shown


class FileError(NamedTuple):
    """One error of a room file; line and column count characters from 1."""

    line: int
    column: int
    text: str


class RoomFileErrors(Exception):
    """A room file with errors in it: ``errors`` are all that were found, in the order of their places."""

    def __init__(self, path: str, errors: tuple[FileError, ...]) -> None:
        super().__init__(path, errors)
        self.path = path
        self.errors = errors

    def __str__(self) -> str:
        path = shown(self.path)
        return "\n".join(f"{path}:{error.line}:{error.column}: {error.text}" for error in self.errors)


class UnreadableFile(Exception):
    """A file that cannot be read as text at all; the message names it and says why."""

    def __init__(self, path: str, reason: str) -> None:
        super().__init__(f"{shown(path)}: {reason}")
        self.path = path
        self.reason = reason
