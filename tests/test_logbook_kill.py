"""Programs that write into one logbook are killed at random moments, hundreds of times: no answered line may be missing.

Each line is a note with words of its own, or an action at the bay. A program says that a line was answered only after it was:
what it has said must be in the record once, in its order. No moment is told by a clock: a program kills itself before or
after one of its calls of the database, or is killed when it has answered so many lines, wherever it is by then. Killing a
program says nothing about a failure of the power; for that the logbook's settings are looked at in tests/test_logbook.py.
`BAYHAND_KILLS` gives the number, for longer runs by hand.
"""

from __future__ import annotations

import os
import signal
import sqlite3
import sys
from collections import Counter
from pathlib import Path
from random import Random
from types import FrameType
from typing import Any

import pytest

from model.record import logbook, recorded_session
from model.record.logbook import Logbook
from model.record.room_file import read_room_file
from tests.recorded import ATTIC, all_of, do, in_another_program, open_at

KILLS = int(os.environ.get("BAYHAND_KILLS", "300"))
JACKS = ("A1", "A5", "A9", "A12", "B1", "B5", "B9", "B19", "B20")
MAX_CALLS = 240  # calls and returns of the database before a program kills itself: it opens, and types some 20 lines
MAX_ANSWERS = 12  # lines that a program has answered when it is killed
MAX_LINES = 40  # that a program types: then it only waits, so that none keeps others from the logbook for long
DATABASE = (sqlite3.Connection, sqlite3.Cursor)


def die_at(moment: int) -> None:
    """Have this program kill itself at one moment of those just before and just after its calls of the database."""
    left = moment

    def count(_frame: FrameType, event: str, called: Any) -> None:
        nonlocal left
        if event in ("c_call", "c_return") and isinstance(getattr(called, "__self__", None), DATABASE):
            if left == 0:
                os.kill(os.getpid(), signal.SIGKILL)
            left -= 1

    sys.setprofile(count)


def write_until_killed(directory: Path, name: str, tell: int, moment: int | None) -> None:
    """Open the room and type lines; tell of each that was answered and taken. ``moment``: see :func:`die_at`."""
    rng = Random(name)
    if moment is not None:
        die_at(moment)
    session = open_at(directory, name)
    for number in range(MAX_LINES):
        line = rng.choice(
            (
                f"note {name} {number}",
                f"plug {rng.choice(JACKS)} > {rng.choice(JACKS)}",
                f"pull {rng.choice(JACKS)}",
                "undo",
                "redo",
                f"phantom B{rng.randint(1, 4)} {rng.choice(('on', 'off'))}",
            )
        )
        typed = f"{line} " if line.startswith("note") else line
        if session.enter(typed).ok:
            os.write(tell, f"{line}\n".encode())
    if moment is not None:
        os.kill(os.getpid(), signal.SIGKILL)
    signal.pause()


class Program:
    """One that writes into the logbook. ``moment``: at which it kills itself; None: it is killed from outside."""

    def __init__(self, directory: Path, name: str, moment: int | None) -> None:
        self.name, self.moment = name, moment
        self.hear, tell = os.pipe()

        def write() -> None:
            os.close(self.hear)
            write_until_killed(directory, name, tell, moment)

        self.number: int | None = in_another_program(write)
        os.close(tell)

    def killed_after(self, answers: int) -> list[str]:
        """What it has told: until it killed itself, or until it was killed when it had told of so many lines or more."""
        told = b""
        while told.count(b"\n") < answers and (more := os.read(self.hear, 4096)):
            told += more
        if self.moment is None:
            os.kill(self._number, signal.SIGKILL)
        while more := os.read(self.hear, 4096):  # to its end: the program is dead then
            told += more
        _, status = os.waitpid(self._number, 0)
        self.number = None
        assert os.WIFSIGNALED(status), f"{self.name} ended by itself: see its traceback above"
        lines = told.decode().split("\n")
        assert lines.pop() == ""
        return lines

    @property
    def _number(self) -> int:
        assert self.number is not None
        return self.number

    def end(self) -> None:
        """Leave nothing behind, whatever has failed."""
        if self.number is not None:
            os.kill(self.number, signal.SIGKILL)
            os.waitpid(self.number, 0)
            self.number = None
        os.close(self.hear)


@pytest.mark.skipif(not hasattr(os, "fork"), reason="programs are forked here")
def test_no_answered_line_is_lost_or_doubled_when_programs_are_killed(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(recorded_session, "ENTRIES_A_CHECKPOINT", 7)  # so that many are killed while one is written
    monkeypatch.setattr(logbook, "PATIENCE_S", 3600.0)  # however slow the machine is
    # the room is read once, and what the program loads when it is first needed is loaded before it is copied
    room = read_room_file(ATTIC)
    monkeypatch.setattr("tests.recorded.read_room_file", lambda _: room)
    (tmp_path / "first").mkdir()
    first = open_at(tmp_path / "first")
    do(first, "note first", "plug A1 > B1", "pull A1", "undo", "redo", "phantom B1 on")
    first.close()
    rng = Random(11)
    answered: dict[str, list[str]] = {}
    killed = turn = 0
    while killed < KILLS:
        turn += 1
        if turn % 50 == 0:  # and some while the logbook is made
            check(tmp_path, answered)
            answered.clear()
            for file in tmp_path.glob("attic.logbook*"):
                file.unlink()
        programs = [
            Program(tmp_path, f"seat {turn}-{seat}", rng.randrange(MAX_CALLS) if rng.random() < 0.5 else None)
            for seat in range(rng.choice((1, 1, 2)))
        ]
        try:
            for program in programs:
                answered[program.name] = program.killed_after(rng.randint(0, MAX_ANSWERS))
                killed += 1
        finally:
            for program in programs:
                program.end()
    check(tmp_path, answered)


def check(directory: Path, answered: dict[str, list[str]]) -> None:
    """All answered lines are in the record, once and in their order, and one more at most of each program."""
    assert sum(map(len, answered.values())) > 50, "the programs were killed before they wrote anything"
    session = open_at(directory)
    session.close()
    assert session.keeping is None
    assert not [words for words in session.opened if "going on after" not in words]
    book = Logbook.open(directory / "attic.logbook", in_own_place=False)
    book.check()
    entries = list(book.entries())
    for name, lines in answered.items():
        recorded = [entry.typed for entry in entries if entry.seat == name]
        # killed between the commit and the answer: that line is kept, and nobody was told so
        assert recorded[: len(lines)] == lines, f"{name}: an answered line is missing"
        assert len(recorded) <= len(lines) + 1, f"{name}: lines are in the record that were never answered"
    notes = Counter(entry.typed for entry in entries if entry.typed.startswith("note"))
    assert max(notes.values()) == 1
    # the session is what its lines make of it, with and without its checkpoints
    book._db.execute("DELETE FROM checkpoints")
    book.close()
    from_lines = open_at(directory)
    assert all_of(from_lines.session) == all_of(session.session)
    from_lines.close()
