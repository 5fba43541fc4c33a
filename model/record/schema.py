"""The tables of a logbook, and its version."""

from __future__ import annotations

import sqlite3
import uuid
from pathlib import Path

from model.record.faults import NotThisOne

APPLICATION_ID = 0x42415948  # 'BAYH', in the file's header at byte 68
VERSION = 3

# `record`: what stands in it, in its order. An entry: `typed` as it was, `entry` as it writes itself, `step` what it did to the
# steps that undo reaches, `sets` what it set (JSON: table, key, before, after), `told` what was told of it (JSON). A remark of
# the program: its words in `entry`. `sum` chains each to all before it, so that one that is gone or changed is seen.
# `head`: how many there are, and the last sum. `identity` tells a logbook from another that has taken its place.
# `checkpoints`: the session as it was after an entry; all are kept, since any moment may be asked for. `rooms`: the texts of
# the room file, each holding for the entries after `since`.
_TABLES = (
    """
CREATE TABLE record (
    id INTEGER PRIMARY KEY,
    at INTEGER NOT NULL,
    seat TEXT NOT NULL,
    kind TEXT NOT NULL,
    typed TEXT NOT NULL,
    entry TEXT NOT NULL,
    step TEXT NOT NULL,
    sets TEXT NOT NULL,
    told TEXT NOT NULL,
    sum TEXT NOT NULL
)""",
    "CREATE TABLE identity (identity TEXT NOT NULL)",
    "CREATE TABLE head (count INTEGER NOT NULL, sum TEXT NOT NULL)",
    "CREATE TABLE checkpoints (upto INTEGER PRIMARY KEY, count INTEGER NOT NULL, sum TEXT NOT NULL, session BLOB NOT NULL)",
    "CREATE TABLE rooms (since INTEGER PRIMARY KEY, path TEXT NOT NULL, name TEXT NOT NULL, text BLOB NOT NULL)",
)


def make(connection: sqlite3.Connection, path: Path) -> None:
    """See to it that an open logbook has its tables, all of them or none.

    Raises :class:`~model.record.faults.NotThisOne` where the file is of another version, or none of ours.
    """
    if is_current(connection, path):
        return
    connection.execute("BEGIN IMMEDIATE")
    try:
        if not is_current(connection, path):  # else another seat was faster
            for statement in _TABLES:
                connection.execute(statement)
            connection.execute("INSERT INTO identity VALUES (?)", (uuid.uuid4().hex,))
            connection.execute("INSERT INTO head VALUES (0, '')")
            connection.execute(f"PRAGMA application_id = {APPLICATION_ID}")
            connection.execute(f"PRAGMA user_version = {VERSION}")
        connection.execute("COMMIT")
    except BaseException:
        if connection.in_transaction:
            connection.execute("ROLLBACK")
        raise


def is_current(connection: sqlite3.Connection, path: Path) -> bool:
    """Whether an open file is a logbook of this version; False where it is still empty.

    Raises :class:`~model.record.faults.NotThisOne` where the file is of another version, or none of ours. The header and the
    tables are read in one transaction: another seat may be making them at this moment.
    """
    begun = not connection.in_transaction
    if begun:
        connection.execute("BEGIN")
    try:
        (application,) = connection.execute("PRAGMA application_id").fetchone()
        (version,) = connection.execute("PRAGMA user_version").fetchone()
        (tables,) = connection.execute("SELECT count(*) FROM sqlite_master").fetchone()
    finally:
        if begun and connection.in_transaction:  # an error may have ended it
            connection.execute("ROLLBACK")
    if application != APPLICATION_ID:
        if application or tables:
            raise NotThisOne(
                f"{path} is the database of another program, not a logbook of bayhand: it is left as it is"
            )
        return False
    if version != VERSION:
        who = "a newer" if version > VERSION else "an older"
        raise NotThisOne(
            f"{path} was written by {who} bayhand (version {version} of the logbook, this one knows {VERSION}): "
            "it is left as it is. Give it another name, and a new one is begun; or use --logbook PATH for one in another place"
        )
    return True
