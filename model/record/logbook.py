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
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Any, NamedTuple, TypeVar

from model.record.beside import Beside, read_beside, write_beside
from model.record.checksum import chained
from model.record.faults import ONLY_READ, CannotKeep, Damaged, Gone, Locked, NotThisOne, fault_of
from model.record.recorded import COLUMNS, ENTRY, UNKNOWN, Chain, Recorded, RecordedRoom, damaged
from model.record.schema import is_current, make

PATIENCE_S = 2.0  # for another program that holds the logbook
FOLDED_AT = 64  # pages: so many at most live in the write-ahead log alone while entries follow one another
_HEADER = b"SQLite format 3\0"
_SMALL = 2_000_000  # bytes: a file up to this size is looked through at each opening, in some milliseconds
_T = TypeVar("_T")


class Checkpoint(NamedTuple):
    """The session as it was after an entry, with the count and the sum of the record there."""

    upto: int
    entries: int
    sum: str
    session: Any


class Logbook:
    """An open logbook.

    All methods raise a :class:`~model.record.faults.CannotKeep` where the file, or the disk, does not allow what is asked.
    """

    def __init__(self, connection: sqlite3.Connection, path: Path) -> None:
        self.path = path
        self._db = connection
        self.found = _file_at(path)
        self._log_place = Path(f"{path}-wal")
        self._log: tuple[int, int] | None = None  # the write-ahead log, once it was there
        self._version_seen = -1
        self._count = 0  # of the entries, when some were added last
        self._scratch: tempfile.TemporaryDirectory[str] | None = None  # of a copy
        self.identity = ""

    # Opening

    @classmethod
    def open(cls, path: Path, in_own_place: bool = True, patience: float | None = None) -> Logbook:
        """Open a logbook to write in it; made where there is none.

        ``in_own_place``: it is where this program keeps its own, so that a file without a logbook's header is a damaged one.
        ``patience``: seconds for another program that holds it, in place of PATIENCE_S.

        Raises :class:`~model.record.faults.NotThisOne` where the file must not be touched, and
        :class:`~model.record.faults.Damaged` where it is not whole.
        """
        path = path.absolute()
        with _said():
            if in_own_place:
                path.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
            _check_header(path, in_own_place)
            new = not path.exists() or path.stat().st_size == 0
            patience = PATIENCE_S if patience is None else patience
            connection = _connected(str(path), patience)
        try:
            with _said():
                book = cls(connection, path)
                book._set_up(new, patience)
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
        book = cls.open_copy(path)
        with _said():
            make(book._db, path)
            book._read_identity()
        return book

    @classmethod
    def open_copy(cls, path: Path) -> Logbook:
        """A copy of a logbook, of which nothing is presumed; what stands beside it is read from its own place."""
        with _said():
            scratch = tempfile.TemporaryDirectory(prefix="bayhand-")
            book = cls(_connected(str(_copied_to(path, Path(scratch.name)))), path)
            book._scratch = scratch
            return book

    def _set_up(self, new: bool, patience: float) -> None:
        if not os.access(self.path, os.W_OK):
            raise CannotKeep(ONLY_READ)  # SQLite would begin to write as if it could
        _patiently(patience, lambda: is_current(self._db, self.path))  # before anything of it is touched
        _patiently(patience, lambda: self._db.execute("PRAGMA journal_mode = WAL").fetchone())
        self._db.execute("PRAGMA synchronous = FULL")
        self._db.execute(f"PRAGMA wal_autocheckpoint = {FOLDED_AT}")
        _patiently(patience, lambda: make(self._db, self.path))
        self._read_identity()
        self.found = _file_at(self.path)
        self._log = _file_at(self._log_place)
        if new:
            _keep_name_on_disk(self.path)

    def _read_identity(self) -> None:
        row = self._db.execute("SELECT identity FROM identity").fetchone()
        if row is None:
            raise Damaged("the logbook is damaged: it does not say which one it is")
        self.identity = str(row[0])

    def check(self, whatever_size: bool = False) -> None:
        """Raise :class:`~model.record.faults.Damaged` where the file's structure is not whole.

        The cost follows its size: a large one is looked through only where that is asked for.
        """
        with _said():
            if not whatever_size and self.path.stat().st_size > _SMALL:
                return
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
        """Whether another file, or none, stands where it was opened; or where its write-ahead log was."""
        with _said():
            if _file_at(self.path) != self.found:
                return True
            log = _file_at(self._log_place)
            if self._log is None:
                self._log = log
            return log != self._log

    def be_patient(self, seconds: float) -> None:
        """Wait so long for another program that holds the logbook."""
        with _said():
            self._db.execute(f"PRAGMA busy_timeout = {int(seconds * 1000)}")

    def fold(self) -> bool:
        """Write what lives in the write-ahead log into the file; whether all of it is there now."""
        with _said():
            busy, pages, folded = self._db.execute("PRAGMA wal_checkpoint(PASSIVE)").fetchone()
        return not busy and pages == folded

    # Transactions

    def begin(self) -> None:
        """Begin to write: nobody else writes until the end."""
        with _said():
            if self.moved():
                raise Gone(f"the logbook {self.path.name} was moved away or removed while it was in use")
            self._db.execute("BEGIN IMMEDIATE")

    @contextmanager
    def reading(self) -> Iterator[None]:
        """All that is read within is of one moment."""
        with _said():
            self._db.execute("BEGIN")
        try:
            yield
        finally:
            self.roll_back()

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

    def append(self, entries: Sequence[Recorded], past: int = 0) -> list[Recorded]:
        """Add entries, in a transaction; the answer is how they stand there. Numbers up to ``past`` are not given again."""
        added: list[Recorded] = []
        with _said():
            count, total = self.head() or self._counted()
            if past:
                past = max(past, self.last_id())
            for number, entry in enumerate(entries, past + 1):
                total = chained(total, entry.values)
                cursor = self._db.execute(
                    f"INSERT INTO record ({COLUMNS}) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
                    (number if past else None, *entry.values, total),
                )
                added.append(entry._replace(id=int(cursor.lastrowid or 0), sum=total))
            self._count = count + len(entries)
            if entries:
                self._set_head(self._count, total)
        return added

    def all_of(self, table: str) -> Iterator[tuple[Any, ...]]:
        """The rows of a table as they are."""
        with _said():
            yield from self._db.execute(f"SELECT * FROM {table}")

    def take_over(self, table: str, row: Sequence[Any]) -> bool:
        """Put a row of another logbook into a table as it is, in a transaction; False where the table does not take it."""
        values = [_as_it_is(value) for value in row]
        with _said():
            try:
                self._db.execute(f"INSERT INTO {table} VALUES ({', '.join('?' * len(values))})", values)
            except sqlite3.IntegrityError:  # nothing, where there must be something
                return False
        return True

    def put_back(self, entries: Sequence[Recorded]) -> None:
        """Write entries once more with the numbers and sums they had, in a transaction."""
        with _said():
            count, total = self._counted()
            for entry in entries:
                self._db.execute(f"INSERT INTO record ({COLUMNS}) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)", entry)
                total = entry.sum
            self._set_head(count + len(entries), total)

    def head(self) -> tuple[int, str] | None:
        """How many entries the record says that it has, and its last sum; None where it does not say so."""
        with _said():
            row = self._db.execute("SELECT count, sum FROM head").fetchone()
        return tuple(row) if row is not None and tuple(map(type, row)) == (int, str) else None

    def mend_head(self) -> None:
        """Have the count and the last sum be those of the entries that are there, in a transaction."""
        self._set_head(*self._counted())

    def _set_head(self, count: int, total: str) -> None:
        with _said():
            if not self._db.execute("UPDATE head SET count = ?, sum = ?", (count, total)).rowcount:
                self._db.execute("INSERT INTO head VALUES (?, ?)", (count, total))

    def _counted(self) -> tuple[int, str]:
        return self.count(), self.sums_at(self.last_id())[0]

    def count(self) -> int:
        """How many entries there are. Cost follows their number."""
        with _said():
            (count,) = self._db.execute("SELECT count(*) FROM record").fetchone()
        return int(count)

    def sums_at(self, number: int) -> tuple[str, ...]:
        """The sum after an entry, as the entry has it, and as the checkpoint there does."""
        if not number:
            return ("",)
        with _said():
            row = self._db.execute(
                "SELECT sum FROM record WHERE id <= ? ORDER BY id DESC LIMIT 1", (number,)
            ).fetchone()
            rows = self._db.execute("SELECT sum FROM checkpoints WHERE upto = ?", (number,)).fetchall()
        return ("" if row is None else str(row[0]), *(str(each[0]) for each in rows))

    def chain(self, after: int, *sums: str) -> Chain:
        """What entries after one are held against."""
        return Chain(after, (*sums, *self.sums_at(after)))

    def entries(self, after: int = 0, chain: Chain | None = None) -> Iterator[Recorded]:
        """The entries after one, in their order; in the place of one that cannot be trusted, what is told of it.

        Raises :class:`~model.record.faults.Damaged` where the file's structure does not lead on.
        """
        chain = chain or self.chain(after)
        with _said():
            for row in self._db.execute(f"SELECT {COLUMNS} FROM record WHERE id > ? ORDER BY id", (chain.last,)):
                yield from chain.take(row)

    def some_entries(self, chain: Chain, most: int) -> list[Recorded]:
        """So many of the next entries of a chain."""
        query = f"SELECT {COLUMNS} FROM record WHERE id > ? ORDER BY id LIMIT ?"
        with _said():
            rows = self._db.execute(query, (chain.last, most)).fetchall()
        return [entry for row in rows for entry in chain.take(row)]

    def readable(self, after: int = 0) -> Iterator[Recorded]:
        """As :meth:`entries`, on and on where the file's structure is damaged."""
        try:
            chain = self.chain(after)
        except Damaged:
            chain = Chain(after, ("",))
        for row in self.rows(after):
            yield from chain.take(row)
        end = self.said_last()
        if end > chain.last:
            yield damaged(chain.last + 1, 0, f"{_numbers(chain.last + 1, end)} cannot be read")

    def rows(self, after: int = 0) -> Iterator[tuple[Any, ...]]:
        """All rows that can be read, in their order: where the way to one is damaged, those behind it are sought one by one."""
        last = after
        try:
            for row in self._rows_between(after + 1, None):
                yield row
                last = row[0]
            return
        except Damaged:
            pass  # what follows is there in spite of it
        behind: list[tuple[Any, ...]] = []
        with suppress(Damaged):  # as far as the way back leads
            for row in self._rows_between(last + 1, None, backward=True):
                behind.append(row)
        end = behind[-1][0] - 1 if behind else self.said_last()
        yield from self._sought(last + 1, end)
        yield from reversed(behind)

    def _sought(self, first: int, last: int) -> Iterator[tuple[Any, ...]]:
        if first > last:
            return
        try:
            yield from list(self._rows_between(first, last))
        except Damaged:
            if first < last:
                middle = (first + last) // 2
                yield from self._sought(first, middle)
                yield from self._sought(middle + 1, last)

    def _rows_between(self, first: int, last: int | None, backward: bool = False) -> Iterator[tuple[Any, ...]]:
        query = f"SELECT {COLUMNS} FROM record WHERE id >= ? AND id <= ? ORDER BY id {'DESC' if backward else ''}"
        with _said():
            yield from self._db.execute(query, (first, (1 << 62) if last is None else last))

    def said_last(self) -> int:
        """The number of the last entry, by whichever place still tells it."""
        told = [0]
        with suppress(Damaged):
            told.append(self.last_id())
        with suppress(Damaged):
            head = self.head()
            told.append(0 if head is None else min(head[0], 10_000_000))
        beside = self.beside()
        told.append(0 if beside is None else beside.last)
        return max(told)

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

    def beside(self) -> Beside | None:
        """The count that stands beside this logbook; None where there is none, or it counts another."""
        found = read_beside(self.path)
        return found if found is not None and found.identity == self.identity else None

    def write_beside(self, last: Recorded) -> None:
        """Write the count beside the logbook, after ``last`` was added and committed."""
        with suppress(OSError):  # the record has it; the copy lags behind until it can be written
            write_beside(self.path, Beside(self.identity, self._count, last.id, last.at))

    def changed(self) -> bool:
        """Whether another program has written since this was last asked. Costs microseconds."""
        with _said():
            (version,) = self._db.execute("PRAGMA data_version").fetchone()
        changed = bool(version != self._version_seen)
        self._version_seen = version
        return changed

    # The room, and the session as it was

    def room(self) -> RecordedRoom | None:
        """The room file of the last entries; None in a new logbook. Its text is empty where it cannot be read."""
        with _said():
            row = self._db.execute("SELECT since, path, name, text FROM rooms ORDER BY since DESC LIMIT 1").fetchone()
        if row is None:
            return None
        try:
            text = _unpacked(row[3])
        except Damaged:
            text = ""
        path, name = (str(value).encode("utf-8", "replace").decode() for value in row[1:3])
        return RecordedRoom(row[0], path, name, text)

    def bay_unknown(self) -> bool:
        """Whether nothing was done since the record lost sight of the bay."""
        query = "SELECT kind FROM record WHERE kind IN (?, ?) ORDER BY id DESC LIMIT 1"
        with _said():
            row = self._db.execute(query, (ENTRY, UNKNOWN)).fetchone()
        return row is not None and row[0] == UNKNOWN

    def set_room(self, room: RecordedRoom) -> None:
        """Say that from now on another room file holds, in a transaction. Those of before are kept."""
        with _said():
            packed = zlib.compress(room.text.encode())
            self._db.execute("INSERT OR REPLACE INTO rooms VALUES (?, ?, ?, ?)", (*room[:3], packed))

    def checkpoints(self) -> Iterator[Checkpoint]:
        """Sessions as they were after an entry, the latest first; one that cannot be read is passed over."""
        with _said():
            numbers = self._db.execute("SELECT upto FROM checkpoints ORDER BY upto DESC").fetchall()
            for (upto,) in numbers:
                row = self._db.execute("SELECT count, sum, session FROM checkpoints WHERE upto = ?", (upto,)).fetchone()
                with suppress(Damaged, ValueError, RecursionError):
                    count, total, packed = row
                    if type(count) is int and isinstance(total, str):
                        yield Checkpoint(upto, count, total, json.loads(_unpacked(packed)))

    def set_checkpoint(self, upto: int, session: Any) -> None:
        """Set down the session as it is after an entry, with the count and the sum of the record there, in a transaction."""
        packed = zlib.compress(json.dumps(session, separators=(",", ":")).encode(), 1)
        with _said():
            count, total = self.head() or self._counted()
            self._db.execute("INSERT OR REPLACE INTO checkpoints VALUES (?, ?, ?, ?)", (upto, count, total, packed))


@contextmanager
def _said() -> Iterator[None]:
    """Errors of the database and of the disk, as faults in words."""
    try:
        yield
    except (sqlite3.Error, OSError, UnicodeDecodeError) as error:
        raise fault_of(error) from error


def _connected(path: str, patience: float | None = None) -> sqlite3.Connection:
    timeout = PATIENCE_S if patience is None else patience
    connection = sqlite3.connect(path, timeout=timeout, isolation_level=None, uri=path.startswith("file:"))
    # A damaged text is read all the same: its checksum tells that it is.
    connection.text_factory = lambda data: data.decode("utf-8", "surrogateescape")
    return connection


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


def _patiently(seconds: float, what: Callable[[], _T]) -> _T:
    """Do what SQLite gives up at once where another program holds the file: once more, until patience ends."""
    end = time.monotonic() + seconds
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


def _as_it_is(value: Any) -> Any:
    """A text that is none is kept as its bytes."""
    if isinstance(value, str) and not value.isascii():
        data = value.encode("utf-8", "surrogateescape")
        return value if data.decode("utf-8", "replace") == value else data
    return value


def _numbers(first: int, last: int) -> str:
    return f"entry {first}" if first == last else f"entries {first} to {last}"


def _unpacked(packed: bytes) -> str:
    try:
        return zlib.decompress(packed).decode()
    except (zlib.error, UnicodeDecodeError, TypeError) as error:
        raise Damaged(f"the logbook is damaged: {error}") from error
