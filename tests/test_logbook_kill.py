"""Programs that write into one logbook are killed at random moments, hundreds of times: no answered line may be missing.

Each line is a note with words of its own, or an action at the bay. A program says that a line was answered only after it was:
what it has said must be in the record once, in its order. Killing a program says nothing about a failure of the power; for
that the logbook's settings are looked at in tests/test_logbook.py. `BAYHAND_KILLS` gives the number, for longer runs by hand.
"""

from __future__ import annotations

import os
import signal
import time
from collections import Counter
from pathlib import Path
from random import Random

import pytest

from model.record import recorded_session
from model.record.logbook import Logbook
from tests.recorded import all_of, in_another_program, open_at

KILLS = int(os.environ.get("BAYHAND_KILLS", "300"))
JACKS = ("A1", "A5", "A9", "A12", "B1", "B5", "B9", "B19", "B20")


def write_until_killed(directory: Path, name: str, tell: int) -> None:
    """Open the room and type lines for ever; tell of each that was answered and taken."""
    rng = Random(name)
    kept = open_at(directory, name)
    number = 0
    while True:
        number += 1
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
        if kept.enter(typed).ok:
            os.write(tell, f"{line}\n".encode())


@pytest.mark.skipif(not hasattr(os, "fork"), reason="programs are forked here")
def test_no_answered_line_is_lost_or_doubled_when_programs_are_killed(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(recorded_session, "ENTRIES_A_CHECKPOINT", 7)  # so that many are killed while one is written
    rng = Random(11)
    answered: dict[str, list[str]] = {}
    killed = turn = 0
    while killed < KILLS:
        turn += 1
        if turn % 50 == 0:  # and some while the logbook is made
            check(tmp_path, answered)
            answered.clear()
            for file in tmp_path.iterdir():
                file.unlink()
        programs: list[tuple[str, int, int]] = []
        for seat in range(rng.choice((1, 1, 2))):
            name = f"seat {turn}-{seat}"
            hear, tell = os.pipe()
            child = in_another_program(lambda name=name, tell=tell: write_until_killed(tmp_path, name, tell))  # type: ignore[misc]
            os.close(tell)
            programs.append((name, child, hear))
        time.sleep(rng.uniform(0.0, 0.12))
        for name, child, hear in programs:
            os.kill(child, signal.SIGKILL)
            _, status = os.waitpid(child, 0)
            assert os.WIFSIGNALED(status), f"{name} ended by itself: see its traceback above"
            with os.fdopen(hear, "rb") as said:
                lines = said.read().decode().split("\n")
            assert lines.pop() == ""
            answered[name] = lines
            killed += 1
    check(tmp_path, answered)


def check(directory: Path, answered: dict[str, list[str]]) -> None:
    """All answered lines are in the record, once and in their order, and one more at most of each program."""
    assert sum(map(len, answered.values())) > 50, "the programs were killed before they wrote anything"
    kept = open_at(directory)
    kept.close()
    assert kept.keeping is None
    assert not [words for words in kept.opened if "going on after" not in words]
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
    assert all_of(from_lines.session) == all_of(kept.session)
    from_lines.close()
