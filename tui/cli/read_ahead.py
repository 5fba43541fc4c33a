"""The room file read by a child process while this one loads what the screen is made of.

Loading Textual and reading a room take a fifth of a second together and have nothing to do with each other; with a
second processor the room costs no time. Where there is no `fork`, or the child fails, the room is read here.
"""

from __future__ import annotations

import os
import pickle
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    # nothing of the model is loaded here before the child has gone its own way
    from model.live.look import Standing
    from model.record.room_file import RoomFile


class CannotRead(Exception):
    """The room file cannot be used; the message says all that is wrong with it."""


def _read(path: Path) -> tuple[RoomFile, Standing]:
    """A room file, and the warnings that stand in its room at rest. Raises CannotRead."""
    from model.live.look import standing_at_rest
    from model.record.room_file import read_room_file
    from model.room.file import RoomFileErrors, UnreadableFile

    try:
        file = read_room_file(path)
    except (UnreadableFile, RoomFileErrors) as problem:
        raise CannotRead(str(problem)) from problem
    return file, standing_at_rest(file.room)


def begin_reading(path: Path) -> Callable[[], tuple[RoomFile, Standing]]:
    """Begin to read a room file. The answer waits for what was read: the file, and what stands in its room at rest.

    It raises CannotRead where the file cannot be used.
    """
    if not hasattr(os, "fork"):
        return lambda: _read(path)
    taking, giving = os.pipe()
    child = os.fork()
    if not child:
        status = 1
        try:
            os.close(taking)
            with os.fdopen(giving, "wb") as pipe:
                pipe.write(_given(path))
            status = 0
        finally:
            os._exit(status)  # whatever happened: this is a copy of a program that goes on elsewhere
    os.close(giving)

    def taken() -> tuple[RoomFile, Standing]:
        with os.fdopen(taking, "rb") as pipe:
            given = pipe.read()
        os.waitpid(child, 0)
        try:
            found = pickle.loads(given)
        except (EOFError, pickle.UnpicklingError):
            return _read(path)  # the child did not come to its end
        if isinstance(found, CannotRead):
            raise found
        file, standing = found
        return file, standing

    return taken


def _given(path: Path) -> bytes:
    """What the child hands over: the file and what stands at rest, or why it cannot be used."""
    try:
        found: object = _read(path)
    except CannotRead as problem:
        found = problem
    return pickle.dumps(found, pickle.HIGHEST_PROTOCOL)
