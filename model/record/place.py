"""Where a room's logbook is, what is set aside beside it, and what a seat is called."""

from __future__ import annotations

import getpass
import hashlib
import os
import re
import time
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path

from model.record.faults import CannotKeep, Locked

PATIENCE_S = 5.0  # for other programs that open logbooks in the same directory

SIDE_FILES = ("", "-wal", "-shm")  # what SQLite keeps beside a database, https://www.sqlite.org/wal.html


def state_directory() -> Path:
    """The user's directory for what programs keep between two runs.

    ``$XDG_STATE_HOME/bayhand``, or ``~/.local/state/bayhand`` where that is not set or not absolute (XDG Base Directory
    Specification 0.8). Raises :class:`~model.record.faults.CannotKeep` where the user has no home, or an empty ``$HOME``:
    that would be the root directory.
    """
    stated = os.environ.get("XDG_STATE_HOME", "")
    if stated and Path(stated).is_absolute():
        return Path(stated) / "bayhand"
    no_home = CannotKeep("there is no home directory to keep the logbook in: --logbook PATH names a place")
    if os.environ.get("HOME") == "":
        raise no_home
    try:
        return Path.home() / ".local" / "state" / "bayhand"
    except RuntimeError:
        raise no_home from None


def logbook_place(room_file: Path) -> Path:
    """The logbook of a room file: a name to recognize it by, and a part of the digest of the file's full path."""
    resolved = room_file.resolve()
    full = os.fsencode(resolved)
    readable = re.sub(r"[^\w.-]+", "-", resolved.stem).strip("-.")[:40] or "room"
    return state_directory() / f"{readable}-{hashlib.sha256(full).hexdigest()[:10]}.logbook"


@contextmanager
def alone_at(path: Path, patience: float = PATIENCE_S) -> Iterator[None]:
    """While this lasts no other program opens the logbook at a place, makes it or sets it aside.

    By a lock on its directory, which goes with the program that holds it (flock(2)). Raises
    :class:`~model.record.faults.Locked` where another program does not come to its end.
    """
    try:
        import fcntl

        lock = os.open(path.absolute().parent, os.O_RDONLY | os.O_CLOEXEC)
    except (ImportError, OSError):  # no such locks, or no such directory: then nothing can be set aside in it either
        yield
        return
    try:
        end = time.monotonic() + patience
        while True:
            try:
                fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
                break
            except BlockingIOError:
                if time.monotonic() > end:
                    raise Locked("another program is opening the logbook, and does not come to its end") from None
                time.sleep(0.005)
            except OSError:
                break  # this file system has no such locks
        yield
    finally:
        os.close(lock)


def set_aside(path: Path, aside: Path) -> None:
    """Give a logbook, with what belongs to it, another name."""
    for side in SIDE_FILES:
        source = Path(f"{path}{side}")
        if source.exists():
            source.rename(f"{aside}{side}")


def free_name(path: Path, why: str) -> Path:
    """A name beside a logbook that nothing has yet."""
    now = datetime.now(UTC).strftime("%Y%m%dT%H%M%SZ")
    name, number = Path(f"{path}.{why}-{now}"), 1
    while any(Path(f"{name}{side}").exists() for side in SIDE_FILES):
        number += 1
        name = Path(f"{path}.{why}-{now}-{number}")
    return name


def seat_name() -> str:
    """What this seat is called in the record: who is logged in, and at which terminal.

    Without a terminal the number of the process stands in its place, so that two seats never bear one name.
    """
    try:
        who = getpass.getuser()
    except (KeyError, OSError):
        who = "somebody"
    try:
        where = os.ttyname(0).removeprefix("/dev/")
    except OSError:
        where = f"process {os.getpid()}"
    who = "".join(character for character in who if character.isprintable())[:40]
    return f"{who} at {where}"
