"""A room file that was moved or renamed finds its record again."""

from __future__ import annotations

from pathlib import Path

import pytest

from model.record.faults import CannotKeep
from model.record.moved_room import records_left_of
from model.record.place import logbook_place
from model.record.recorded_session import RecordedSession
from model.record.room_file import read_room_file
from tests.recorded import ATTIC, all_of, do
from tests.test_logbook import EVENING
from tui.cli.run_screen import NEW, not_settled


@pytest.fixture
def room(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A room file with a record in the user's state directory."""
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    path = tmp_path / "attic.yaml"
    path.write_text(ATTIC.read_text("utf-8"), "utf-8")
    kept = RecordedSession.open(read_room_file(path), seat="anna")
    do(kept, *EVENING)
    kept.close()
    return path


@pytest.mark.parametrize("changed", [False, True])
def test_its_record_is_offered_by_name_and_taken_along(room: Path, tmp_path: Path, changed: bool) -> None:
    before = RecordedSession.open(read_room_file(room))
    was = all_of(before.session)
    before.close()
    name = logbook_place(room).stem
    moved = room.rename(tmp_path / "upstairs.yaml")
    if changed:
        moved.write_text(f"# upstairs now\n{moved.read_text('utf-8')}", "utf-8")
    file = read_room_file(moved)
    (left,) = records_left_of(file)
    offered = not_settled(file, None)
    assert f"--record {name} goes on with it" in offered and f"--record {NEW} begins one" in offered
    assert f"{len(EVENING)} entries, the last of 20" in offered and str(room) in offered
    assert "no record nonesuch" in not_settled(file, "nonesuch")
    assert not logbook_place(moved).exists(), "offered, not taken"
    assert not_settled(file, left.name) == ""
    kept = RecordedSession.open(file)
    assert all_of(kept.session) == was
    assert kept.opened == [f"going on after entry {len(EVENING)} of the record"]
    assert not left.place.exists()
    kept.close()
    assert not_settled(file, None) == ""


def test_a_new_one_is_begun_where_that_is_asked_for(room: Path, tmp_path: Path) -> None:
    file = read_room_file(room.rename(tmp_path / "upstairs.yaml"))
    assert not_settled(file, NEW) == ""
    kept = RecordedSession.open(file)
    assert kept.is_new
    kept.close()
    assert not_settled(file, None) == "", "it has a record by now"


def test_nothing_is_offered_where_the_old_file_is_still_there_or_the_room_is_another(
    room: Path, tmp_path: Path
) -> None:
    copy = tmp_path / "copy.yaml"
    copy.write_text(room.read_text("utf-8"), "utf-8")
    assert records_left_of(read_room_file(copy)) == []
    room.unlink()
    assert len(records_left_of(read_room_file(copy))) == 1
    other = ATTIC.with_name("kelpfield.yaml")
    assert records_left_of(read_room_file(other)) == []


def test_one_that_another_seat_has_open_stays_where_it_is(room: Path, tmp_path: Path) -> None:
    anna = RecordedSession.open(read_room_file(room), seat="anna")
    do(anna, "note still here")
    file = read_room_file(room.rename(tmp_path / "upstairs.yaml"))
    (left,) = records_left_of(file)
    with pytest.raises(CannotKeep, match="another seat has the record"):
        not_settled(file, left.name)
    do(anna, "note and on")
    assert left.place.exists() and not logbook_place(file.path).exists()
