"""The tables of a logbook, its version, and the way from an older version to this one."""

from __future__ import annotations

import sqlite3
import uuid
from pathlib import Path

from model.record.faults import NotThisOne
from model.record.place import name_for_copy

APPLICATION_ID = 0x42415948  # 'BAYH', in the file's header at byte 68
VERSION = 2

# What stands in the record, in its order. A line: `typed` as it was, `line` as it reads itself back, `action` as JSON where
# it is one at the bay, `did` what it did. A remark of the program: its words in `line`.
_RECORD = """
CREATE TABLE record (
    id INTEGER PRIMARY KEY,
    at INTEGER NOT NULL,
    seat TEXT NOT NULL,
    kind TEXT NOT NULL,
    typed TEXT NOT NULL,
    line TEXT NOT NULL,
    action TEXT NOT NULL,
    did TEXT NOT NULL
)"""

# `identity` tells a logbook from another that has taken its place. `checkpoints`: the session as it was after a line of
# the record. `room`: the text of the room file in which the lines after `since` were typed.
_BESIDE = (
    "CREATE TABLE identity (identity TEXT NOT NULL)",
    "CREATE TABLE checkpoints (upto INTEGER PRIMARY KEY, session BLOB NOT NULL)",
    "CREATE TABLE room (since INTEGER NOT NULL, path TEXT NOT NULL, name TEXT NOT NULL, text BLOB NOT NULL)",
)


def _from_1(connection: sqlite3.Connection) -> None:
    """Version 1 knew one seat, and no remarks: `CREATE TABLE lines (id INTEGER PRIMARY KEY, at, typed, line)`."""
    connection.execute(_RECORD)
    connection.execute(
        "INSERT INTO record SELECT id, at, '', 'line', typed, line, '', '[]' FROM lines ORDER BY id",
    )
    connection.execute("DROP TABLE lines")
    _make_beside(connection)


_STEPS = {1: _from_1}  # version: what makes the next one of it


def _make_beside(connection: sqlite3.Connection) -> None:
    for statement in _BESIDE:
        connection.execute(statement)
    connection.execute("INSERT INTO identity VALUES (?)", (uuid.uuid4().hex,))


def make_or_migrate(connection: sqlite3.Connection, path: Path) -> str | None:
    """See to it that an open logbook has this version's tables. The answer is a remark, where it had older ones.

    Raises :class:`~model.record.faults.NotThisOne` where the file is of a newer version, or none of ours.
    """
    if is_current(connection, path):
        return None
    remark = None
    connection.execute("BEGIN IMMEDIATE")
    try:
        if not is_current(connection, path):  # else another seat was faster
            version = _version(connection)
            if version == 0:
                connection.execute(_RECORD)
                _make_beside(connection)
            else:
                copy = _copied(path, version)
                remark = (
                    f"the logbook was brought from version {version} to {VERSION}; as it was it is kept as {copy.name}"
                )
                for step in range(version, VERSION):
                    _STEPS[step](connection)
            connection.execute(f"PRAGMA application_id = {APPLICATION_ID}")
            connection.execute(f"PRAGMA user_version = {VERSION}")
        connection.execute("COMMIT")
    except BaseException:
        if connection.in_transaction:
            connection.execute("ROLLBACK")
        raise
    return remark


def is_current(connection: sqlite3.Connection, path: Path) -> bool:
    """Whether an open file is a logbook of this version; False where it is older, or still empty.

    Raises :class:`~model.record.faults.NotThisOne` where the file is of a newer version, or none of ours.
    """
    (application,) = connection.execute("PRAGMA application_id").fetchone()
    if application != APPLICATION_ID:
        (tables,) = connection.execute("SELECT count(*) FROM sqlite_master").fetchone()
        if application or tables:
            raise NotThisOne(
                f"{path} is the database of another program, not a logbook of bayhand: it is left as it is"
            )
        return False
    version = _version(connection)
    if version > VERSION:
        raise NotThisOne(
            f"{path} was written by a newer bayhand (version {version} of the logbook, this one knows {VERSION}): "
            "it is left as it is. Use the newer bayhand, or --logbook PATH for a logbook in another place"
        )
    return version == VERSION


def _version(connection: sqlite3.Connection) -> int:
    (version,) = connection.execute("PRAGMA user_version").fetchone()
    return int(version)


def _copied(path: Path, version: int) -> Path:
    """A copy of a logbook as it was last written, whole and on disk, before it is changed."""
    copy = name_for_copy(path, f"version-{version}")
    source = sqlite3.connect(path)
    target = sqlite3.connect(copy)
    try:
        target.execute("PRAGMA synchronous = FULL")
        source.backup(target)
    finally:
        target.close()
        source.close()
    return copy
