"""The room file changes under its record: what still holds is kept, and what does not is said and recorded."""

from __future__ import annotations

import sqlite3
import zlib
from pathlib import Path

import pytest

from model.entry.notes import NOTES
from model.record.logbook import Logbook
from model.record.recorded import REMARK, ROOM
from model.record.recorded_session import RecordedSession
from tests.recorded import ATTIC, all_of, do, open_at

LINES = (
    "pre 1 out > squash in",  # cord 1, A5 > B19
    "squash out > interface in 7",  # cord 2, A12 > B11
    "plug a11",  # cord 3
    "phantom pre 1 on",
    "put cond on booth 1",
    "put ribbon on booth 2",
    "note thin",
    "pull #3",
    "undo",
)


@pytest.fixture
def room(tmp_path: Path) -> Path:
    """A copy of the attic's file, with an evening's record."""
    path = tmp_path / "attic.yaml"
    path.write_text(ATTIC.read_text("utf-8"), "utf-8")
    kept = open_at(tmp_path, room=path)
    do(kept, *LINES)
    kept.close()
    return path


def change(room: Path, *changes: tuple[str, str]) -> None:
    text = room.read_text("utf-8")
    for old, new in changes:
        assert old in text
        text = text.replace(old, new)
    room.write_text(text, "utf-8")


def reopened(room: Path) -> tuple[RecordedSession, list[str]]:
    """The session of the changed room, and what was said of it; the record holds that too."""
    kept = open_at(room.parent, room=room)
    assert kept.keeping is None
    said = [words for words in kept.opened if "going on after" not in words]
    book = Logbook.open_to_read(room.parent / "attic.logbook", in_own_place=False)
    assert [entry.entry for entry in book.entries() if entry.kind in (ROOM, REMARK)] == said
    book.close()
    # opened once more, without a change: the same session, and nothing more to say
    again = open_at(room.parent, room=room)
    assert again.opened == [f"going on after entry {len(LINES) + len(said)} of the record"]
    assert all_of(again.session) == all_of(kept.session)
    return kept, said


def in_jacks(kept: RecordedSession) -> dict[int, list[str]]:
    jacks = kept.session.room.jacks
    return {number: [jacks[j].address for j in cord.plugs] for number, cord in kept.session.patch.state.cords.items()}


ALL = {1: ["A5", "B19"], 2: ["A12", "B11"], 3: ["A11"]}
HOLDS, HOLDS_NOT = (
    "the room file has changed: all that was in the bay still holds",
    "the room file has changed: this no longer holds as it was",
)


def test_words_and_order_of_the_file_do_not_matter(room: Path) -> None:
    change(
        room, ("# Candle Attic:", "# A word of explanation more.\n#\n# Candle Attic:"), ("# the voice", "# her voice")
    )
    kept, said = reopened(room)
    assert said == []
    assert in_jacks(kept) == ALL
    assert len(kept.session.now.taken) == 6
    assert len(kept.session.now.undone) == 1


def test_a_change_that_touches_nothing_in_use_leaves_all_as_it_was(room: Path) -> None:
    change(room, ("      13-18: half\n", "      13-18: full\n"), ("ohms: 15000", "ohms: 600"))
    kept, said = reopened(room)
    assert said == [HOLDS]
    assert in_jacks(kept) == ALL
    assert len(kept.session.now.taken) == 6
    assert [undone.entry for undone in kept.session.now.undone] == ["pull #3"]
    do(kept, "redo", "undo", "undo", "undo")
    assert not kept.session.patch.state.mics.keys() - {0}


def test_a_row_with_a_new_name(room: Path) -> None:
    change(room, ("      B:\n", "      M:\n"))
    kept, said = reopened(room)
    assert said == [
        HOLDS_NOT,
        "cord 1: the room has no jack B19 now; Squash in is at M19",
        "cord 1 stays in A5 with a loose end",
        "cord 2: the room has no jack B11 now; Interface in 7 is at M11",
        "cord 2 stays in A12 with a loose end",
        "undo reaches back over 4 of 6 actions: the earlier ones do not fit the room any more",
    ]
    assert in_jacks(kept) == {1: ["A5"], 2: ["A12"], 3: ["A11"]}
    assert "loose-end" in {warning.rule for warning in kept.session.patch.standing_warnings()}
    do(kept, "#1 > M19")
    assert in_jacks(kept)[1] == ["A5", "M19"]


def test_a_jack_that_is_wired_to_something_else_now(room: Path) -> None:
    change(room, ("        11: Drum box\n        12: Squash out\n", "        11: Squash out\n        12: Drum box\n"))
    kept, said = reopened(room)
    assert said == [
        HOLDS_NOT,
        "cord 2 stays in A12, which was Squash out and is Drum box now; Squash out is at A11",
        "cord 3 stays in A11, which was Drum box and is Squash out now; Drum box is at A12",
    ]
    assert in_jacks(kept) == ALL
    assert ("Drum box", "Interface in 7") in kept.session.patch.all_that_stands().made
    assert len(kept.session.now.taken) == 6


def test_jacks_that_are_gone_or_wired_to_nothing(room: Path) -> None:
    change(
        room,
        ("        12: Squash out\n        13-20: Interface out {1-8}\n", "        13-20: Interface out {1-8}\n"),
        ("  - Squash out > Interface in 1\n", ""),
        ("        11: Drum box\n", ""),
        ("  Drum box: {is: line out, ohms: 600, level: -10 dBV, cable: 3}\n", ""),
    )
    kept, said = reopened(room)
    assert said == [
        HOLDS_NOT,
        "cord 2 stays in A12, which was Squash out and is wired to nothing now; Squash out is at no jack",
        "cord 3 stays in A11, which was Drum box and is wired to nothing now; there is no Drum box either",
    ]
    assert in_jacks(kept) == ALL


def test_a_microphone_a_line_and_a_supply_that_are_gone(room: Path) -> None:
    change(
        room,
        ("  ribbon: {ohms: 300, harmed: yes}\n", ""),
        ("ohms: 2200, phantom: 48, switch: Pre pair A, cable: 2", "ohms: 2200, cable: 2"),
        ("  Booth {1-4}: {is: mic line, cable: 6}\n", "  Booth {2-5}: {is: mic line, cable: 6}\n"),
        ("        1-4: Booth {1-4}\n", "        1-4: Booth {2-5}\n"),
    )
    kept, said = reopened(room)
    assert said == [
        HOLDS_NOT,
        "phantom 'Pre pair A' was on at Pre 1 in and Pre 2 in: the room has no such supply now",
        "the condenser was on Booth 1: the room has no Booth 1 now",
        "the ribbon was on Booth 2: the locker has no ribbon now",
        "undo reaches back over 0 of 6 actions: the earlier ones do not fit the room any more",
    ]
    assert in_jacks(kept) == ALL
    assert not kept.session.patch.state.switches
    assert not kept.session.patch.state.mics
    assert kept.session.get(NOTES) == ("thin",)


def test_a_supply_that_feeds_others_now(room: Path) -> None:
    change(room, ("switch: Pre pair B", "switch: Pre pair A"))
    kept, said = reopened(room)
    assert said == [
        HOLDS_NOT,
        "phantom 'Pre pair A' stays on: it fed Pre 1 in and Pre 2 in and feeds Pre 1 in, Pre 2 in, Pre 3 in and Pre 4 in now",
    ]
    assert list(kept.session.patch.state.switches) == ["Pre pair A"]


def test_a_seat_that_goes_by_the_old_file_is_told_to_open_it_again(room: Path) -> None:
    old = open_at(room.parent, "anna", room)
    change(room, ("      B:\n", "      M:\n"))
    new = open_at(room.parent, "ben", room)
    do(new, "#1 > M19")
    was = all_of(old.session)
    assert old.catch_up() == []
    assert "room file has changed" in (old.keeping or "")
    for line in ("pull all", "unrecorded", "plug b19"):
        assert "close the room and open it again" in (old.enter(line).error or ""), line
    assert all_of(old.session) == was
    old.close()
    do(new, "undo")
    assert new.catch_up() == []


def test_a_file_that_was_moved_brings_its_record_along_where_its_logbook_is_named(room: Path, tmp_path: Path) -> None:
    there = tmp_path / "there"
    there.mkdir()
    moved = room.rename(there / "attic.yaml")
    kept = open_at(tmp_path, room=moved)
    assert in_jacks(kept) == ALL
    assert kept.opened == [f"going on after entry {len(LINES)} of the record"]


def test_an_old_file_that_can_no_longer_be_read(room: Path) -> None:
    """A later version of this program may refuse what an earlier one took."""
    with sqlite3.connect(room.parent / "attic.logbook") as book:
        book.execute("UPDATE rooms SET text = ?", (zlib.compress(b"bayhand: 0"),))
    book.close()
    change(room, ("        11: Drum box\n        12: Squash out\n", "        11: Squash out\n        12: Drum box\n"))
    kept, said = reopened(room)
    assert said[:2] == [HOLDS_NOT, "the room file as it was cannot be read by this version of bayhand"]
    assert in_jacks(kept) == ALL
