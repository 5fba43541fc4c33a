"""What differs between two patches."""

from __future__ import annotations

from pathlib import Path

from hypothesis import HealthCheck, given, settings

from model.bay.actions import Action
from model.live.patch import Patch
from model.patches.compare import (
    ClearMic,
    MoveCord,
    PlugCord,
    PullCord,
    PutMic,
    Stay,
    SwitchPhantom,
    differences,
    handlings,
)
from model.patches.patch_words import difference_words
from model.patches.placed import Placed, PlacedCord, present
from model.room.file import read_room
from tests.patches import ways_there

ROOM = read_room(Path(__file__).parents[1] / "rooms" / "attic.yaml")
POOL = ("A1", "A2", "B1", "B2", "A5", "A9", "A24", "B5", "B13", "B19", "B24")
patches = ways_there(ROOM, POOL)


def cord(number: int, *jacks: int, length_cm: float | None = None) -> PlacedCord:
    return PlacedCord(number, jacks, max(2, len(jacks)), length_cm)


def test_keep_pull_move_plug() -> None:
    before = Placed((cord(1, 0, 24), cord(2, 4, 42), cord(3, 8, 36)))
    after = Placed((cord(5, 24, 0), cord(6, 8, 28), cord(7, 23, 47)))
    found = differences(before, after)
    assert found == [
        Stay(before.cords[0], after.cords[0]),
        PullCord(before.cords[1]),
        MoveCord(before.cords[2], after.cords[1]),
        PlugCord(after.cords[2]),
    ]
    assert handlings(found) == 2 + 2 + 2
    move = found[2]
    assert isinstance(move, MoveCord)
    assert (move.out, move.into) == ((36,), (28,))


def test_phantom_and_input_list() -> None:
    before = Placed((), frozenset({"a", "b"}), ((0, "ribbon"), (1, "ribbon"), (2, "condenser")))
    after = Placed((), frozenset({"b", "c"}), ((1, "condenser"), (2, "condenser"), (3, "ribbon")))
    assert differences(before, after) == [
        SwitchPhantom("a", False),
        SwitchPhantom("c", True),
        ClearMic(0, "ribbon"),
        PutMic(1, "condenser"),
        PutMic(3, "ribbon"),
    ]


def test_of_two_ways_to_move_the_one_that_keeps_lengths_then_numbers() -> None:
    # cord 1 shares one jack with each of the two that are wanted
    found = differences(
        Placed((cord(1, 0, 24, length_cm=30.0),)), Placed((cord(1, 0, 25), cord(2, 24, 26, length_cm=30.0)))
    )
    assert [d.after.number for d in found if isinstance(d, MoveCord)] == [2]
    found = differences(Placed((cord(1, 0, 24),)), Placed((cord(2, 0, 25), cord(1, 24, 26))))
    assert [d.after.number for d in found if isinstance(d, MoveCord)] == [1]


def test_words() -> None:
    before = Placed((cord(1, 4, 42, length_cm=30.0), cord(2, 8, 36)), frozenset(), ((0, "ribbon"),))
    after = Placed((cord(1, 4, 42), cord(2, 8)), frozenset({"Pre pair A"}), ((1, "condenser"),))
    assert [difference_words(difference, ROOM) for difference in differences(before, after)] == [
        "keep     #1  Pre 1 out (A5) > Squash in (B19), 30 cm (length 30 cm, and unknown there)",
        "move     #2  Keys L (A9) > Monitor L (B13)  to  Keys L (A9) (the other end loose)",
        "phantom  Pre pair A on",
        "clear    Booth 1: the ribbon",
        "put      condenser on Booth 2",
    ]


@given(patches, patches)
@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_there_and_back_cost_the_same_and_nothing_is_told_twice(one: list[Action], other: list[Action]) -> None:
    placed = []
    for actions in (one, other):
        patch = Patch.of_room(ROOM)
        for action in actions:
            patch = patch.do(action).patch
        placed.append(present(patch.state))
    there, here = differences(*placed), differences(*reversed(placed))
    assert len(set(there)) == len(there)
    before = [
        d.cord if isinstance(d, PullCord) else d.before for d in there if isinstance(d, PullCord | Stay | MoveCord)
    ]
    after = [d.cord if isinstance(d, PlugCord) else d.after for d in there if isinstance(d, PlugCord | Stay | MoveCord)]
    assert sorted(before) == list(placed[0].cords)
    assert sorted(after) == list(placed[1].cords)
    if all(
        cord.ends == 2 for cord in (*before, *after)
    ):  # a cord of three plugs serves for one of two, not the other way
        assert handlings(there) == handlings(here)
    assert all(isinstance(d, Stay) for d in differences(placed[0], placed[0]))
