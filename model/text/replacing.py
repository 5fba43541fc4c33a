"""Replacing a file by another text: whole or not at all, and only where it is still what was read."""

from __future__ import annotations

import os
import stat
import tempfile
from contextlib import suppress
from pathlib import Path


class NotReplaced(Exception):
    """A file that was left as it is; the text says why."""


def replace_file(path: str | os.PathLike[str], read: bytes, new: bytes) -> None:
    """Put new bytes in a file's place, where it still holds what was read. A link stays a link; the mode stays.

    Raises :class:`NotReplaced`, and leaves the file alone, where it changed meanwhile or cannot be written.
    """
    place = Path(path).resolve()
    try:
        mode = place.stat().st_mode
        if not mode & (stat.S_IWUSR | stat.S_IWGRP | stat.S_IWOTH) or not os.access(place, os.W_OK):
            raise NotReplaced(f"{path}: this file is read-only, and was left as it is")
        handle, made = tempfile.mkstemp(prefix=f".{place.name}.", dir=place.parent)
    except OSError as error:
        raise NotReplaced(f"{path}: it cannot be replaced: {error.strerror or error}") from None
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(new)
            file.flush()
            os.fsync(file.fileno())
        Path(made).chmod(stat.S_IMODE(mode))
        if place.read_bytes() != read:
            raise NotReplaced(f"{path}: it was changed meanwhile, and was left as it is now")
        Path(made).replace(place)
    except OSError as error:
        raise NotReplaced(f"{path}: it cannot be replaced: {error.strerror or error}") from None
    finally:
        with suppress(FileNotFoundError):  # it has become the file itself
            Path(made).unlink()
    _flush_folder(place.parent)


def write_new_file(path: str | os.PathLike[str], new: bytes) -> None:
    """Write a file that is not there yet. Raises :class:`NotReplaced` where there is one, or it cannot be written."""
    try:
        with Path(path).open("xb") as file:
            file.write(new)
            file.flush()
            os.fsync(file.fileno())
    except FileExistsError:
        raise NotReplaced(f"{path}: there is such a file already: name another, or move that one away") from None
    except (OSError, ValueError) as error:
        raise NotReplaced(f"{path}: it cannot be written: {error}") from None


def _flush_folder(folder: Path) -> None:
    """Make the new name last: without it a power failure may bring the old file back."""
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
