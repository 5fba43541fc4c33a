"""A record that is damaged, or has lost something: told by number and time, and everything else is still read."""

from __future__ import annotations

import json
import os
import shutil
import sqlite3
from collections.abc import Callable
from pathlib import Path
from random import Random
from typing import Any

import pytest

from model.record import recorded, recorded_session
from model.record.checksum import chained
from model.record.recorded import COLUMNS, DAMAGED, LATEST, UNKNOWN
from model.record.recorded_session import RecordedSession
from model.record.room_file import read_room_file
from tests.record_damage import NAME, Evening, damage, evening, judged, laid_out, printed
from tests.recorded import ATTIC, all_of, do, end_well_together, ended_well, in_another_program, open_at
from tests.test_logbook import EVENING
from tui.cli.main import main

LINES = [*EVENING, *(f"note {number}" for number in range(40)), "plug a1"]
FILES = int(os.environ.get("BAYHAND_DAMAGED", "60"))


@pytest.fixture(scope="module")
def killed(tmp_path_factory: pytest.TempPathFactory) -> Evening:
    """An evening whose last entries live in the write-ahead log alone."""
    return evening(tmp_path_factory.mktemp("killed") / "e", LINES, fold_after=30)


def reopened(place: Path, seat: str = "ben") -> RecordedSession:
    return RecordedSession.open(read_room_file(ATTIC), place, seat)


# The write-ahead log


@pytest.mark.parametrize("lost", ["gone", "cut", "one bit"])
def test_entries_lost_with_the_write_ahead_log_are_told(killed: Evening, tmp_path: Path, lost: str) -> None:
    log = bytearray(killed.files["-wal"])
    log[32 + 24 + 2000] ^= 4
    left = {"gone": None, "cut": b"", "one bit": bytes(log)}[lost]
    place = laid_out(killed, tmp_path / "d", wal=left)
    kept = reopened(place)
    missing = len(LINES) - 31
    (said,) = [words for words in kept.opened if "missing" in words]
    assert said.startswith(f"{missing} entries after 20")
    assert "The bay is unknown: begin by looking" in said
    assert kept.bay_unknown and not kept.is_new
    do(kept, "note on")
    assert not kept.bay_unknown
    # their numbers are not given again
    numbers = [entry.id for entry in kept.recorded(100)]
    assert numbers[-2:] == [len(LINES) + 1, len(LINES) + 2]
    kept.close()
    again = reopened(place)
    assert again.opened == [f"going on after entry {len(LINES) + 2} of the record"], "it is told once"
    assert all_of(again.session) == all_of(kept.session)


def test_the_log_command_tells_what_is_missing(
    killed: Evening, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    place = laid_out(killed, tmp_path / "d", wal=None)
    assert main(["log", str(ATTIC), "--logbook", str(place)]) == 1
    heard = capsys.readouterr()
    assert len([line for line in heard.out.splitlines() if "ben" in line or "anna" in line]) == 31
    assert f"{len(LINES) - 31} entries after" in heard.err


def test_a_copy_of_the_file_alone_holds_what_was_folded_in(tmp_path: Path) -> None:
    kept = open_at(tmp_path)
    do(kept, *LINES)
    kept.tidy()
    shutil.copy(tmp_path / NAME, tmp_path / "copy.logbook")
    assert printed(tmp_path / "copy.logbook") == LINES


def test_while_entries_follow_one_another_the_log_stays_short(tmp_path: Path) -> None:
    kept = open_at(tmp_path)
    for number in range(300):
        do(kept, f"note {number}")
    shutil.copy(tmp_path / NAME, tmp_path / "copy.logbook")
    assert len(printed(tmp_path / "copy.logbook")) > 250


def lose_log(place: Path, how: str) -> None:
    for side in ("-wal", "-shm"):
        Path(f"{place}{side}").unlink()
        if how == "another":
            Path(f"{place}{side}").write_bytes(b"")


@pytest.mark.parametrize("how", ["removed", "another"])
def test_a_log_that_vanishes_while_it_is_in_use_is_noticed_and_nothing_is_lost(tmp_path: Path, how: str) -> None:
    anna = open_at(tmp_path, "anna")
    do(anna, *LINES)
    lose_log(tmp_path / NAME, how)
    do(anna, "note after", "plug a2")
    was = all_of(anna.session)
    anna._lay_down(None)
    assert [each for each in printed(tmp_path / NAME) if "write-ahead log" not in each] == [
        *LINES,
        "note after",
        "plug a2",
    ]
    assert all_of(open_at(tmp_path).session) == was


@pytest.mark.parametrize("how", ["removed", "another"])
def test_seats_in_two_programs_lose_nothing_with_the_log(tmp_path: Path, how: str) -> None:
    hear, tell = os.pipe()
    wait, gate = os.pipe()

    def ben() -> None:
        os.close(gate)
        kept = open_at(tmp_path, "ben")
        do(kept, *LINES, "note his")
        os.write(tell, b"x")
        os.read(wait, 1)  # until the log is gone, and anna has noticed
        kept.catch_up()
        do(kept, "note his too")
        os._exit(0)

    child = in_another_program(
        ben
    )  # before this one has a database open: https://www.sqlite.org/howtocorrupt.html, 2.6
    os.read(hear, 1)
    anna = open_at(tmp_path, "anna")
    lose_log(tmp_path / NAME, how)
    do(anna, "note after")
    os.close(wait)
    os.close(gate)
    assert ended_well(child)
    anna.catch_up()
    was = all_of(anna.session)
    anna.close()
    typed = [each for each in printed(tmp_path / NAME) if "write-ahead log" not in each]
    assert typed == [*LINES, "note his", "note after", "note his too"]
    assert all_of(open_at(tmp_path).session) == was


def test_a_record_that_is_gone_is_missed_by_its_count(killed: Evening, tmp_path: Path) -> None:
    place = laid_out(killed, tmp_path / "d", main=None, wal=None)
    kept = reopened(place)
    assert kept.opened[-1].startswith(f"the record that was here is gone ({len(LINES)} entries, the last of 20")
    assert kept.bay_unknown and not kept.is_new


@pytest.mark.parametrize("content", [None, b"", b"[]", b"[1, 2]", b"{", b"\xff" * 300, b"[" * 5000])
def test_a_count_that_cannot_be_read_is_no_reason_for_alarm(
    killed: Evening, tmp_path: Path, content: bytes | None
) -> None:
    kept = reopened(laid_out(killed, tmp_path / "d", count=content))
    assert kept.opened == [f"going on after entry {len(LINES)} of the record"]
    assert all_of(kept.session) == killed.session


# Entries


def altered(place: Path, number: int, column: str, value: Any, right_sums: bool = False) -> None:
    """Change what stands in one entry; with ``right_sums`` as one would who knows how they are made."""
    with sqlite3.connect(place) as book:
        book.execute(f"UPDATE record SET {column} = ? WHERE id = ?", (value, number))
        if right_sums:
            total = ""
            for row in book.execute(f"SELECT {COLUMNS} FROM record ORDER BY id").fetchall():
                total = chained(total, row[1:-1])
                book.execute("UPDATE record SET sum = ? WHERE id = ?", (total, row[0]))
            book.execute("UPDATE head SET sum = ?", (total,))
    book.close()


NONSENSE: tuple[tuple[str, Any], ...] = (
    ("at", 10**18),
    ("at", -1),
    ("at", "yesterday"),
    ("at", LATEST + 1),
    ("seat", 7),
    ("kind", "song"),
    ("step", "leap"),
    ("sets", "no JSON"),
    ("sets", '{"cord": 1}'),
    ("sets", "[[1, 2]]"),
    ("sets", '[["cord", 1, null, "here"]]'),
    ("sets", '[["cord", "one", null, {"plugs": [["A1", null]], "ends": 2, "length_cm": null}]]'),
    ("sets", '[["cord", 90, null, {"plugs": [["A1", null]], "ends": "two", "length_cm": "long"}]]'),
    ("sets", '[["note", 1, null, {}]]'),
    ("sets", '[["patch", "x", null, 5]]'),
    ("sets", '[["nowhere", "x", null, 5]]'),
    ("sets", "[" * 100_000),
    ("told", "null"),
    ("told", '[{"kind": 1}]'),
    ("told", '[{"kind": "said", "words": "x", "indent": 1000000000}]'),
    ("typed", b"\xff\xfe"),
    ("entry", None),
)


@pytest.mark.parametrize("right_sums", [False, True])
@pytest.mark.parametrize(("column", "value"), NONSENSE, ids=[f"{column}-{n}" for n, (column, _) in enumerate(NONSENSE)])
def test_an_entry_with_nonsense_in_it_is_such_an_entry(
    killed: Evening,
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
    column: str,
    value: Any,
    right_sums: bool,
) -> None:
    place = laid_out(killed, tmp_path / "d")
    if column == "entry":
        with pytest.raises(sqlite3.IntegrityError):  # what stands in for it: a value of another type
            altered(place, 17, column, value)
        value = 5.5
    altered(place, 17, column, value, right_sums)
    with sqlite3.connect(place) as book:
        book.execute("DELETE FROM checkpoints")  # so that it must be read again
    book.close()
    was = place.read_bytes()
    assert main(["log", str(ATTIC), "--logbook", str(place)]) in (0, 1)
    text = capsys.readouterr()
    assert "note 39" in text.out and "pre 1 out > squash in" in text.out
    assert place.read_bytes() == was
    kept = reopened(place)
    assert [entry.typed for entry in kept.recorded(100) if entry.id in (16, 18)] == [LINES[15], LINES[17]]
    told = " ".join(kept.opened)
    if not right_sums:
        assert "entry 17 (" in told and "is damaged" in told
    assert right_sums or kept.bay_unknown
    do(kept, "note on", "undo", "plug a2")
    kept.close()
    reopened(place).close()


def test_one_that_is_heard_from_another_seat_is_told_and_the_next_is_done(tmp_path: Path) -> None:
    anna, ben = open_at(tmp_path, "anna"), open_at(tmp_path, "ben")
    do(anna, "plug a5", "plug a12", "note on")
    altered(tmp_path / NAME, 2, "sets", "no JSON")
    heard = [each.words for each in ben.catch_up()]
    assert heard[0] == "anna: plug a5"
    assert (
        heard[1].startswith("entry 2 (20") and "is damaged: what it set cannot be read; it reads: plug a12" in heard[1]
    )
    assert heard[2] == "anna: note on"
    do(ben, "note too")


def test_a_changed_entry_before_the_last_checkpoint_is_found_when_nobody_types(killed: Evening, tmp_path: Path) -> None:
    place = laid_out(killed, tmp_path / "d")
    reopened(place).close()  # which sets the session down
    altered(place, 17, "typed", "note 1000")
    kept = reopened(place)
    assert len(kept.opened) == 1, "the opening looks at what follows the last checkpoint"
    kept.tidy()
    (heard,) = kept.catch_up()
    assert heard.words.startswith("entry 17 (20") and "it is not what was written; it reads: note 1000" in heard.words
    assert all_of(kept.session) == killed.session
    (damaged,) = [entry for entry in kept.recorded(100) if entry.kind == DAMAGED]
    assert damaged.id == 17


def test_entries_that_are_missing_in_the_middle_are_told(killed: Evening, tmp_path: Path) -> None:
    place = laid_out(killed, tmp_path / "d")
    with sqlite3.connect(place) as book:
        book.execute("DELETE FROM record WHERE id BETWEEN 20 AND 25")
    book.close()
    kept = reopened(place)
    assert any("entries 20 to 25 are missing" in words for words in kept.opened)
    assert [entry.typed for entry in kept.recorded(100) if entry.typed][18:20] == [LINES[18], LINES[25]]


def test_random_damage_is_whole_or_told(killed: Evening, tmp_path: Path) -> None:
    """`tests.bench.record_damage` does thousands of them."""
    rng = Random(5)
    told = 0
    for _ in range(FILES):
        what, changed = damage(rng, killed.files)
        verdict, _words = judged(killed, laid_out(killed, tmp_path / "d", **changed))
        assert verdict != "SILENT", what
        told += verdict == "told"
    assert FILES > told > FILES // 4


# Setting aside


NOISE = b"not a database at all " * 300


def own(monkeypatch: pytest.MonkeyPatch, tmp_path: Path, lines: list[str]) -> Path:
    """A closed record in the user's state directory."""
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path))
    kept = RecordedSession.open(read_room_file(ATTIC), seat="anna")
    do(kept, *lines)
    kept.close()
    assert kept.place is not None
    return kept.place


def test_after_setting_aside_the_bay_is_unknown_and_reset_is_offered(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    place = own(monkeypatch, tmp_path, LINES)
    place.write_bytes(NOISE)
    kept = RecordedSession.open(read_room_file(ATTIC), seat="ben")
    assert "The bay is unknown: begin by looking. 'reset' lists" in kept.opened[-1]
    assert kept.bay_unknown
    assert not kept.is_new, "or the house patch would be shown as if it were plugged"
    assert kept.enter_together(kept.session.house_entries()) == []
    kept._lay_down(None)
    again = RecordedSession.open(read_room_file(ATTIC), seat="cleo")
    assert again.bay_unknown and not again.is_new
    do(again, "reset")
    assert not again.bay_unknown


def test_what_can_be_read_of_a_damaged_logbook_goes_into_the_new_one(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    lines = [*EVENING, *(f"note {number} {'x' * 300}" for number in range(200))]
    place = own(monkeypatch, tmp_path, lines)
    data = bytearray(place.read_bytes())
    at = data.index(b"note 100 xx") // 4096 * 4096
    data[at : at + 4096] = Random(3).randbytes(4096)
    place.write_bytes(data)
    kept = RecordedSession.open(read_room_file(ATTIC), seat="ben")
    (said,) = [words for words in kept.opened if "set aside" in words]
    entries = [entry for entry in kept.recorded(1000) if entry.typed]
    assert len(lines) > len(entries) > len(lines) - 12
    assert f"{len(entries)} entries of it could be read" in said
    assert all(entry.typed == lines[entry.id - 1] for entry in entries), "each keeps its number"
    (hole,) = [entry for entry in kept.recorded(1000) if entry.kind == DAMAGED]
    assert "are missing" in hole.entry and hole.id in range(100, 130)
    assert kept.recorded(1)[0].id > len(lines)


def test_of_many_seats_that_find_the_damage_one_sets_it_aside(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    room = read_room_file(ATTIC)
    place = own(monkeypatch, tmp_path, LINES)
    for turn in range(4):
        place.write_bytes(NOISE if turn % 2 else place.read_bytes()[:4096])

        def opening(seat: int) -> None:
            kept = RecordedSession.open(room, seat=f"seat {seat}")
            assert kept.keeping is None, kept.keeping
            assert not kept.is_new
            assert kept.enter(f"note {seat}").ok
            kept.close()

        assert end_well_together(5, opening)
        asides = {file.name for file in place.parent.iterdir() if ".damaged-" in file.name and "-wal" not in file.name}
        assert len({name for name in asides if not name.endswith("-shm")}) == turn + 1
        notes = [typed for typed in printed(place) if typed in {f"note {seat}" for seat in range(5)}]
        assert len(notes) >= 5


def test_seats_that_are_open_when_it_is_damaged_go_on_with_the_bay_as_it_was(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    place = own(monkeypatch, tmp_path, LINES)
    anna, ben = (RecordedSession.open(read_room_file(ATTIC), seat=name) for name in ("anna", "ben"))
    was = all_of(anna.session)
    place.write_bytes(NOISE)
    do(anna, "note after")
    assert any("The bay is as it was" in each.words for each in anna.catch_up())
    ben.catch_up()
    do(ben, "plug a2")
    anna.catch_up()
    assert all_of(anna.session) == all_of(ben.session) != was
    assert anna.keeping is None and ben.keeping is None
    cleo = RecordedSession.open(read_room_file(ATTIC), seat="cleo")
    assert all_of(cleo.session) == all_of(ben.session)
    assert not cleo.bay_unknown


def test_the_kind_that_says_the_bay_is_unknown_is_in_the_record(killed: Evening, tmp_path: Path) -> None:
    kept = reopened(laid_out(killed, tmp_path / "d", wal=None))
    assert kept._book is not None
    assert [entry.kind for entry in kept._book.entries()][-1] == UNKNOWN


def test_a_long_record_is_opened_from_its_last_checkpoint(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The rows that an opening reads do not grow with the record: counted, not timed."""
    monkeypatch.setattr(recorded_session, "ENTRIES_A_CHECKPOINT", 10)
    kept = open_at(tmp_path)
    for number in range(95):
        do(kept, f"note {number}")
    kept._lay_down(None)
    read: list[int] = []
    taken: Callable[..., Any] = recorded.Chain.take

    def take(chain: Any, row: Any) -> Any:
        read.append(row[0])
        return taken(chain, row)

    monkeypatch.setattr(recorded.Chain, "take", take)
    again = open_at(tmp_path)
    assert 0 < len(read) <= 10
    read.clear()
    again.tidy()
    assert read[0] == 1, "the rest is looked through when nobody types"
    assert json.loads((tmp_path / f"{NAME}-count").read_bytes())[1] == 95
