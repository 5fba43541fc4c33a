"""What Enter promises: what its preview said or nothing, whole or not at all, and a record that comes back by itself."""

from __future__ import annotations

import os
import sqlite3
from pathlib import Path

import pytest

from model.entry.notes import NOTES
from model.record import logbook, recorded_session
from model.record.logbook import Logbook
from model.record.recorded_session import RecordedSession
from model.record.room_file import read_room_file
from model.session import Session
from tests.recorded import ATTIC, all_of, do, end_well_together, in_another_program, open_at, typed_in
from tests.said import words_of

# Enter does what its preview said


@pytest.mark.parametrize(
    ("typed", "meanwhile", "comes_of_it"),
    [
        ("undo", "undo", "instead"),  # it would take back another step
        ("undo", "pull a5", "instead"),
        ("undo", "a13 > b5", "instead"),
        ("redo", "redo", "instead"),
        ("a1 > b1", "a13 > b5", "instead"),  # the cord would bear another number
        ("a1 > b1", "phantom pre 1 on", "instead"),  # it would raise a warning
        ("pull a5", "pull all", "refused"),
        ("a13 > b5", "b5 > a14", "refused"),  # by the jack
        ("pull a5", "note thin", "done"),
        ("undo", "note thin", "done"),
    ],
)
def test_what_changed_since_the_preview_is_refused_once(
    tmp_path: Path, typed: str, meanwhile: str, comes_of_it: str
) -> None:
    anna, ben = open_at(tmp_path, "anna"), open_at(tmp_path, "ben")
    do(anna, "put ribbon on booth 1", "a5 > b19", "a12 > b11", "plug a15", "plug a16", "undo", "undo")
    ben.catch_up()
    seen = anna.preview(typed)
    assert seen.ok
    do(ben, meanwhile)
    was = all_of(ben.session)
    outcome = anna.enter(typed, seen)  # anna's screen has not caught up: another seat was faster within the blink
    assert outcome.ok == (comes_of_it == "done")
    assert (outcome.instead is not None) == (comes_of_it == "instead")
    if outcome.ok:
        assert outcome.difference == seen.difference
        return
    assert f"(just now, ben: {meanwhile})" in (outcome.error or "")
    assert all_of(anna.session) == was
    if outcome.instead is None:
        return  # not possible any more: that is the whole answer
    assert "something else now than its preview said" in (outcome.error or "")
    assert outcome.instead.asked and outcome.instead.ok
    again = anna.enter(typed, outcome.instead)
    assert again.ok and again.difference == outcome.instead.difference


def test_the_preview_of_another_text_does_not_count(tmp_path: Path) -> None:
    anna, ben = open_at(tmp_path, "anna"), open_at(tmp_path, "ben")
    seen = anna.preview("a13 > b5")
    do(ben, "a5 > b19")
    assert anna.enter("a13 > b5 ", seen).ok


def test_what_takes_the_same_jack_while_the_entry_waits_for_the_logbook(tmp_path: Path) -> None:
    """The other seat's entry is committed between this seat's last look and its turn to write."""
    anna, ben = open_at(tmp_path, "anna"), open_at(tmp_path, "ben")
    do(anna, "a5 > b19", "a12 > b11")
    ben.catch_up()
    seen = anna.preview("undo")
    begin = anna._begin

    def after_ben() -> None:
        anna._begin = begin  # type: ignore[method-assign]
        do(ben, "undo")
        begin()

    anna._begin = after_ben  # type: ignore[method-assign]
    outcome = anna.enter("undo", seen)
    assert outcome.instead is not None
    assert "ben: undo" in (outcome.error or "")
    assert words_of(outcome.instead) == ("undone: plug A5 > B19",)
    assert typed_in(tmp_path / "attic.logbook") == ["a5 > b19", "a12 > b11", "undo"]


def test_undo_names_whose_and_what_before_enter() -> None:
    session = Session(read_room_file(ATTIC).room, "anna")
    session.enter("a5 > b19")
    session.seat = "ben"
    assert words_of(session.preview("undo")) == ("undone: plug A5 > B19 (typed by anna)",)


# Several entries, all or none


def test_the_house_patch_is_whole_or_not_there(tmp_path: Path) -> None:
    """A program that is killed at any call of the database while it plugs the house patch leaves all of it, or nothing."""
    room = read_room_file(ATTIC)
    house = Session(room.room).house_entries()
    assert len(house) > 2
    lengths: set[int] = set()
    for moment in range(400):
        place = tmp_path / f"at{moment}.logbook"

        def plug(place: Path = place, moment: int = moment) -> None:
            from tests.test_logbook_kill import die_at

            kept = RecordedSession.open(room, place, "anna")
            die_at(moment)
            kept.enter_together(house)
            os._exit(9)

        child = in_another_program(plug)
        ended = os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])
        again = RecordedSession.open(room, place, "ben")
        lengths.add(again._last)
        assert again.is_new == (again._last == 0)
        again.close()
        if ended == 9:
            break
    assert ended == 9, "it was never left to its end"
    assert lengths == {0, len(house)}


def test_a_house_patch_of_which_a_cord_is_refused_is_not_there(tmp_path: Path) -> None:
    kept = open_at(tmp_path)
    outcomes = kept.enter_together(["plug a5", "plug a5"])
    assert [outcome.ok for outcome in outcomes] == [True, False]
    assert "already holds a plug" in (outcomes[-1].error or "")
    assert not kept.session.patch.state.cords
    assert kept.is_new
    assert typed_in(tmp_path / "attic.logbook") == []
    alone = Session(kept.session.room)
    assert [outcome.ok for outcome in alone.enter_together(["plug a5", "plug a5"])] == [True, False]
    assert not alone.patch.state.cords


def test_of_two_seats_that_open_a_new_room_one_plugs_the_house_patch(tmp_path: Path) -> None:
    anna, ben = open_at(tmp_path, "anna"), open_at(tmp_path, "ben")
    assert anna.is_new and ben.is_new
    assert [outcome.ok for outcome in ben.enter_together(["plug a5", "plug a12"])] == [True, True]
    assert anna.enter_together(["plug a5", "plug a12"]) == []
    assert all_of(anna.session) == all_of(ben.session)


def test_a_house_patch_that_cannot_be_kept_is_not_there(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(logbook, "PATIENCE_S", 0.01)
    kept = open_at(tmp_path)
    other = sqlite3.connect(tmp_path / "attic.logbook", isolation_level=None)
    other.execute("BEGIN IMMEDIATE")
    (outcome,) = kept.enter_together(["plug a5", "plug a12"])
    assert "locked" in (outcome.error or "")
    assert not kept.session.patch.state.cords


# A record that comes back by itself


@pytest.fixture
def hasty(monkeypatch: pytest.MonkeyPatch) -> None:
    """Seats that do not wait for who holds the logbook, and try again at each look."""
    monkeypatch.setattr(logbook, "PATIENCE_S", 0.01)
    monkeypatch.setattr(recorded_session, "PATIENCE_S", 0.01)
    monkeypatch.setattr(recorded_session, "RETRY_S", 0.0)


@pytest.mark.usefixtures("hasty")
def test_a_seat_that_met_a_locked_write_goes_on_listening(tmp_path: Path) -> None:
    anna, ben = open_at(tmp_path, "anna"), open_at(tmp_path, "ben")
    assert ben._book is not None
    ben._book.begin()
    assert "locked" in (anna.enter("plug a5").error or "")
    ben._book.roll_back()
    do(ben, "plug a12", "undo", "redo")
    other = sqlite3.connect(tmp_path / "attic.logbook", isolation_level=None)
    other.execute("BEGIN IMMEDIATE")  # still locked for who writes
    assert [heard.words for heard in anna.catch_up()] == ["ben: plug a12", "ben: undo", "ben: redo"]
    assert "locked" in (anna.keeping or ""), "it says so until it is whole again"
    other.execute("ROLLBACK")
    assert anna.catch_up() == []
    assert anna.keeping is None
    assert all_of(anna.session) == all_of(ben.session)


@pytest.mark.usefixtures("hasty")
def test_what_was_done_without_the_record_is_written_without_a_further_entry(tmp_path: Path) -> None:
    anna, ben = open_at(tmp_path, "anna"), open_at(tmp_path, "ben")
    other = sqlite3.connect(tmp_path / "attic.logbook", isolation_level=None)
    other.execute("BEGIN IMMEDIATE")
    assert not anna.enter("plug a5").ok
    do(anna, "unrecorded", "plug a5", "note mine")
    me_too = ben.session.decide("note his")
    from model.record.restore import recorded_outcome

    Logbook(other, tmp_path / "attic.logbook").append([recorded_outcome(1, "ben", me_too)])
    other.execute("COMMIT")
    other.execute("BEGIN IMMEDIATE")
    assert [heard.words for heard in anna.catch_up()] == ["ben: note his"]
    assert anna.session.get(NOTES) == ("his", "mine")
    assert "2 entries not in the record" in (anna.keeping or "")
    assert anna.catch_up() == []
    other.execute("ROLLBACK")
    assert anna.catch_up() == []
    assert anna.keeping is None
    assert typed_in(tmp_path / "attic.logbook") == ["note his", "plug a5", "note mine"]
    ben.catch_up()
    assert all_of(anna.session) == all_of(ben.session)


def test_many_seats_open_a_new_room_at_one_moment(tmp_path: Path) -> None:
    """They wait at a gate, so that they come together; BAYHAND_OPENINGS gives the rounds, for longer runs by hand."""
    room = read_room_file(ATTIC)
    open_at(tmp_path).close()  # what an opening loads is loaded before the programs are copied
    for turn in range(int(os.environ.get("BAYHAND_OPENINGS", "5"))):
        place = tmp_path / f"new{turn}.logbook"

        def opening(seat: int, place: Path = place) -> None:
            kept = RecordedSession.open(room, place, f"seat {seat}")
            assert kept.keeping is None, kept.keeping
            assert kept.opened == [] or "going on after" in kept.opened[0], kept.opened
            assert not kept.is_new or all(outcome.ok for outcome in kept.enter_together(["plug a5", "plug a12"]))
            assert kept.enter(f"note {seat}").ok
            kept.close()

        assert end_well_together(6, opening)
        typed = typed_in(place)
        assert typed.count("plug a5") == typed.count("plug a12") == 1
        assert sorted(typed[2:]) == [f"note {seat}" for seat in range(6)]
