"""The advice on kinds of normal: each line of its table on a pair of its own, and what the shipped rooms are told."""

from __future__ import annotations

from pathlib import Path

import pytest

from model.room.advice import ADVICE, advice, plug_words
from model.room.file import parse_room, read_room
from model.room.kinds import NO_NORMAL, NORMAL_KINDS
from model.room.wiring import Room

ROOMS = sorted((Path(__file__).parent.parent / "rooms").glob("*.yaml"))
PAIR = """bayhand: 1
room: Fernhill
gear:
  {top}: {above}
  {bottom}: {below}
bays:
  - {{bay: Bay, columns: 1, rows: {{A: {{1: {top}}}, B: {{1: {bottom}}}}}}}
"""


def pair(above: str, below: str, top: str = "Top", bottom: str = "Bottom") -> Room:
    """A room with one pair and no normal."""
    return parse_room(PAIR.format(above=above, below=below, top=top, bottom=bottom))


# Common practice, no source: what the trade wires.
EXPECTED = [
    ("mic line", "mic in", "full"),
    ("aes3 out", "aes3 in", "full"),
    ("coax out", "coax in", "full"),
    ("clock out", "clock in", "full"),
    ("instrument out", "instrument in", "full"),
    ("line out", "line in", "half"),
    ("line out", "{is: line in, ohms: 600}", "full"),
    ("speaker out", "speaker in", "none"),
    ("line out", "mic in", "none"),
    ("mic line", "line in", "none"),
    ("line out", "line out", "none"),
    ("line in", "line out", "half top"),
    ("mic in", "mic line", "full"),
]


@pytest.mark.parametrize(("above", "below", "kind"), EXPECTED)
def test_each_pair_of_kinds(above: str, below: str, kind: str) -> None:
    advised = advice(pair(above, below), (0, 1))
    assert advised.kind == kind and advised.why and advised.origin
    assert advised.departs("parallel") and not advised.departs(kind)


def test_tone_and_talkback_wait_for_cords() -> None:
    assert advice(pair("line out", "line in", top="Talkback"), (0, 1)).kind == NO_NORMAL


def test_every_line_of_the_table_is_known_and_can_be_reached() -> None:
    kinds = {line.kind for line in ADVICE}
    assert kinds <= {*NORMAL_KINDS, NO_NORMAL}
    assert all(line.why and line.origin for line in ADVICE)


def test_a_tie_line_stands_for_what_is_at_its_far_end() -> None:
    room = read_room(next(path for path in ROOMS if path.stem == "orrery"))
    at = {jack.address: jack.index for jack in room.jacks}
    near = advice(room, (at["MG7"], at["MH7"]))  # preamplifier to a tie line, whose far end is normalled to a channel
    assert (
        near.source
        and near.load
        and (near.source.name, near.load.name, near.kind) == ("Tarn 7 out", "North 7 line", "half")
    )
    far = advice(room, (at["NA7"], at["NB7"]))
    assert (far.source, far.load) == (near.source, near.load)
    open_end = advice(room, (at["GA17"], at["GB17"]))  # a trunk that is normalled to nothing
    assert open_end.source and (open_end.source.name, open_end.load, open_end.kind) == ("Organ 1", None, None)


@pytest.mark.parametrize("path", ROOMS, ids=lambda path: path.stem)
def test_the_shipped_rooms_follow_the_advice(path: Path) -> None:
    """But for talkbacks that are wired to their own loudspeaker."""
    room = read_room(path)
    for normal in room.normals:
        advised = advice(room, normal[:2])
        if advised.departs(normal.kind):
            assert advised.source is not None and "talkback" in advised.source.name.lower()


def test_what_a_plug_does_follows_the_contacts() -> None:
    room = pair("line out", "line in")
    assert plug_words(room, (0, 1), "half") == (
        "A plug in A1 meets Top, and Bottom still hears it.",
        "A plug in B1 parts Top from Bottom.",
    )
    for kind, normal in NORMAL_KINDS.items():
        words = plug_words(room, (0, 1), kind)
        assert ["parts" in one for one in words] == [normal.top_at_normal, normal.bottom_at_normal]


def test_a_ring_of_tie_lines_ends() -> None:
    ring = "ties:\n" + "".join(f"  - {{name: T {n}, from: A{n}, to: A{n % 3 + 1}}}\n" for n in (1, 2, 3))
    room = parse_room(
        "bayhand: 1\nroom: x\nbays:\n  - {bay: a, columns: 3, rows: {A: {}, B: {}}, normals: {1-3: half}}\n" + ring
    )
    assert advice(room, (0, 3)).kind is None
