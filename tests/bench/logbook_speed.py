"""What the logbook costs: lines with full durability, a line with and without it, opening a long record, and listening.

    python -m tests.bench.logbook_speed [--lines N] [--long N] [--directory PATH]

The yardstick of a kept line is the same line in a session alone, and one row of the same length in a bare SQLite file with
the same settings, in the same directory. The disk's own figure stands beside it: one block written and flushed (fdatasync).
"""

from __future__ import annotations

import argparse
import os
import sqlite3
import statistics
import sys
import tempfile
import time
from collections.abc import Callable
from itertools import pairwise
from pathlib import Path
from random import Random
from typing import NamedTuple

from model.record.checksum import chained
from model.record.logbook import Logbook
from model.record.recorded import Recorded
from model.record.recorded_session import RecordedSession
from model.record.room_file import RoomFile, read_room_file
from model.session import Outcome, Session
from tests.bench.rooms import STUDIO
from tests.bench.table import Figure, report

BAR_LISTENING_US = 50.0
BAR_KEPT_OVER_BARE = 1.3
BAR_OPENING_S = 0.1


def evening(count: int) -> list[str]:
    """Lines of an evening in the studio: cords in and out, undone and done again, now and then a note or a supply."""
    rng = Random(1)
    session = Session(read_room_file(STUDIO).room)
    jacks = [jack.address for jack in session.room.jacks]
    supplies = [port.name for port in session.room.ports if port.supply is not None]
    lines: list[str] = []
    while len(lines) < count:
        cords = list(session.patch.state.cords)
        line = (
            f"pull #{rng.choice(cords)}"
            if len(cords) > 40 or (cords and rng.random() < 0.3)
            else rng.choice(("undo", "redo", f"note take {len(lines)}", f"phantom {rng.choice(supplies)} on"))
            if rng.random() < 0.2
            else f"{rng.choice(jacks)} > {rng.choice(jacks)}"
        )
        if session.enter(line).ok:
            lines.append(line)
    return lines


def times(enter: Callable[[str], Outcome], lines: list[str]) -> list[float]:
    """Microseconds of each line."""
    took = []
    for line in lines:
        began = time.perf_counter_ns()
        outcome = enter(line)
        took.append((time.perf_counter_ns() - began) / 1000)
        assert outcome.ok, f"{line}: {outcome.error}"
    return took


class Bare:
    """An SQLite file with the logbook's settings and one table, and a file that is only flushed."""

    def __init__(self, directory: Path) -> None:
        self.connection = sqlite3.connect(directory / "bare", isolation_level=None)
        self.connection.execute("PRAGMA journal_mode = WAL")
        self.connection.execute("PRAGMA synchronous = FULL")
        self.connection.execute("CREATE TABLE record (id INTEGER PRIMARY KEY, text TEXT)")
        self.file = os.open(directory / "flushed", os.O_CREAT | os.O_WRONLY)

    def row(self, text: str) -> None:
        """One row begun, inserted, committed."""
        self.connection.execute("BEGIN IMMEDIATE")
        self.connection.execute("INSERT INTO record (text) VALUES (?)", (text,))
        self.connection.execute("COMMIT")

    def flush(self, block: bytes = b"x" * 4096) -> None:
        """One block written and flushed."""
        os.write(self.file, block)
        os.fdatasync(self.file)


class Side(NamedTuple):
    """Microseconds of each line with the record, and of its yardsticks, measured in turns: a disk has its moods."""

    kept: list[float]
    alone: list[float]
    row: list[float]
    flush: list[float]


def side_by_side(kept: RecordedSession, alone: Session, bare: Bare, lines: list[str]) -> Side:
    """Each line here and there."""
    side = Side([], [], [], [])
    text = "x" * 300  # about what an entry holds
    for line in lines:
        began = time.perf_counter_ns()
        outcome = kept.enter(line)
        after_kept = time.perf_counter_ns()
        alone.enter(line)
        after_alone = time.perf_counter_ns()
        bare.row(text)
        after_row = time.perf_counter_ns()
        bare.flush()
        after_flush = time.perf_counter_ns()
        assert outcome.ok, f"{line}: {outcome.error}"
        ends = (began, after_kept, after_alone, after_row, after_flush)
        for took, (start, end) in zip(side, pairwise(ends), strict=True):
            took.append((end - start) / 1000)
    return side


def long_record(file: RoomFile, place: Path, lines: list[str], length: int) -> None:
    """A record of so many lines, as a session writes it, but for the flush of each: those of one evening over and over."""
    kept = RecordedSession.open(file, place, "anna")
    kept._book._db.execute("PRAGMA synchronous = OFF")  # type: ignore[union-attr]
    done = 0
    while done < length:
        for line in lines[: length - done]:
            kept.enter(line)
        done = kept._last
        if kept.session.patch.state.cords and done < length:
            kept.enter("pull all")
            done = kept._last
    kept._lay_down(None)  # without a last checkpoint, as if it had been killed


def opened(file: RoomFile, place: Path) -> tuple[float, RecordedSession]:
    """Seconds to open, and what was opened."""
    began = time.perf_counter()
    kept = RecordedSession.open(file, place, "anna")
    return time.perf_counter() - began, kept


def cost_of_sums(entries: list[Recorded]) -> float:
    """Microseconds that the checksum of an entry takes."""
    began = time.perf_counter_ns()
    for entry in entries:
        chained("0123456789abcdef", entry.values)
    return (time.perf_counter_ns() - began) / 1000 / len(entries)


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--lines", type=int, default=1500)
    parser.add_argument("--long", type=int, default=100_000)
    parser.add_argument("--directory", type=Path, help="on the disk to be measured; else a temporary one")
    options = parser.parse_args()

    file = read_room_file(STUDIO)
    lines = evening(options.lines)
    with tempfile.TemporaryDirectory(dir=options.directory) as scratch:
        directory = Path(scratch)
        kept = RecordedSession.open(file, directory / "kept.logbook", "anna")
        side = side_by_side(kept, Session(file.room), Bare(directory), lines)
        alone, with_record = statistics.median(side.alone), statistics.median(side.kept)
        kept.catch_up()
        began = time.process_time_ns()
        for _ in range(5000):
            kept.catch_up()
        listening = (time.process_time_ns() - began) / 5000 / 1000
        unflushed = RecordedSession.open(file, directory / "unflushed.logbook", "anna")
        unflushed._book._db.execute("PRAGMA synchronous = OFF")  # type: ignore[union-attr]
        without_flush = times(unflushed.enter, lines)

        place = directory / "long.logbook"
        began_long = time.perf_counter()
        long_record(file, place, lines, options.long)
        print(f"a record of {options.long} lines made in {time.perf_counter() - began_long:.0f} s", file=sys.stderr)
        size = sum(side.stat().st_size for side in directory.glob("long.logbook*")) / 1e6
        rest = min(opened(file, directory / f"new{number}.logbook")[0] for number in range(3))
        first, again = opened(file, place)
        assert again._last >= options.long
        reopened = min(opened(file, place)[0] for _ in range(3))
        book = Logbook.open(place, in_own_place=False)
        began = time.perf_counter_ns()
        entries = list(book.entries())
        looking = (time.perf_counter_ns() - began) / 1e9
        summing = cost_of_sums(entries[-2000:])
        book.close()

    figures = [
        Figure("lines a second, each on disk when answered", 1e6 / statistics.fmean(side.kept), ""),
        Figure("a line without the record, median", alone, "us"),
        Figure("a line with the record, not flushed", statistics.median(without_flush), "us", alone),
        Figure("a line with the record, on disk", with_record, "us", alone),
        Figure(
            "  over that line and a bare SQLite row",
            with_record,
            "us",
            alone + statistics.median(side.row),
            BAR_KEPT_OVER_BARE,
        ),
        Figure("one block written and flushed", statistics.median(side.flush), "us"),
        Figure("the slowest of 100 lines", statistics.quantiles(side.kept, n=100)[-1], "us"),
        Figure("listening to other seats, nothing said", listening, "us", bar=BAR_LISTENING_US),
        Figure(f"a record of {options.long} lines", size, "MB"),
        Figure("opening it, the first time after a kill", first, "s", rest, None),
        Figure("opening it again", reopened, "s", bar=BAR_OPENING_S),
        Figure("looking through all of it, while nobody types", looking, "s"),
        Figure("an entry's checksum", summing, "us", with_record),
        Figure("opening a new one", rest, "s"),
    ]
    return report("The logbook, in the studio room", figures)


if __name__ == "__main__":
    sys.exit(main())
