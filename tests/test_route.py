"""`route` and `take`: no cheaper set of cords exists, and playing a proposal does exactly what was promised."""

from __future__ import annotations

import itertools
import os
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from random import Random
from typing import NamedTuple

import networkx as nx
import pytest

from model.bay.actions import Plug, Together
from model.entry.guarded import GUARDED
from model.language.targets import jack_words
from model.room.file import parse_room, read_room
from model.room.kinds import TIE_KINDS
from model.room.wiring import NO_PORT, Room, Tie
from model.session import Session
from model.signal.warning import DANGER, NOTE, WARNING
from model.way.fixes import new_dangers
from tests.flow_judge import PLACES, contacts_graph, patched
from tests.random_rooms import random_room
from tests.said import read, words_of
from tests.slow_model import SlowBay

ROOMS = Path(__file__).parent.parent / "rooms"
KELPFIELD = read_room(ROOMS / "kelpfield.yaml")
SEEDS = range(int(os.environ.get("BAYHAND_ROUTES", "30")))


class Cost(NamedTuple):
    """What the best proposal is the least in."""

    raised: tuple[int, int, int]
    cords: int
    reach: int


def place(room: Room, jack: int) -> str:
    return room.bays[room.rows[room.jacks[jack].row].bay].place


def reach(room: Room, a: int, b: int) -> int:
    """Points along the row, and rows of the place up or down."""
    rows = [row.index for row in room.rows if room.bays[row.bay].place == place(room, a)]
    apart = rows.index(room.jacks[a].row) - rows.index(room.jacks[b].row)
    return abs(room.jacks[a].point - room.jacks[b].point) + abs(apart)


def joined(slow: SlowBay, a: list[int], b: list[int]) -> bool:
    """Whether the source at some jacks is joined to others over tie lines that take its kind."""
    room = slow.room
    families = {room.ports[room.jacks[x].port].kind.family for x in a}
    fit = tuple(tie for tie in room.ties if not tie.kind or families <= TIE_KINDS[tie.kind])
    slow = with_cords(slow, ())
    slow.room = replace(room, ties=fit)
    graph = contacts_graph(slow)
    return any(nx.has_path(graph, 2 * x, 2 * y) for x in a for y in b)


def with_cords(slow: SlowBay, cords: tuple[tuple[int, int], ...]) -> SlowBay:
    more = SlowBay(slow.room)
    more.cords = dict(slow.cords)
    for number, pair in enumerate(cords, start=1000):
        more.cords[number] = [slow.room.jacks[jack].address for jack in pair]
    return more


def cheapest(session: Session, slow: SlowBay, source: list[int], load: list[int], most: int) -> Cost | None:
    """The least cost of all sets of up to ``most`` cords none of which is needless: tried one after another, each one."""
    room = session.room
    free = [jack.index for jack in room.jacks if jack.index not in session.patch.state.plugs]
    pairs = [(a, b) for a, b in itertools.combinations(free, 2) if place(room, a) == place(room, b)]
    least: Cost | None = None
    leading: set[tuple[int, int]] = set()
    for count in range(1, most + 1):
        for cords in itertools.combinations(pairs, count):
            if len({jack for pair in cords for jack in pair}) < 2 * count or leading.intersection(cords):
                continue
            if not joined(with_cords(slow, cords), source, load):
                continue
            if count == 1:
                leading.add(cords[0])
            plugs = tuple(Plug((room.jacks[a].address, room.jacks[b].address)) for a, b in cords)
            orders = [session.patch.do(Together(order)).change for order in itertools.permutations(plugs)]
            safe = [change for change in orders if not new_dangers(change)]
            if not safe or session.get(GUARDED).intersection(safe[0].broken):
                continue  # what is a danger, at its end or on its way, is no proposal
            change = safe[0]
            severities = [warning.severity for warning in change.raised]
            raised = (severities.count(DANGER), severities.count(WARNING), severities.count(NOTE))
            cost = Cost(raised, count, sum(reach(room, *pair) for pair in cords))
            least = cost if least is None else min(least, cost)
    return least


def questions(seed: int, points: int) -> Iterator[tuple[Session, SlowBay, str, str]]:
    """Pairs of ports of a random room that are not joined, with some cords in and some connections kept."""
    rng = Random(seed)
    room = random_room(rng, points)
    if rng.random() < 0.5:
        # two places, with tie lines between jacks that nothing else is wired to, where there are such
        half = len(room.jacks) // 2
        spare = sorted(range(2 * half), key=lambda jack: (room.jacks[jack].port != NO_PORT, rng.random()))
        here, there = [j for j in spare if j < half][:2], [j for j in spare if j >= half][:2]
        lines = tuple(Tie(f"Line {a}", a, b, 10.0, 0) for a, b in zip(here, there, strict=True))
        places = tuple(bay._replace(place=PLACES[bay.index]) for bay in room.bays)
        room = replace(room, bays=places, ties=room.ties + lines)
    session, slow = patched(room, rng, rng.randrange(3))
    for number in [n for n, jacks in slow.cords.items() if len(jacks) == 1]:  # loose ends: a test of their own
        session.enter(f"pull #{number}")
        del slow.cords[number]
    for pair in sorted(slow.connections()):
        if rng.random() < 0.3:
            session.now = session.now.with_part(GUARDED, session.get(GUARDED) | {pair})
    outs = [p for p in room.ports if p.kind.way == "out" and room.jacks_of_port[p.index]]
    ins = [p for p in room.ports if p.kind.way == "in" and room.jacks_of_port[p.index]]
    asked = [(o, i) for o in outs for i in ins]
    rng.shuffle(asked)
    asked.sort(key=lambda pair: len({place(room, room.jacks_of_port[port.index][0]) for port in pair}), reverse=True)
    for source, load in asked[:3]:
        if not joined(slow, list(room.jacks_of_port[source.index]), list(room.jacks_of_port[load.index])):
            yield session, slow, source.name, load.name


@pytest.mark.parametrize("seed", SEEDS)
def test_no_cheaper_set_of_cords_exists(seed: int) -> None:
    """One cord and two, in rooms of up to twelve jacks: every set is tried."""
    for session, slow, source, load in questions(seed, points=2 + seed % 2):
        room = session.room
        start, end = (list(room.jacks_of_port[room.port_named[name].index]) for name in (source, load))
        least = cheapest(session, slow, start, end, most=2)
        outcome = session.enter(f"route {source} > {load}")
        assert outcome.ok, outcome.error
        if not session.proposals:
            assert least is None, (source, load, least)
            continue
        best = session.proposals[0]
        found = Cost(best.raised, best.cords, best.reach)
        if found.cords <= 2:
            assert found == least
        else:
            assert least is None or found < least
        assert list(session.proposals) == sorted(session.proposals, key=lambda p: p.best_first)


@pytest.mark.parametrize("seed", SEEDS)
def test_a_proposal_does_exactly_what_it_promised(seed: int) -> None:
    """Each proposal is taken: the same consequences, the connection stands, nothing kept is broken, and one undo undoes it."""
    for session, slow, source, load in questions(seed, points=4):
        outcome = session.enter(f"route {source} > {load}")
        promised = outcome.answer.extra["proposals"]
        assert len(promised) <= 3
        for proposal in promised:
            before = set(slow.connections())
            taken = session.enter(f"use {proposal['number']}")
            assert taken.ok, taken.error
            assert taken.change.as_json(session.room) == proposal["change"]
            assert session.now.taken[-1].entry.split("; ") == proposal["entries"]
            now = SlowBay(session.room)
            now.cords = {
                n: [session.room.jacks[j].address for j in cord.plugs] for n, cord in session.patch.state.cords.items()
            }
            stands = set(now.connections())
            assert (source, load) in stands
            assert stands - before == {tuple(pair) for pair in proposal["change"]["made"]}
            assert before - stands == {tuple(pair) for pair in proposal["change"]["broken"]}
            assert not session.get(GUARDED) & (before - stands)
            assert session.enter("undo").ok


FOUR_PLACES = """
bayhand: 1
room: Four floors
gear:
  Voice: line out
  Horn: line in
  Box: {in: line in, out: line out}
bays:
  - {bay: Cellar, place: Cellar, columns: 8, rows: {A: {1: Voice}}}
  - {bay: Ground, place: Ground, columns: 8, rows: {B: {}}}
  - {bay: First, place: First, columns: 8, rows: {C: {7: Box in, 8: Box out}}}
  - {bay: Loft, place: Loft, columns: 8, rows: {D: {8: Horn}}}
ties:
  - {name: "Low {1-3}", from: A2-4, to: B1-3, metres: 5}
  - {name: "Middle {1-3}", from: B4-6, to: C1-3, metres: 5}
  - {name: "High {1-3}", from: C4-6, to: D1-3, metres: 5}
"""


def test_no_microphone_over_a_line_tie() -> None:
    """A microphone takes the mic line, however near the line tie is; line level takes what is nearest."""
    session = Session(parse_room(TWO_TIES))
    for typed, tie in (("route voice > mixer in", "Deep"), ("route horn > mixer in 2", "Near")):
        proposal = session.enter(typed).answer.extra["proposals"][0]
        assert any(
            tie in jack_words(session.room, _jack(session.room, end)) for end in proposal["entries"][0].split()[1::2]
        )
    only_line = TWO_TIES.replace("from: A8, to: B8, is: mic line", "from: A8, to: B8, is: line")
    found = Session(parse_room(only_line)).enter("route voice > mixer in")
    assert found.ok and not found.answer.extra.get("proposals")


def _jack(room: Room, address: str) -> int:
    return next(jack.index for jack in room.jacks if jack.address == address)


TWO_TIES = """
bayhand: 1
room: Two floors
gear:
  Voice: mic line
  Horn: line out
  Mixer: {in: mic in, in 2: line in}
bays:
  - {bay: Cellar, place: Cellar, columns: 8, rows: {A: {1: Voice, 2: Horn}}}
  - {bay: Ground, place: Ground, columns: 8, rows: {B: {1: Mixer in, 2: Mixer in 2}}}
ties:
  - {name: Near, from: A4, to: B4, is: line, metres: 5}
  - {name: Deep, from: A8, to: B8, is: mic line, metres: 5}
"""


def test_a_way_over_several_places() -> None:
    """Four floors: a cord on each; the shortest reach takes the tie lines nearest to one another."""
    session = Session(parse_room(FOUR_PLACES))
    outcome = session.enter("route voice > horn")
    assert outcome.answer.extra["proposals"][0]["cords"] == 4
    least = min(
        abs(1 - a) + abs((a - 1) - b) + abs((b - 3) - c) + abs((c - 3) - 8)
        for a in (2, 3, 4)
        for b in (4, 5, 6)
        for c in (4, 5, 6)
    )
    assert session.proposals[0].reach == least
    assert session.enter("use 1").ok
    assert session.enter("guard voice > horn").ok


def test_a_way_through_gear_and_over_a_named_tie_line() -> None:
    """'via' is passed in its order."""
    session = Session(parse_room(FOUR_PLACES))
    assert session.enter("route voice > horn via middle 3, box, high 2").ok
    lines = [str(action) for action in session.proposals[0].actions]
    assert "plug C3 > C7" in lines  # Middle 3 comes up at C3, the box's input at C7
    assert "plug C8 > C5" in lines  # from the box to High 2
    made = set(session.enter("use 1").change.made)
    assert made == {("Voice", "Box in"), ("Box out", "Horn")}


def test_a_cord_does_not_reach_between_places_without_a_tie_line() -> None:
    session = Session(parse_room(FOUR_PLACES.partition("ties:")[0]))
    outcome = session.enter("route voice > horn")
    assert outcome.ok
    assert outcome.answer.extra["proposals"] == []
    assert "no free tie lines" in words_of(outcome)[0]


def test_the_loose_end_of_a_cord_is_used() -> None:
    """The cord that is in the source already goes on; no second cord is needed."""
    session = Session(KELPFIELD)
    session.enter("plug C5")
    session.enter("route C5 > fennel 3 in")
    assert [str(action) for action in session.proposals[0].actions] == ["plug #1 > L23"]
    assert session.enter("use 1").ok
    assert session.enter("route D5 > C5").ok


def test_what_stands_already_is_said() -> None:
    outcome = Session(KELPFIELD).enter("route hall 3 > tallow 3 in")
    assert words_of(outcome) == ("Hall 3 is joined to Tallow 3 in already: A3 > B3, full normal, closed",)
    assert outcome.answer.extra["proposals"] == []


def test_a_full_jack_is_named_with_its_cord() -> None:
    session = Session(KELPFIELD)
    session.enter("fennel 1 out > fennel 2 in")
    outcome = session.enter("route fennel 1 out > murmur 1 in")
    assert words_of(outcome) == ("no cord can go to Fennel 1 out: K21 (Fennel 1 out) holds a plug of cord 1",)


def test_a_proposal_of_yesterday_is_not_taken() -> None:
    """The bay has changed since, and it would do something else now."""
    session = Session(KELPFIELD)
    assert not session.enter("use 1").ok
    session.enter("route tallow 2 > fennel 1 in")
    assert not session.enter("use 2").ok
    session.enter("fennel 1 in > fennel 2 out")
    assert not session.enter("use 1").ok
    session.enter("undo")
    assert session.enter("use 1 ?").answer.change.made == (("Tallow 2 out", "Fennel 1 in"),)
    assert not session.patch.state.cords
    assert session.enter("use 1").ok


def test_asking_changes_nothing_and_previews_leave_the_proposals_alone() -> None:
    session = Session(KELPFIELD)
    session.enter("route tallow 2 > fennel 1 in")
    before, proposals = len(session.now.taken), session.proposals
    assert session.preview("route tallow 3 > fennel 2 in").ok
    assert session.proposals is proposals
    assert len(session.now.taken) == before
    assert not session.patch.state.cords


@pytest.mark.parametrize(
    "typed",
    [
        "route tallow 2 > fennel 1 in",
        "route c2 > l21 via mult 5, murmur 1",
        "route keys 1 > wedge via tie 9",
        "route fennel 1 in > tallow 2 out",
        "use 3",
    ],
)
def test_a_route_reads_itself_back(typed: str) -> None:
    session = Session(KELPFIELD)
    line = read(typed, session.names)
    assert read(str(line), session.names) == line


@pytest.mark.parametrize(
    ("typed", "why"),
    [
        ("route", "from what to what"),
        ("route c2", "from what to what"),
        ("route c2 > ", "from what to what"),
        ("route c2 > c2", "at one jack"),
        ("route #1 > c2", "no cord 1"),
        ("route c2 > l21 via plate", "2 ways through Plate"),
        ("route c2 > l21 via meter l", "carries no signal"),
        ("route c2 > l21 via a5", "passes gear"),
        ("route c2 > l21 via ,", "a name is missing"),
        ("use", "which proposal"),
        ("use 0", "which proposal"),
    ],
)
def test_what_is_no_route_is_refused_with_the_reason(typed: str, why: str) -> None:
    outcome = Session(KELPFIELD).enter(typed)
    assert not outcome.ok
    assert why in (outcome.error or "")
