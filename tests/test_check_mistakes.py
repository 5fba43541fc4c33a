"""Each mistake of the table, made in each shipped room and in random right rooms, is found where it was made by one finding;
each right variant is passed over. About ten seconds; BAYHAND_MISTAKES makes it longer: random rooms for each mistake.
"""

from __future__ import annotations

import os
from functools import cache
from pathlib import Path
from random import Random

import pytest

from model.check import WIRING_CHECKS, check_room
from model.room.file import parse_room, read_room
from model.room.wiring import Room
from tests.right_rooms import right_room_text
from tests.wiring_mistakes import MISTAKES, RIGHT, Mistake, Right

ROOMS = sorted((Path(__file__).parent.parent / "rooms").glob("*.yaml"))
ROUNDS = int(os.environ.get("BAYHAND_MISTAKES", "2"))
# Where a shipped room has no place for a mistake: all jacks of the attic are in use, it has one bay, no desk, no ties.
IMPOSSIBLE = {
    "attic": {
        "normal missing on one of a stereo pair",
        "L and R exchanged on a normal",
        "inserts not normalled",
        "numbers shifted by one, the first wired nowhere",
        "channel 1's send over channel 2's return",
        "numbers shifted by eight",
        "numbers shifted by eight, the first wired nowhere",
        "a tie line with both ends in one place",
        "a tie line on a jack that bears a port",
        "a tie line on a jack that bears another",
        "a port inside a mult",
        "a mult over the end of a tie line",
        "a place with a letter left out",
        "an amplifier's output on a jack",
        "a digital line half normalled",
    },
    "orrery": set(),
    "kelpfield": set(),
}


@cache
def shipped(path: Path) -> Room:
    """A shipped room."""
    return read_room(path)


@cache
def right_room(seed: int) -> Room:
    """A random right room."""
    return parse_room(right_room_text(Random(seed)))


def judge(mistake: Mistake, room: Room, rng: Random) -> bool:
    """Whether the mistake can be made in a room; fails where it is not found by one finding at its jacks."""
    made = mistake.make(rng, room)
    if made is None:
        return False
    found = check_room(made.room)
    ours = [finding for finding in found if finding.rule == mistake.finding]
    assert len(ours) == 1, found
    jacks = {made.room.jacks[jack].address for jack in made.jacks}
    assert jacks <= set(ours[0].jacks) if "or more" in made.also else jacks == set(ours[0].jacks), (jacks, ours[0])
    assert not [finding for finding in found if finding.rule not in (mistake.finding, *made.also)], found
    return True


@pytest.mark.parametrize("path", ROOMS, ids=lambda path: path.stem)
@pytest.mark.parametrize("mistake", MISTAKES, ids=lambda mistake: mistake.name)
def test_each_mistake_in_each_shipped_room(mistake: Mistake, path: Path) -> None:
    made = judge(mistake, shipped(path), Random(mistake.name + path.stem))
    assert made != (mistake.name in IMPOSSIBLE[path.stem])


@pytest.mark.parametrize("mistake", MISTAKES, ids=lambda mistake: mistake.name)
def test_each_mistake_in_random_rooms(mistake: Mistake) -> None:
    assert sum(judge(mistake, right_room(seed), Random(seed)) for seed in range(ROUNDS)) > 0


@pytest.mark.parametrize("path", ROOMS, ids=lambda path: path.stem)
@pytest.mark.parametrize("right", RIGHT, ids=lambda right: right.name)
def test_right_variants_of_shipped_rooms_are_silent(right: Right, path: Path) -> None:
    room = right.make(Random(path.stem), shipped(path))
    assert room is None or check_room(room) == []


@pytest.mark.parametrize("right", RIGHT, ids=lambda right: right.name)
def test_right_variants_of_random_rooms_are_silent(right: Right) -> None:
    rooms = [right.make(Random(seed), right_room(seed)) for seed in range(ROUNDS)]
    assert any(room is not None for room in rooms)
    assert [finding for room in rooms if room is not None for finding in check_room(room)] == []


def test_every_check_has_a_mistake_or_an_answer_of_its_own() -> None:
    """A check that joins later is asked for its mistake here."""
    older = {
        *("normal-between-outputs", "normal-between-inputs", "upside-down", "own-loop"),
        *("pointless-normal", "wired-twice", "never-wired"),
    }
    rules = {rule for check in WIRING_CHECKS for rule, _ in check.rules}
    assert {mistake.finding for mistake in MISTAKES} | older == rules
