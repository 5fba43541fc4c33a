"""`around`: free gear of the same kind in the place of dead gear, with everything before and after it as it was."""

from __future__ import annotations

from pathlib import Path
from random import Random

import pytest

from model.bay.actions import Plug
from model.bay.refusals import Refusal
from model.room.file import parse_room, read_room
from model.room.wiring import Port
from model.session import Session
from tests.said import act, read, words_of
from tests.slow_model import SlowBay

ROOMS = Path(__file__).parent.parent / "rooms"
KELPFIELD = read_room(ROOMS / "kelpfield.yaml")
ATTIC = read_room(ROOMS / "attic.yaml")


def connections(session: Session) -> set[tuple[str, str]]:
    """What is connected now, by the slow model."""
    slow = SlowBay(session.room)
    slow.cords = {n: [session.room.jacks[j].address for j in c.plugs] for n, c in session.patch.state.cords.items()}
    return slow.connections()


def lines(session: Session) -> list[str]:
    return [str(action) for action in session.proposals[0].actions]


@pytest.mark.parametrize("seed", range(8))
def test_all_before_and_after_is_as_it_was(seed: int) -> None:
    """In random patches: the stand-in has every connection that the dead gear had, and nothing else has changed."""
    rng = Random(seed)
    session = Session(KELPFIELD)
    outs = [p for p in KELPFIELD.ports if p.kind.name == "line out" and KELPFIELD.jacks_of_port[p.index]]
    ins = [p for p in KELPFIELD.ports if p.kind.name == "line in" and KELPFIELD.jacks_of_port[p.index]]
    for _ in range(14):
        pair = tuple(
            KELPFIELD.jacks[KELPFIELD.jacks_of_port[rng.choice(ports).index][0]].address for ports in (outs, ins)
        )
        try:
            act(session, Plug(pair))
        except Refusal:
            continue
    before = connections(session)
    patched = {KELPFIELD.port_at[jack] for jack in session.patch.state.plugs} - {-1}
    for gear in rng.sample(sorted({KELPFIELD.ports[port].gear for port in patched}), 8):
        dead = KELPFIELD.gear[gear]
        outcome = session.enter(f"around {dead.name}")
        assert outcome.ok, outcome.error
        names = {KELPFIELD.ports[port].name: KELPFIELD.ports[port] for port in dead.ports}
        had = {pair for pair in before if set(pair) & set(names)}
        for proposal in outcome.answer.extra["proposals"]:
            taken = session.enter(f"use {proposal['number']}")
            assert taken.ok, taken.error
            assert taken.change.as_json(session.room) == proposal["change"]
            after = connections(session)
            stand_in = next(g for g in KELPFIELD.gear if proposal["about"] == f"{g.name} in place of {dead.name}")
            new = {KELPFIELD.ports[port].own: KELPFIELD.ports[port] for port in stand_in.ports}
            own = {port.name for port in new.values()}

            def instead(name: str, names: dict[str, Port] = names, new: dict[str, Port] = new) -> set[str]:
                """The stand-in's ports that may stand for a dead one: that of the same name, else any of its kind."""
                port = names.get(name)
                if port is None:
                    return {name}
                same = new.get(port.own)
                if same is not None and same.kind is port.kind:
                    return {same.name}
                return {other.name for other in new.values() if other.kind is port.kind}

            for source, load in had - {pair for pair in had if set(pair) <= set(names)}:
                assert any((a, b) in after for a in instead(source) for b in instead(load)), (proposal, source, load)
            changed = {pair for pair in before ^ after if not set(pair) & (set(names) | own)}
            assert not changed
            assert session.enter("undo").ok
            assert connections(session) == before


def test_cords_move_over_and_none_is_added() -> None:
    """A compressor in an insert: its two plugs go to the next one."""
    session = Session(KELPFIELD)
    for line in ("tallow 1 > buckle 1 in", "buckle 1 out > desk 1 line"):
        session.enter(line)
    session.enter("around buckle 1")
    assert lines(session) == ["move L15 > L16", "move K15 > K16"]
    assert session.proposals[0].about == "Buckle 2 in place of Buckle 1"
    assert session.proposals[0].cords == 0


def test_a_dead_preamplifier_takes_its_phantom_with_it() -> None:
    """Phantom goes off first and on last (common practice, no source); the microphone reaches the desk as before."""
    session = Session(KELPFIELD)
    for line in ("put condenser on hall 1", "phantom tallow 1 in on"):
        session.enter(line)
    outcome = session.enter("around tallow 1")
    assert lines(session) == [
        "phantom Tallow 1 in off",
        "plug A1 > B2",
        "plug C2 > D1",
        "phantom Tallow 2 in on",
    ]
    assert outcome.answer.extra["proposals"][0]["change"]["cautions"]
    assert session.enter("use 1").ok
    assert not session.patch.standing_warnings()
    assert connections(session) >= {("Hall 1", "Tallow 2 in"), ("Tallow 2 out", "Desk 1 line")}


def test_a_dead_microphone_line_takes_its_microphone_with_it() -> None:
    session = Session(KELPFIELD)
    session.enter("put dynamic on hall 3")
    session.enter("around hall 3")
    assert lines(session) == ["plug A2 > B3", "clear Hall 3", "put dynamic on Hall 2"]


def test_gear_in_use_does_not_stand_in() -> None:
    """Neither what holds a cord, nor what has a microphone before it, nor what is kept."""
    session = Session(KELPFIELD)
    for line in (
        "tallow 5 > buckle 1 in",
        "plug L16",
        "put ribbon on hall 4",
        "guard hall 6 > tallow 6 in",
    ):
        assert session.enter(line).ok
    session.enter("around buckle 1")
    assert "Buckle 2" not in {p.about.partition(" in place")[0] for p in session.proposals}
    session.enter("around tallow 5")
    standing = {p.about.partition(" in place")[0] for p in session.proposals}
    assert standing
    assert not standing & {"Tallow 4", "Tallow 6"}


def test_a_mult_takes_what_one_jack_cannot() -> None:
    """A cord in the top jack and the half normal below: the stand-in's one jack feeds both over a mult."""
    session = Session(KELPFIELD)
    session.enter("rec 1 out > fennel 1 in")
    session.enter("around rec 1")
    proposal = session.proposals[0]
    assert any("Mult" in line for line in proposal.way(KELPFIELD))
    source = proposal.about.partition(" in place")[0]
    assert session.enter("use 1").ok
    assert {(f"{source} out", "Fennel 1 in"), (f"{source} out", "Desk 1 mon")} <= connections(session)


def test_the_likest_impedance_comes_first() -> None:
    """Of two free compressors, the one whose ohms are the dead one's, although the other is nearer."""
    room = parse_room(
        "bayhand: 1\nroom: Likes\ngear:\n  Tone: line out\n  Meter: line in\n"
        "  One: {in: {is: line in, ohms: 20000}, out: {is: line out, ohms: 50}}\n"
        "  Two: {in: {is: line in, ohms: 600}, out: {is: line out, ohms: 600}}\n"
        "  Three: {in: {is: line in, ohms: 20000}, out: {is: line out, ohms: 50}}\n"
        "bays:\n  - bay: Bay\n    columns: 8\n    rows:\n"
        "      A: {1: Tone, 2: One out, 3: Two out, 8: Three out}\n"
        "      B: {1: Meter, 2: One in, 3: Two in, 8: Three in}\n"
    )
    session = Session(room)
    for line in ("tone > one in", "one out > meter", "around one"):
        assert session.enter(line).ok
    assert [p.about for p in session.proposals] == ["Three in place of One", "Two in place of One"]


def test_what_is_connected_to_nothing_needs_nothing() -> None:
    session = Session(KELPFIELD)
    words = words_of(session.enter("around murmur 1"))
    assert words == ("nothing goes into Murmur 1 and nothing comes from it: there is nothing to go around",)
    assert session.enter("use 1").ok is False


def test_no_gear_of_that_kind() -> None:
    session = Session(ATTIC)
    outcome = session.enter("around booth 1")
    assert outcome.ok
    session.enter("put ribbon on booth 2")
    assert session.enter("around guitar").answer.extra["proposals"] == []


def test_a_dead_port_leaves_the_rest_of_its_gear() -> None:
    """A desk channel's line input: what goes in there goes into another channel, and comes out where it came out."""
    session = Session(KELPFIELD)
    session.enter("around desk 20 direct")
    proposal = session.proposals[0]
    assert session.enter("use 1").ok
    assert all("mon" not in name for pair in proposal.change.made for name in pair)


@pytest.mark.parametrize("typed", ["around buckle 1", "around tallow 1 in", "around K15", "around desk 20 direct"])
def test_it_reads_itself_back(typed: str) -> None:
    session = Session(KELPFIELD)
    line = read(typed, session.names)
    assert read(str(line), session.names) == line
    before = session.proposals
    assert session.preview(typed).ok
    assert session.proposals is before


@pytest.mark.parametrize("typed", ["around", "around tie 1", "around K48", "around #3", "around nothing like it"])
def test_what_is_no_gear_is_refused(typed: str) -> None:
    assert not Session(KELPFIELD).enter(typed).ok
