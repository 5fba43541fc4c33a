"""Why a record cannot be kept, each reason in words for the person at the bay."""

from __future__ import annotations

import sqlite3

from model.bay.refusals import Refusal


class CannotKeep(Refusal):
    """The record cannot be written, or not be read, at this moment."""


class Locked(CannotKeep):
    """Another program holds the logbook."""


class Damaged(CannotKeep):
    """The logbook is not whole. Nothing may be written into it; it is set aside."""


class Gone(CannotKeep):
    """Another file, or none, stands where the logbook was."""


class NotThisOne(Exception):
    """A file that must not be opened as this room's logbook, nor be touched. The message says why, and what to do."""


ONLY_READ = "the logbook may only be read, not written"

_KINDS: tuple[tuple[str, type[CannotKeep], str], ...] = (  # the start of SQLite's name for an error: what it means here
    ("SQLITE_FULL", CannotKeep, "the disk is full"),
    ("SQLITE_READONLY", CannotKeep, ONLY_READ),
    ("SQLITE_PERM", CannotKeep, "there is no permission to write the logbook"),
    ("SQLITE_CANTOPEN", CannotKeep, "the logbook cannot be opened or made in its directory"),
    ("SQLITE_BUSY", Locked, "another program has locked the logbook"),
    ("SQLITE_LOCKED", Locked, "another program has locked the logbook"),
    ("SQLITE_CORRUPT", Damaged, "the logbook is damaged"),
    ("SQLITE_NOTADB", Damaged, "the logbook is damaged: it does not begin as one"),
    ("SQLITE_IOERR", CannotKeep, "the disk does not take what is written"),
)


def fault_of(error: sqlite3.Error | OSError | UnicodeDecodeError) -> CannotKeep:
    """What an error of the database or of the disk means for the record."""
    if isinstance(error, OSError):
        return CannotKeep(f"the logbook cannot be reached: {error.strerror or error}")
    name = getattr(error, "sqlite_errorname", None)
    if name is None:  # Python's own: what the file holds is no text, or not what its tables should hold
        return Damaged("the logbook is damaged: what it holds cannot be read")
    for start, kind, words in _KINDS:
        if name.startswith(start):
            return kind(words)
    return Damaged(f"the logbook is damaged: {error}")
