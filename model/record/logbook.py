"""The logbook of one room: an SQLite file in which every accepted entry is on disk before it is answered.

Write-ahead log and full synchronous: an entry that was committed outlives the program, and a failure of the power as far as
the disk keeps what it was told to (https://www.sqlite.org/wal.html, https://www.sqlite.org/pragma.html#pragma_synchronous).
This class knows entries and remarks, not what they mean; :class:`~model.record.recorded_session.RecordedSession` does.
"""

from __future__ import annotations

import json
import os
import shutil
import sqlite3
import tempfile
import time
import zlib
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Any, NamedTuple, TypeVar

from model.record.checksum import chained
from model.record.faults import ONLY_READ, CannotKeep, Damaged, Gone, Locked, NotThisOne, fault_of
from model.record.schema import is_current, make

ENTRY, REMARK, ROOM = (
    "entry",
    "remark",
    "room",
)  # ROOM: a remark from which on another room file holds

PATIENCE_S = 2.0  # for another program that holds the logbook
_HEADER = b"SQLite format 3\0"
_COLUMNS = (int, int, str, str, str, str, str, str, str)  # of an entry
_T = TypeVar("_T")


class Recorded(NamedTuple):
    """One entry of the record."""

    id: int  # from 1, in the order in which things were done; 0: not recorded yet
    at: int  # milliseconds since 1970-01-01 UTC
    seat: str
    kind: str
    typed: str
    entry: str  # the entry as it writes itself; a remark's words
    step: str = ""  # what it did to the steps that undo reaches: 'act', 'undo', 'redo', or nothing
    sets: str = "[]"  # JSON: what it set, as tables, keys, values before and after
    told: str = "[]"  # JSON: what was told of it


class RecordedRoom(NamedTuple):
    """The room file in which the record's entries after ``since`` were typed."""

    since: int  # it holds for the entries after that one
    path: str
    name: str
    text: str


def now_ms() -> int:
    """The time as the record writes it."""
    return time.time_ns() // 1_000_000


class Logbook:
    """An open logbook.

    All methods raise a :class:`~model.record.faults.CannotKeep` where the file, or the disk, does not allow what is asked.
    """

    def __init__(self, connection: sqlite3.Connection, path: Path) -> None:
        self.path = path
        self._db = connection
        self._found = _file_at(path)
        self._version_seen = -1
        self._scratch: tempfile.TemporaryDirectory[str] | None = None  # of a copy
        self.identity = ""

    # Opening

    @classmethod
    def open(cls, path: Path, in_own_place: bool = True) -> Logbook:
        """Open a logbook to write in it; made where there is none.

        ``in_own_place``: it is where this program keeps its own, so that a file without a logbook's header is a damaged one.
        Raises :class:`~model.record.faults.NotThisOne` where the file must not be touched, and
        :class:`~model.record.faults.Damaged` where it is not whole.
        """
        path = path.absolute()
        with _said():
            if in_own_place:
                path.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
            _check_header(path, in_own_place)
            new = not path.exists() or path.stat().st_size == 0
            connection = _connected(str(path))
        try:
            with _said():
                book = cls(connection, path)
                book._set_up(new)
                return book
        except BaseException:
            connection.close()
            raise

    @classmethod
    def open_to_read(cls, path: Path, in_own_place: bool = True) -> Logbook:
        """A logbook that is only read; where its directory does not allow even that, a copy."""
        path = path.absolute()
        with _said():
            _check_header(path, in_own_place)
            try:
                book = cls(_connected(f"{path.as_uri()}?mode=ro"), path)
                if is_current(book._db, path):
                    book._read_identity()
                    return book
                book.close()
            except sqlite3.OperationalError as error:
                if isinstance(fault_of(error), Locked):
                    raise
            scratch = tempfile.TemporaryDirectory(prefix="bayhand-")
            book = cls(_connected(str(_copied_to(path, Path(scratch.name)))), path)
            book._scratch = scratch
            make(book._db, path)
            book._read_identity()
            return book

    def _set_up(self, new: bool) -> None:
        if not os.access(self.path, os.W_OK):
            raise CannotKeep(ONLY_READ)  # SQLite would begin to write as if it could
        _patiently(lambda: is_current(self._db, self.path))  # before anything of it is touched
        _patiently(lambda: self._db.execute("PRAGMA journal_mode = WAL").fetchone())
        self._db.execute("PRAGMA synchronous = FULL")
        _patiently(lambda: make(self._db, self.path))
        self._read_identity()
        self._found = _file_at(self.path)
        if new:
            _keep_name_on_disk(self.path)

    def _read_identity(self) -> None:
        row = self._db.execute("SELECT identity FROM identity").fetchone()
        if row is None:
            raise Damaged("the logbook is damaged: it does not say which one it is")
        self.identity = str(row[0])

    def check(self) -> None:
        """Raise :class:`~model.record.faults.Damaged` where the file is not whole. Cost follows its size."""
        with _said():
            (verdict,) = self._db.execute("PRAGMA quick_check(1)").fetchone()
        if verdict != "ok":
            raise Damaged(f"the logbook is damaged: {verdict}")

    def close(self) -> None:
        """Close it. What was committed is kept, whatever becomes of this."""
        with suppress(sqlite3.Error):
            self._db.close()
        if self._scratch is not None:
            self._scratch.cleanup()

    def moved(self) -> bool:
        """Whether another file, or none, stands where it was opened."""
        with _said():
            return _file_at(self.path) != self._found

    # Transactions

    def begin(self) -> None:
        """Begin to write: nobody else writes until the end."""
        with _said():
            if self.moved():
                raise Gone(f"the logbook {self.path.name} was moved away or removed while it was in use")
            self._db.execute("BEGIN IMMEDIATE")

    def commit(self) -> None:
        """Have it on disk. Where this raises, nothing of it is kept."""
        with _said():
            self._db.execute("COMMIT")

    def roll_back(self) -> None:
        """End without writing anything."""
        if self._db.in_transaction:
            with suppress(sqlite3.Error):  # SQLite has rolled back by itself where it could not go on
                self._db.execute("ROLLBACK")

    @property
    def writing(self) -> bool:
        """Whether a transaction is open."""
        return self._db.in_transaction

    # The record

    def append(self, entries: list[Recorded]) -> int:
        """Add entries, in a transaction; the answer is the number of the last."""
        last = 0
        with _said():
            count, total = self._db.execute("SELECT count, sum FROM head").fetchone()
            for entry in entries:
                total = chained(total, entry[1:])
                cursor = self._db.execute(
                    "INSERT INTO record (at, seat, kind, typed, entry, step, sets, told, sum)"
                    " VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)",
                    (*entry[1:], total),
                )
                last = int(cursor.lastrowid or 0)
            if entries:
                self._db.execute("UPDATE head SET count = ?, sum = ?", (count + len(entries), total))
        return last

    def entries(self, after: int = 0) -> Iterator[Recorded]:
        """The entries after one, in their order."""
        with _said():
            for row in self._db.execute(
                "SELECT id, at, seat, kind, typed, entry, step, sets, told FROM record WHERE id > ? ORDER BY id",
                (after,),
            ):
                if not all(map(isinstance, row, _COLUMNS)):
                    raise Damaged(f"the logbook is damaged: entry {row[0]} cannot be read")
                yield Recorded(*row)

    def typed_entries(self, most: int) -> list[str]:
        """What was typed last, oldest first."""
        with _said():
            rows = self._db.execute(
                "SELECT typed FROM record WHERE kind = ? ORDER BY id DESC LIMIT ?", (ENTRY, most)
            ).fetchall()
        return [row[0] for row in reversed(rows)]

    def last_id(self) -> int:
        """The number of the last entry; 0 where there is none."""
        with _said():
            (last,) = self._db.execute("SELECT coalesce(max(id), 0) FROM record").fetchone()
        return int(last)

    def changed(self) -> bool:
        """Whether another program has written since this was last asked. Costs microseconds."""
        with _said():
            (version,) = self._db.execute("PRAGMA data_version").fetchone()
        changed = bool(version != self._version_seen)
        self._version_seen = version
        return changed

    # The room, and the session as it was

    def room(self) -> RecordedRoom | None:
        """The room file of the last entries; None in a new logbook."""
        with _said():
            row = self._db.execute("SELECT since, path, name, text FROM rooms ORDER BY since DESC LIMIT 1").fetchone()
        return None if row is None else RecordedRoom(row[0], row[1], row[2], _unpacked(row[3]))

    def set_room(self, room: RecordedRoom) -> None:
        """Say that from now on another room file holds, in a transaction. Those of before are kept."""
        with _said():
            packed = zlib.compress(room.text.encode())
            self._db.execute("INSERT OR REPLACE INTO rooms VALUES (?, ?, ?, ?)", (*room[:3], packed))

    def checkpoints(self) -> Iterator[tuple[int, Any]]:
        """Sessions as they were after an entry, the latest first; one that cannot be read is passed over."""
        with _said():
            numbers = self._db.execute("SELECT upto FROM checkpoints ORDER BY upto DESC").fetchall()
            for (upto,) in numbers:
                row = self._db.execute("SELECT session FROM checkpoints WHERE upto = ?", (upto,)).fetchone()
                with suppress(Damaged, ValueError):
                    yield upto, json.loads(_unpacked(row[0]))

    def set_checkpoint(self, upto: int, session: Any) -> None:
        """Set down the session as it is after an entry, with the count and the sum of the record there, in a transaction."""
        packed = zlib.compress(json.dumps(session, separators=(",", ":")).encode(), 1)
        with _said():
            count, total = self._db.execute("SELECT count, sum FROM head").fetchone()
            self._db.execute("INSERT OR REPLACE INTO checkpoints VALUES (?, ?, ?, ?)", (upto, count, total, packed))


@contextmanager
def _said() -> Iterator[None]:
    """Errors of the database and of the disk, as faults in words."""
    try:
        yield
    except (sqlite3.Error, OSError, UnicodeDecodeError) as error:
        raise fault_of(error) from error


def _connected(path: str) -> sqlite3.Connection:
    return sqlite3.connect(path, timeout=PATIENCE_S, isolation_level=None, uri=path.startswith("file:"))


def _copied_to(path: Path, directory: Path) -> Path:
    """A copy of a logbook's files, copied again where they were written meanwhile."""
    sides = [Path(f"{path}{side}") for side in ("", "-wal")]
    copy = directory / "copy.logbook"
    while True:
        states = [_state_of(side) for side in sides]
        for side, there in zip(sides, (copy, Path(f"{copy}-wal")), strict=True):
            there.unlink(missing_ok=True)
            if side.exists():
                shutil.copyfile(side, there)
        if states == [_state_of(side) for side in sides]:
            return copy


def _state_of(path: Path) -> tuple[int, int, int] | None:
    try:
        found = path.stat()
    except FileNotFoundError:
        return None
    return found.st_ino, found.st_size, found.st_mtime_ns


def _patiently(what: Callable[[], _T]) -> _T:
    """Do what SQLite gives up at once where another program holds the file: once more, until patience ends."""
    end = time.monotonic() + PATIENCE_S
    while True:
        try:
            return what()
        except sqlite3.OperationalError as error:
            if not isinstance(fault_of(error), Locked) or time.monotonic() > end:
                raise
            time.sleep(0.02)


def _check_header(path: Path, in_own_place: bool) -> None:
    """What is no database is damaged in this program's own place; elsewhere it is somebody's file, and not ours to move."""
    if not path.exists():
        return
    if not path.is_file():
        raise NotThisOne(f"{path} is not an ordinary file: a logbook is one")
    with path.open("rb") as file:
        header = file.read(100)
    if not header:
        return
    if in_own_place and not header.startswith(_HEADER):
        raise Damaged("the logbook is damaged: it does not begin as one")
    if not in_own_place and (not header.startswith(_HEADER) or len(header) < 100):
        raise NotThisOne(f"{path} is not a logbook: it is left as it is")


def _file_at(path: Path) -> tuple[int, int] | None:
    try:
        found = path.stat()
    except FileNotFoundError:
        return None
    return found.st_dev, found.st_ino


def _keep_name_on_disk(path: Path) -> None:
    """The new file's name is in its directory for good only when the directory itself was written."""
    if not hasattr(os, "O_DIRECTORY"):
        return
    directory = os.open(path.parent, os.O_RDONLY | os.O_DIRECTORY)
    try:
        os.fsync(directory)
    finally:
        os.close(directory)


def _unpacked(packed: bytes) -> str:
    try:
        return zlib.decompress(packed).decode()
    except (zlib.error, UnicodeDecodeError, TypeError) as error:
        raise Damaged(f"the logbook is damaged: {error}") from error
