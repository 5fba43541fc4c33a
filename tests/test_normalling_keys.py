"""The keys of a bay that say how it is normalled, and what is refused in them."""

from __future__ import annotations

import pytest

from model.room.file import RoomFileErrors, parse_room

BAY = "{{bayhand: 1, room: X, bays: [{{bay: One, columns: 2, rows: {{A: {{}}, B: {{}}}}{keys}}}]}}"


def test_what_is_not_said_has_its_default() -> None:
    """Jumpers of one conductor, reached from the rear; of the sleeve nothing is known."""
    bay = parse_room(BAY.format(keys="")).bays[0]
    assert (bay.normalled_by, bay.reached_from, bay.jumper_carries, bay.sleeve) == ("jumpers", "rear", 1, None)


def test_what_is_said_is_read() -> None:
    """Each key."""
    keys = ", normalled by: solder, reached from: front, jumper carries: 3, sleeve: bussed"
    bay = parse_room(BAY.format(keys=keys)).bays[0]
    assert (bay.normalled_by, bay.reached_from, bay.jumper_carries, bay.sleeve) == ("solder", "front", 3, "bussed")


@pytest.mark.parametrize(
    ("key", "words"),
    [
        ("normalled by: jumper", "'normalled by' of bay 'One' cannot be 'jumper': did you mean 'jumpers'?"),
        ("normalled by: {}", "'normalled by' of bay 'One' must be text, not a table"),
        ("reached from: above", "'reached from' of bay 'One' cannot be 'above': it is 'rear' or 'front'"),
        ("jumper carries: 4", "must be a whole number from 1 to 3, not '4'"),
        ("jumper carries: 0", "must be a whole number from 1 to 3, not '0'"),
        ("sleeve: bused", "did you mean 'bussed'?"),
        ("sleve: bussed", "unknown key 'sleve' in 'bays': did you mean 'sleeve'?"),
    ],
)
def test_what_is_refused(key: str, words: str) -> None:
    """With what was probably meant, at its place."""
    with pytest.raises(RoomFileErrors) as refused:
        parse_room(BAY.format(keys=f", {key}"))
    assert words in str(refused.value)
