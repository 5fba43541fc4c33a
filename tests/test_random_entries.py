"""Random sessions over every command of the table: previews are inert and true, and a record makes the same session again.

In random rooms and the three that come with the program. `BAYHAND_ENTRIES` gives the number of entries for each property, for
longer runs by hand; `BAYHAND_SEED` other sessions.
"""

from __future__ import annotations

import os
from collections import Counter
from collections.abc import Iterator
from random import Random

import pytest

from model.room.wiring import Room
from tests.random_entries import Tried
from tests.random_rooms import random_room
from tests.session_properties import Property, not_alike_elsewhere, not_inert, not_true, random_evening, report
from tests.sessions import entries_wanted, shipped_room

SEED = int(os.environ.get("BAYHAND_SEED", "0"))
SHIPPED = ("attic", "kelpfield", "orrery")
LENGTH = 50  # entries in a session
AT_LEAST = 5  # times that each command is tried, whatever the number of entries

# Entries of each property in CI; what a command needs a record for cannot be taken without one.
PROPERTIES: tuple[tuple[Property, int], ...] = (
    (not_inert, 1000),
    (not_true, 2000),
    (not_alike_elsewhere, 1200),
)
ONLY_WITH_A_RECORD = frozenset({"unrecorded"})


def rooms(rng: Random) -> Iterator[tuple[str, Room]]:
    """Rooms for ever: random ones, and now and then one that comes with the program."""
    for number in range(10**9):
        if number % 4 == 3:
            name = SHIPPED[number // 4 % len(SHIPPED)]
            yield name, shipped_room(name)
        else:
            seed = rng.randrange(2**32)
            yield f"random_room(Random({seed}))", random_room(Random(seed))


@pytest.mark.parametrize(("judge", "in_ci"), PROPERTIES, ids=[judge.__name__ for judge, _ in PROPERTIES])
def test_of_every_session(judge: Property, in_ci: int) -> None:
    """The property holds, and each command was tried, and taken where that is possible at all."""
    recorded = judge is not_alike_elsewhere
    rng = Random(f"{judge.__name__} {SEED}")
    tried = Tried(Counter(), Counter())
    for name, room in rooms(rng):
        script = random_evening(room, rng, LENGTH, tried, previews=judge is not_inert, recorded=recorded)
        if judge(room, script) is not None:
            pytest.fail(report(name, room, script, judge), pytrace=False)
        if tried.times.total() >= entries_wanted(in_ci):
            break
    assert not tried.missing(AT_LEAST, frozenset() if recorded else ONLY_WITH_A_RECORD)
