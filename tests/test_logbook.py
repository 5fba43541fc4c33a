"""The logbook on a good day: what is on disk, what is there again, and two seats at one room."""

from __future__ import annotations

import json
import sqlite3
from pathlib import Path
from random import Random

import pytest

from model.entry import session_state
from model.entry.notes import NOTES
from model.record import recorded_session
from model.record.logbook import Logbook
from model.record.place import logbook_place
from model.record.recorded_session import RecordedSession
from model.record.room_file import RoomFile
from model.record.tables import difference_in, sets_of_bay
from model.room.wiring import Room
from model.session import Session
from tests.random_rooms import random_room
from tests.recorded import ATTIC, all_of, do, open_at
from tests.said import words_of
from tui.cli.main import main

EVENING = (
    "pre 1 out > squash in",
    "b20 > a9 as #12 with 60 cm",
    "plug a11",
    "a12 > b5 and b6",
    "phantom pre 1 on",
    "put cond on booth 1",
    "note the voice sounds thin [red]",
    "pull b20",
    "unplug b6",
    "undo",
    "undo",
    "undo",
    "redo",
    "save first take",
)


def test_opening_again_goes_on_where_it_was(tmp_path: Path) -> None:
    kept = open_at(tmp_path)
    do(kept, *EVENING)
    was = all_of(kept.session)
    # no farewell: the program may have been killed
    again = open_at(tmp_path)
    assert all_of(again.session) == was
    assert again.session.patch.state.__eq__(kept.session.patch.state)
    assert [str(undone.entry) for undone in again.session.now.undone] == ["unplug B6", "pull #12"]
    assert again.session.get(NOTES) == ("the voice sounds thin [red]",)
    assert again.history == list(EVENING)
    assert again.opened == [f"going on after entry {len(EVENING)} of the record"]
    kept.close()
    do(again, "redo")
    again.close()
    once_more = open_at(tmp_path)
    assert all_of(once_more.session) == all_of(again.session)


def test_a_line_is_in_the_file_when_it_is_answered(tmp_path: Path) -> None:
    kept = open_at(tmp_path)
    for number, line in enumerate(EVENING, 1):
        do(kept, line)
        with sqlite3.connect(tmp_path / "attic.logbook") as other:
            assert other.execute(
                "SELECT count(*), max(typed) FILTER (WHERE id = ?) FROM record", (number,)
            ).fetchone() == (
                number,
                line,
            )


def test_the_file_is_written_through_at_each_line(tmp_path: Path) -> None:
    """WAL with synchronous FULL is durable through a failure of the power: https://www.sqlite.org/wal.html, 'Overview'."""
    kept = open_at(tmp_path)
    assert kept._book is not None
    settings = {
        name: kept._book._db.execute(f"PRAGMA {name}").fetchone()[0] for name in ("journal_mode", "synchronous")
    }
    assert settings == {"journal_mode": "wal", "synchronous": 2}


def test_what_only_asks_and_what_is_refused_is_not_in_the_record(tmp_path: Path) -> None:
    kept = open_at(tmp_path)
    assert kept.enter("a5 > b19 ?").asked
    assert not kept.enter("a5 > nowhere").ok
    assert not kept.enter("").ok
    assert kept.catch_up() == []
    assert kept._book is not None
    assert list(kept._book.entries()) == []
    assert kept.history == []


def test_all_that_an_action_is_comes_back_from_the_record() -> None:
    rng = Random(3)
    for _ in range(20):
        session = Session(random_room(rng))
        for line in random_lines(rng, session.room, 60):
            session.enter(line)
        for step in session.now.taken:
            sets = json.loads(json.dumps(sets_of_bay(step.difference, session.room)))
            found = difference_in(session.room, sets)
            assert found is not None and sorted(found, key=str) == sorted(step.difference, key=str)


def random_lines(rng: Random, room: Room, count: int) -> list[str]:
    """Lines that somebody might type, many of them not possible."""

    def jack() -> str:
        return rng.choice(room.jacks).address

    supplies = [port.name for port in room.ports if port.supply is not None] or ["A1"]
    lines = [port.name for port in room.ports if port.kind.is_mic_line] or ["A1"]
    forms = (
        lambda: f"{jack()} > {jack()}",
        lambda: f"plug {jack()} > {jack()} and {jack()} with {rng.randint(30, 90)} cm",
        lambda: f"plug {jack()} as #{rng.randint(1, 30)}",
        lambda: f"#{rng.randint(1, 5)} > {jack()}",
        lambda: f"unplug {jack()}",
        lambda: f"pull #{rng.randint(1, 5)}",
        lambda: f"move {jack()} > {jack()}",
        lambda: f"phantom {rng.choice(supplies)} {rng.choice(('on', 'off'))}",
        lambda: f"put {rng.choice(room.mics).name} on {rng.choice(lines)}",
        lambda: f"clear {rng.choice(lines)}",
        lambda: "undo",
        lambda: "undo",
        lambda: "redo",
        lambda: "pull all" if rng.random() < 0.2 else "undo",
        lambda: f"note {rng.random()}",
    )
    return [rng.choice(forms)() for _ in range(count)]


@pytest.mark.parametrize("seed", range(6))
def test_seats_agree_whatever_is_typed_where(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, seed: int) -> None:
    """Three seats in a random room, one of which is closed and opened again and again; in the end all are the same."""
    monkeypatch.setattr(recorded_session, "ENTRIES_A_CHECKPOINT", 9)
    monkeypatch.setattr(session_state, "DEEPEST_UNDO", 12)
    rng = Random(seed)
    file = RoomFile(tmp_path / "random.yaml", "not read again", random_room(rng))
    place = tmp_path / "random.logbook"
    seats = [RecordedSession.open(file, place, name) for name in ("anna", "ben", "cleo")]
    alone = Session(file.room)  # the same lines, typed in one place and kept nowhere
    taken = 0
    for line in random_lines(rng, file.room, 150):
        here = rng.randrange(3)
        if here == 2 and rng.random() < 0.2:
            if rng.random() < 0.5:
                seats[2].close()
            seats[2] = RecordedSession.open(file, place, "cleo")
        outcome, expected = seats[here].enter(line), alone.enter(line)
        assert (outcome.ok, outcome.change) == (expected.ok, expected.change), (
            f"{line}: {outcome.error} {expected.error}"
        )
        taken += outcome.ok
    assert taken > 40
    seats.append(RecordedSession.open(file, place, "dora"))
    for seat in seats:
        seat.catch_up()
        assert seat.session.patch.state.__eq__(alone.patch.state)
        assert seat.session.patch.standing == alone.patch.standing
        assert [step.entry for step in seat.session.now.taken] == [step.entry for step in alone.now.taken]
        assert [step.entry for step in seat.session.now.undone] == [step.entry for step in alone.now.undone]
        assert seat.session.get(NOTES) == alone.get(NOTES)
    for seat in seats:  # and what was taken up quietly is taken back exactly
        while seat.session.now.taken:
            assert seat.session.enter("undo anyway").ok
    while alone.now.taken:
        assert alone.enter("undo anyway").ok
    assert all(seat.session.patch.standing == alone.patch.standing for seat in seats)
    assert all(seat.session.patch.state.__eq__(alone.patch.state) for seat in seats)


def test_undo_reaches_back_over_a_thousand_actions_and_says_so_when_it_ends(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert session_state.DEEPEST_UNDO == 1000
    monkeypatch.setattr(session_state, "DEEPEST_UNDO", 20)
    kept = open_at(tmp_path)
    for _ in range(15):
        do(kept, "plug a5", "pull a5")
    kept.close()
    again = open_at(tmp_path)
    for seat in (kept, again):
        assert len(seat.session.now.taken) == 20
    do(again, *["undo"] * 20)
    outcome = again.enter("undo")
    assert outcome.error == "there is nothing to undo"
    assert not again.session.patch.state.cords


def test_a_line_of_one_seat_appears_at_the_other_and_says_who_did_it(tmp_path: Path) -> None:
    anna, ben = open_at(tmp_path, "anna"), open_at(tmp_path, "ben")
    assert ben.catch_up() == []
    do(anna, "pre 1 out > squash in")
    (heard,) = ben.catch_up()
    assert (heard.seat, heard.words) == ("anna", "anna: pre 1 out > squash in")
    assert heard.outcome is not None
    assert heard.outcome.change.made == (("Pre 1 out", "Squash in"),)
    assert ben.catch_up() == []
    outcome = ben.enter("undo")
    assert words_of(outcome) == ("undone: plug A5 > B19 (typed by anna)",)
    (heard,) = anna.catch_up()
    assert heard.words == "ben: undo"
    assert not anna.session.patch.state.cords
    assert words_of(anna.enter("redo")) == ("done again: plug A5 > B19",)


def test_of_two_that_collide_one_wins_and_the_other_is_told_why(tmp_path: Path) -> None:
    anna, ben = open_at(tmp_path, "anna"), open_at(tmp_path, "ben")
    do(anna, "pre 1 out > squash in")
    outcome = ben.enter("pre 2 out > squash in")  # ben's screen has not caught up yet
    assert (
        outcome.error == "B19 already holds a plug of cord 1, which goes to A5 (just now, anna: pre 1 out > squash in)"
    )
    assert [heard.words for heard in ben.catch_up()] == ["anna: pre 1 out > squash in"]
    assert all_of(anna.session) == all_of(ben.session)


def test_asking_for_what_others_did_costs_microseconds(tmp_path: Path) -> None:
    """The bound is wide, for machines that are busy; tests/bench/logbook_speed.py measures it."""
    import time

    kept = open_at(tmp_path)
    kept.catch_up()
    began = time.process_time()
    for _ in range(1000):
        kept.catch_up()
    assert (time.process_time() - began) / 1000 < 0.0005


def test_each_room_file_has_a_logbook_of_its_own(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    first, second = tmp_path / "my room.yaml", tmp_path / "there" / "my room.yaml"
    place = logbook_place(first)
    assert place.parent == tmp_path / "state" / "bayhand"
    assert place.name.startswith("my-room-")
    assert place.suffix == ".logbook"
    assert logbook_place(second) != place
    (tmp_path / "link.yaml").symlink_to(first)
    assert logbook_place(tmp_path / "link.yaml") == place
    monkeypatch.chdir(tmp_path)
    assert logbook_place(Path("my room.yaml")) == place
    # a directory that is not absolute is not valid: XDG Base Directory Specification 0.8
    monkeypatch.setenv("XDG_STATE_HOME", "state")
    monkeypatch.setenv("HOME", str(tmp_path))
    assert logbook_place(first).parent == tmp_path / ".local" / "state" / "bayhand"


def test_the_record_is_printed(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path))
    assert main(["log", str(ATTIC)]) == 0
    assert "nothing is recorded" in capsys.readouterr().err
    from model.record.room_file import read_room_file

    kept = RecordedSession.open(read_room_file(ATTIC), seat="anna")
    do(kept, "pre 1 out > squash in", "note hot \N{LATIN SMALL LETTER E WITH ACUTE} [bold]", "undo")
    assert main(["log", str(ATTIC)]) == 0
    text = capsys.readouterr().out
    for words in ("anna  pre 1 out > squash in", "= plug A5 > B19", "made Pre 1 out > Squash in", "note hot é [bold]"):
        assert words in text
    assert main(["log", str(ATTIC), "--json"]) == 0
    entries = [json.loads(line) for line in capsys.readouterr().out.splitlines()]
    assert [entry["typed"] for entry in entries] == ["pre 1 out > squash in", "note hot é [bold]", "undo"]
    assert ("made", "Pre 1 out > Squash in") in [(each["kind"], each["words"]) for each in entries[0]["told"]]
    assert set(entries[0]) == {"number", "at", "seat", "kind", "typed", "entry", "told"}
    assert main(["log", str(ATTIC), "--logbook", str(tmp_path / "no")]) == 2
    assert "no such logbook" in capsys.readouterr().err
    assert main(["log", str(ATTIC), "--logbook", str(ATTIC)]) == 2
    assert "is not a logbook" in capsys.readouterr().err


def test_reading_the_record_changes_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path))
    kept = open_at(tmp_path)
    do(kept, *EVENING)
    kept.close()
    place = tmp_path / "attic.logbook"
    was = place.read_bytes()
    book = Logbook.open_to_read(place)
    assert [entry.typed for entry in book.entries()] == list(EVENING)
    book.close()
    assert place.read_bytes() == was
