"""`trace`: reachability and loops on random rooms against plain networkx, every step against the contacts, and its words."""

from __future__ import annotations

from pathlib import Path
from random import Random

import networkx as nx
import pytest

from model.language.targets import JACK, PORT, Target
from model.room.file import parse_room, read_room
from model.room.wiring import NO_PORT
from model.session import Session
from model.way.joints import walk
from model.way.trace import DOWNSTREAM, JOINT, UPSTREAM, Trace
from tests.flow_judge import contacts_graph, flow_graph, patched, room_of
from tests.said import read, words_of

KELPFIELD = read_room(Path(__file__).parent.parent / "rooms" / "kelpfield.yaml")
SEEDS = range(60)


def targets(session: Session) -> list[Target]:
    room = session.room
    ports = [Target(PORT, port.name, room.jacks_of_port[port.index], port) for port in room.ports]
    return ports + [Target(JACK, jack.address, (jack.index,)) for jack in room.jacks]


@pytest.mark.parametrize("seed", SEEDS)
def test_trace_reaches_what_networkx_reaches(seed: int) -> None:
    """Up: all ancestors; down: all descendants. Loops: simple cycles of the graph, one at least wherever there is any."""
    rng = Random(seed)
    session, slow = patched(room_of(rng), rng, rng.randrange(8))
    room, graph, nets = session.room, flow_graph(slow), contacts_graph(slow)
    cycles = {frozenset(cycle) for cycle in nx.simple_cycles(graph)}
    for target in targets(session):
        trace = Trace(session.patch.state, target)
        if target.port is not None:
            up, down = nx.ancestors(graph, target.port.index), nx.descendants(graph, target.port.index)
            own = {target.port.index}
        else:
            net = nx.node_connected_component(nets, target.contacts[0])
            ports = {room.jacks[c // 2].port for c in net if c % 2 == 0} - {NO_PORT}
            outs = {p for p in ports if room.ports[p].kind.way == "out"}
            up = outs.union(*(nx.ancestors(graph, p) for p in outs))
            down = (ports - outs).union(*(nx.descendants(graph, p) for p in ports - outs))
            own = set()
        assert trace.ports(UPSTREAM) - own == up, target
        assert trace.ports(DOWNSTREAM) - own == down, target
        rings = [[room.port_named[name].index for name in ring] for ring in trace.loops]
        for ring in rings:
            assert all(graph.has_edge(a, b) for a, b in zip(ring, [*ring[1:], ring[0]], strict=True)), trace.loops
            assert frozenset(ring) in cycles
        there = any(cycle <= up | own for cycle in cycles) or any(cycle <= down | own for cycle in cycles)
        assert bool(rings) == there, target


@pytest.mark.parametrize("seed", SEEDS)
def test_each_step_is_a_joint_and_follows_the_one_before(seed: int) -> None:
    """Every step passes contacts that the wiring, an empty jack or a cord joins now, and begins where the last one ended."""
    rng = Random(seed)
    session, slow = patched(room_of(rng), rng, rng.randrange(8))
    room = session.room
    edges = {frozenset(edge) for edge in slow.edges()}
    for number, jacks in slow.cords.items():
        plugs = [2 * slow.number[jack] for jack in jacks]
        assert walk(session.patch.state, plugs[:1]).keys() >= set(plugs), number
    for target in targets(session):
        trace = Trace(session.patch.state, target)
        for row in trace.rows:
            if row.step is None:
                continue
            for a, b in zip(row.step.contacts, row.step.contacts[1:], strict=False):
                if row.step.cord is None:
                    assert frozenset((a, b)) in edges
                else:
                    held = slow.held()
                    assert {held[room.jacks[c // 2].address] for c in (a, b)} == {row.step.cord}
            before = trace.rows[row.after] if row.after >= 0 else None
            if before is not None and before.kind == JOINT and before.step is not None:
                ends = (before.step.end, row.step.start) if row.way == DOWNSTREAM else (row.step.end, before.step.start)
                assert ends[0] == ends[1]


@pytest.mark.parametrize("seed", range(20))
def test_a_walk_reaches_the_net(seed: int) -> None:
    """The walk that names the joints, and the one that finds nets, are of one caution."""
    rng = Random(seed)
    session, _ = patched(room_of(rng), rng, rng.randrange(8))
    state = session.patch.state
    for jack in session.room.jacks:
        for contact in (2 * jack.index, 2 * jack.index + 1):
            assert set(walk(state, [contact])) == set(state.nodes_joined_to(contact))


def test_a_way_is_told_joint_by_joint() -> None:
    """Known way: microphone line, full normal, preamplifier, cord, compressor. Common practice, no source."""
    session = Session(KELPFIELD)
    session.enter("tallow 1 > buckle 1 in")
    outcome = session.enter("trace buckle 1 in")
    assert outcome.ok
    assert words_of(outcome) == (
        "Buckle 1 in (L15), line in",
        "upstream, to what feeds it:",
        "  C1 > L15, cord 1",
        "  Tallow 1 out (C1)",
        "  through Tallow 1",
        "  Tallow 1 in (B1)",
        "  A1 > B1, full normal, closed",
        "  Hall 1 (A1): source",
        "downstream, to what it feeds:",
        "  through Buckle 1",
        "  Buckle 1 out (K15)",
    )
    found = outcome.answer.extra["trace"]
    assert found["sources"] == ["Hall 1"]
    normal = next(step for step in found["steps"] if step.get("joint") == "normal")
    assert normal["contacts"] == ["A1", "A1's normal contact", "B1's normal contact", "B1"]
    cord = next(step for step in found["steps"] if step.get("joint") == "cord")
    assert (cord["from"], cord["to"], cord["cord"]) == ("C1", "L15", 1)
    jack = {j.address: j.index for j in KELPFIELD.jacks}
    assert set(outcome.answer.lit) == {jack[a] for a in ("A1", "B1", "C1", "L15", "K15")}


def test_an_open_normal_is_named_with_its_plug() -> None:
    """Where nothing feeds it, the normal that should have, and which plug of which cord is in it."""
    session = Session(KELPFIELD)
    session.enter("plug H45")
    outcome = session.enter("trace monitor l")
    assert "  G45 > H45, half normal, open: cord 1 is in H45" in words_of(outcome)
    step = next(s for s in outcome.answer.extra["trace"]["steps"] if s["kind"] == "open")
    assert step["opened_by"] == [{"jack": "H45", "cord": 1}]


def test_a_loop_is_shown_once_and_named() -> None:
    """A compressor patched to itself."""
    session = Session(KELPFIELD)
    session.enter("fennel 1 out > fennel 1 in")
    outcome = session.enter("trace fennel 1 out")
    assert outcome.answer.extra["trace"]["loops"] == [["Fennel 1 out", "Fennel 1 in"]]
    assert any("loop 1: Fennel 1 out > Fennel 1 in > Fennel 1 out" in line for line in words_of(outcome))


def test_a_way_of_a_thousand_pieces_of_gear_is_followed() -> None:
    """No way is too long: neither for the tree nor for its JSON, which is flat."""
    count = 1200
    room = parse_room(
        "bayhand: 1\nroom: Chain\n"
        f"gear:\n  Box {{1-{count}}}: {{in: line in, out: line out}}\n"
        f"bays:\n  - bay: One\n    columns: {count}\n    rows:\n      A: {{1-{count}: 'Box {{1-{count}}} out'}}\n"
        f"      B: {{1-{count}: 'Box {{1-{count}}} in'}}\n"
        f"cross normals:\n  - {{from: A1-{count - 1}, to: B2-{count}, kind: half}}\n"
    )
    session = Session(room)
    trace = session.enter("trace box 1 in").answer.extra["trace"]
    assert trace["steps"][-1]["port"] == f"Box {count} out"
    assert len(trace["steps"]) == 1 + 1 + (count - 1) * 4


@pytest.mark.parametrize("typed", ["trace A5", "trace hall 3", "trace #1", "trace tie 1", "trace mult 1"])
def test_a_trace_reads_itself_back(typed: str) -> None:
    session = Session(KELPFIELD)
    session.enter("plug A3")
    line = read(typed, session.names)
    assert read(str(line), session.names) == line
    assert session.enter(typed).ok
    assert session.preview(typed).answer == session.enter(typed).answer


def test_what_cannot_be_traced_is_refused() -> None:
    session = Session(KELPFIELD)
    for typed in ("trace", "trace #4", "trace A99", "trace nothing like it"):
        assert not session.enter(typed).ok, typed
