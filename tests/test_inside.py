"""Ways inside gear that hang on a condition: flow, trace and loops against networkx; what is told makes the answer certain.

Takes about 3 s.
"""

from __future__ import annotations

from random import Random

import networkx as nx
import pytest

from model.language.targets import PORT, Target
from model.room.file import parse_room
from model.room.inside import ARMED, ASSIGNED, NOTHING_TOLD, SELECTED, Settings
from model.room.wiring import Room
from model.session import Session
from model.signal.flow import (
    backward,
    begins,
    condition,
    first_sources,
    follow,
    gear_of_bus,
    onward,
    sure_part,
    sure_sources,
)
from model.signal.loops import HANGS_ON, feedback_loops
from model.signal.settings import armed, assigned, put_together, selected
from model.signal.warning import DANGER, NOTE, WARNING
from model.way.trace import DOWNSTREAM, UPSTREAM, Trace
from tests.flow_judge import carried_pairs, conditions, contacts_graph, flow_graph, patched, random_told, room_of
from tests.said import words_of
from tests.slow_model import SlowBay

SEEDS = range(40)

DESK = """
bayhand: 1
room: One desk
gear:
  Rec {1-4}: {through: if armed, in: line in, out: line out}
  Box {1-2}: {in: line in, out: line out}
  Desk:
    own names: yes
    "Ch {1-4} line": line in
    "Ch {1-2} mic": {is: mic in, phantom: 48}
    "Ch {1-4} send": line out
    "Ch {1-4} return": line in
    "Ch {1-4} direct": line out
    "Bus {1-3}": line out
    through:
      "Ch {3-4} line": "Ch {3-4} send"
      "Ch {1-4} return": "Ch {1-4} direct"
      one of: {"Ch {1-2} line": "Ch {1-2} send", "Ch {1-2} mic": "Ch {1-2} send"}
      assignable: {"Ch {1-4} return": "Bus {1-3}"}
bays:
  - bay: Desk bay
    columns: 16
    rows:
      A: {1-4: "Ch {1-4} send", 5-8: "Ch {1-4} direct", 9-12: "Rec {1-4} out", 13-15: "Bus {1-3}"}
      B: {1-4: "Ch {1-4} return", 5-8: "Rec {1-4} in", 9-12: "Ch {1-4} line", 15-16: "Ch {1-2} mic"}
    normals: {1-4: half, 5-8: half}
  - bay: Box bay
    columns: 4
    rows:
      C: {1-2: "Box {1-2} out"}
      D: {1-2: "Box {1-2} in"}
"""


def port(room: Room, name: str) -> int:
    return room.port_named[name].index


def names(room: Room, ports: tuple[int, ...]) -> set[str]:
    return {room.ports[each].name for each in ports}


def test_the_forms_of_through() -> None:
    """Each form, read from a file, as ways from an input to an output with their condition."""
    room = parse_room(DESK)
    assert names(room, room.carried(port(room, "Ch 1 line"))) == {"Ch 1 send"}
    assert names(room, room.carried_from(port(room, "Ch 1 send"))) == {"Ch 1 line", "Ch 1 mic"}
    assert names(room, room.carried_from(port(room, "Ch 3 send"))) == {"Ch 3 line"}
    assert names(room, room.carried(port(room, "Ch 4 return"))) == {"Ch 4 direct", "Bus 1", "Bus 2", "Bus 3"}
    assert names(room, room.carried(port(room, "Rec 2 in"))) == {"Rec 2 out"}
    for into, out, hangs in (
        ("Ch 1 mic", "Ch 1 send", SELECTED),
        ("Ch 3 line", "Ch 3 send", ""),
        ("Ch 3 return", "Bus 2", ASSIGNED),
        ("Ch 3 return", "Ch 3 direct", ""),
        ("Rec 3 in", "Rec 3 out", ARMED),
        ("Ch 1 line", "Ch 2 send", None),
        ("Rec 3 in", "Rec 4 out", None),
        ("Box 1 in", "Box 1 out", ""),
        ("Box 1 out", "Box 1 in", None),
    ):
        assert room.condition(port(room, into), port(room, out)) == hangs, (into, out)


@pytest.mark.parametrize("seed", SEEDS)
def test_ways_in_random_rooms(seed: int) -> None:
    """What a room answers about each pair of ports, against its gear's tables read the slow way."""
    room = room_of(Random(seed))
    pairs = carried_pairs(room)
    for entry in room.ports:
        for out in room.ports:
            assert room.condition(entry.index, out.index) == pairs.get((entry.index, out.index))
        if entry.kind.is_output:
            assert set(room.carried_from(entry.index)) == {i for i, o in pairs if o == entry.index}
        else:
            assert set(room.carried(entry.index)) == {o for i, o in pairs if i == entry.index}


@pytest.mark.parametrize("seed", SEEDS)
@pytest.mark.parametrize("tells", [False, True])
def test_flow_and_trace_are_those_of_networkx(seed: int, tells: bool) -> None:
    """Reachability both ways, with what is told; the sure part alone; and the conditions that the trace says."""
    rng = Random(seed)
    session, slow = patched(room_of(rng), rng, rng.randrange(8))
    room, state = session.room, session.patch.state
    told: Settings = random_told(room, rng) if tells else NOTHING_TOLD
    graph = flow_graph(slow, told)
    sure = nx.DiGraph(graph)
    sure.remove_edges_from([(a, b) for a, b, each in conditions(graph) if each])
    for each in room.ports:
        here = each.index
        down = follow(state, [here], onward, told)
        up = follow(state, [here], backward, told)
        assert {node for node in down if node >= 0} == nx.descendants(graph, here) | {here}
        assert {node for node in up if node >= 0} == nx.ancestors(graph, here) | {here}
        within = (
            follow(state, [here], lambda _, node, told: surely[node], told)
            if (surely := sure_part(room, down, told))
            else {}
        )
        assert {node for node in within if node >= 0} == nx.descendants(sure, here) | {here}
        begun = {node for node in nx.ancestors(sure, here) | {here} if each_begins(room, node, told)}
        assert set(sure_sources(state, [here], told)) == begun
        every = {node for node in nx.ancestors(graph, here) | {here} if each_begins(room, node, told)}
        assert set(first_sources(state, [here], told)) == every
        trace = Trace(state, Target(PORT, each.name, room.jacks_of_port[here], each), told)
        assert trace.ports(DOWNSTREAM) - {here} == nx.descendants(graph, here) - {here}
        assert trace.ports(UPSTREAM) - {here} == nx.ancestors(graph, here) - {here}
        check_conditions(room, trace, graph, here)


def each_begins(room: Room, node: int, told: Settings) -> bool:
    """A signal starts at an output that nothing reaches, or only what is heard on an armed track and is not told to be."""
    if room.ports[node].kind.way == "in":
        return False
    into = {i: hangs for (i, o), hangs in carried_pairs(room).items() if o == node}
    return not into or all(hangs == ARMED and not told.get(i, {}).get(node) for i, hangs in into.items())


def check_conditions(room: Room, trace: Trace, graph: nx.DiGraph[int], start: int) -> None:
    """Each step through gear says the condition of its edge in the graph, and each condition is said at its step."""
    for row in trace.rows:
        if row.node is None or row.node < 0:
            continue
        above, said = row.after, ""
        while above >= 0 and (trace.rows[above].node is None or (trace.rows[above].node or 0) < 0):
            said = said or trace.rows[above].condition
            assert trace.rows[above].condition in trace.rows[above].text
            above = trace.rows[above].after
        before = start if above < 0 else trace.rows[above].node
        assert before is not None
        way = (before, row.node) if row.way == DOWNSTREAM else (row.node, before)
        assert graph.edges[way]["condition"] == said, (room.ports[way[0]].name, room.ports[way[1]].name)


@pytest.mark.parametrize("seed", range(120))
def test_loops_are_dangers_only_where_they_are_sure(seed: int) -> None:
    """Every output on a cycle of the graph lies on a warned loop; a sure cycle is a danger, one on a condition says it."""
    rng = Random(seed)
    session, slow = patched(room_of(rng), rng, 4 + rng.randrange(8))
    room, patch = session.room, session.patch
    told: Settings = random_told(room, rng) if seed % 2 else NOTHING_TOLD
    graph = flow_graph(slow, told)
    sure = nx.DiGraph(graph)
    sure.remove_edges_from([(a, b) for a, b, each in conditions(graph) if each])
    circuits = [patch.circuit_at(2 * jack.index) for jack in room.jacks]
    loops, knotted = feedback_loops(patch.state, circuits, (), told)

    def on_cycles(of: nx.DiGraph[int]) -> set[int]:
        found = {node for knot in nx.strongly_connected_components(of) if len(knot) > 1 for node in knot}
        return {node for node in found if room.ports[node].kind.way == "out"}

    assert knotted == on_cycles(graph)
    in_danger: set[int] = set()
    fewest: dict[
        tuple[int, int], int
    ] = {}  # by step from an output to an input: the conditions of the best loop over it
    for loop in loops:
        ring = [port(room, name) for name in loop.ports]
        steps = list(zip(ring, [*ring[1:], ring[0]], strict=True))
        hangs = [graph.edges[step]["condition"] for step in steps if graph.edges[step]["condition"]]
        assert loop.severity == (NOTE if ASSIGNED in hangs else WARNING if hangs else DANGER)
        assert all(HANGS_ON[each][1] in loop.fix for each in hangs)
        for a, b in steps:
            fewest[a, b] = min(len(hangs), fewest.get((a, b), len(hangs)))
        if not hangs:
            in_danger.update(node for node in ring if room.ports[node].kind.way == "out")
    assert in_danger == on_cycles(sure)
    check_each_cord_is_told_of(slow, graph, in_danger, fewest)
    if not told:
        standing = {w.identity: w.severity for w in patch.standing.values() if w.rule == "feedback-loop"}
        assert standing == {loop.identity: loop.severity for loop in loops}


def check_each_cord_is_told_of(
    slow: SlowBay, graph: nx.DiGraph[int], in_danger: set[int], fewest: dict[tuple[int, int], int]
) -> None:
    """An output on a cycle, and in no danger, is told of: if a plug is on its net, by a loop on the fewest conditions."""
    room, held = slow.room, slow.held()
    cost = nx.DiGraph((a, b, {"weight": bool(each)}) for a, b, each in conditions(graph))
    plugged = set()
    for net in nx.connected_components(contacts_graph(slow)):
        if any(room.jacks[contact // 2].address in held for contact in net):
            plugged |= {room.jacks[contact // 2].port for contact in net if contact % 2 == 0}
    for knot in nx.strongly_connected_components(graph):
        if len(knot) == 1:
            continue
        within = cost.subgraph(knot)
        rest = nx.DiGraph((a, b) for a, b in within.edges if a not in plugged or room.ports[a].kind.way == "in")
        for output in (node for node in knot - in_danger if room.ports[node].kind.way == "out"):
            told = [count for (a, _), count in fewest.items() if a == output]
            if output in plugged:
                least = min(nx.dijkstra_path_length(within, after, output) for after in within.successors(output))
                assert min(told) == least
            elif output in rest and any(
                output in cycle for cycle in nx.strongly_connected_components(rest) if len(cycle) > 1
            ):
                assert told
        assert any(a in knot for a, _ in fewest)


def loops_of(session: Session, told: Settings = NOTHING_TOLD) -> dict[str, str]:
    """Each loop's words and its severity."""
    patch = session.patch
    circuits = [patch.circuit_at(2 * jack.index) for jack in session.room.jacks]
    return {loop.text: loop.severity for loop in feedback_loops(patch.state, circuits, (), told)[0]}


def test_a_recorder_patched_to_its_own_channel() -> None:
    """Silent on an unarmed track; on an armed one it howls. Common practice, no source."""
    session = Session(parse_room(DESK))
    room = session.room
    assert session.enter("rec 3 out > ch 3 line").ok
    words = (
        "Signal runs in a circle if the track of Rec 3 in is armed and in input: Ch 3 direct > Rec 3 in > Rec 3 out > "
        "Ch 3 line > Ch 3 send > Ch 3 return > Ch 3 direct. It can howl at full level."
    )
    assert loops_of(session) == {words: WARNING}
    entry = port(room, "Rec 3 in")
    assert loops_of(session, armed(room, [entry], on=False)) == {}
    (text,), (severity,) = zip(*loops_of(session, armed(room, [entry])).items(), strict=True)
    assert severity == DANGER
    assert " if " not in text


def test_a_bus_patched_to_a_channel() -> None:
    """Tonight's assignments decide: the channel to its own bus howls, to another it does not."""
    session = Session(parse_room(DESK))
    room = session.room
    assert session.enter("bus 3 > ch 4 line").ok
    (text,), (severity,) = zip(*loops_of(session).items(), strict=True)
    assert severity == NOTE
    assert "if Ch 4 return is assigned to Bus 3:" in text
    entry = port(room, "Ch 4 return")
    assert loops_of(session, assigned(room, entry, [port(room, "Bus 1")])) == {}
    assert list(loops_of(session, assigned(room, entry, [port(room, "Bus 3")])).values()) == [DANGER]


def test_one_of_two_inputs_is_selected() -> None:
    """A recorder's input hears the channel's microphone or its line; told, one of them alone."""
    session = Session(parse_room(DESK))
    room, state = session.room, session.patch.state
    out, line, mic = (port(room, f"Ch 1 {name}") for name in ("send", "line", "mic"))
    assert set(follow(state, [out], backward)) >= {line, mic}
    found = follow(state, [out], backward, selected(room, line))
    assert line in found and mic not in found
    assert condition(room, line, out) == SELECTED
    assert condition(room, line, out, selected(room, line)) == ""
    later = put_together(selected(room, line), selected(room, mic))
    found = follow(state, [out], backward, later)
    assert mic in found and line not in found


def test_an_armed_track_plays_nothing_of_its_own() -> None:
    room = parse_room(DESK)
    entry, out = port(room, "Rec 1 in"), port(room, "Rec 1 out")
    assert begins(room, out)
    assert not begins(room, out, armed(room, [entry]))
    assert begins(room, out, armed(room, [entry], on=False))
    assert not begins(room, port(room, "Bus 1"))


def test_a_trace_says_the_condition() -> None:
    """In its words and in its JSON, once for each condition."""
    session = Session(parse_room(DESK))
    outcome = session.enter("trace ch 1 mic")
    assert words_of(outcome) == (
        "Ch 1 mic (B15), mic in",
        "upstream: nothing feeds it",
        "downstream, to what it feeds:",
        "  through Desk, if selected",
        "  Ch 1 send (A1)",
        "  A1 > B1, half normal, closed",
        "  Ch 1 return (B1)",
        "  - through Desk, if assigned",
        "    - Bus 1 (A13)",
        "    - Bus 2 (A14)",
        "    - Bus 3 (A15)",
        "  - through Desk",
        "      Ch 1 direct (A5)",
        "      A5 > B5, half normal, closed",
        "      Rec 1 in (B5)",
        "      through Rec 1, if armed",
        "      Rec 1 out (A9): source, unless armed",
    )
    steps = outcome.answer.extra["trace"]["steps"]
    assert [step["condition"] for step in steps if step["kind"] == "gear"] == [SELECTED, ASSIGNED, None, ARMED]


def test_why_parts_what_is_sure_from_what_is_set() -> None:
    session = Session(parse_room(DESK))
    assert session.enter("rec 2 out > ch 3 line").ok
    found = words_of(session.enter("why rec 3 in"))
    assert found[0] == "It carries Rec 2 out."
    found = words_of(session.enter("why bus 1"))
    assert found[0] == "As the gear on its way is set, it may carry Rec 2 out."


def test_a_thousand_by_a_thousand_is_one_bus() -> None:
    """`through` of 1,000 inputs by 1,000 outputs: no table of a million ways where a bus says it."""
    room = parse_room(
        "bayhand: 1\nroom: Big\ngear:\n  Box:\n    in {1-1000}: line in\n    out {1-1000}: line out\n"
        "    through: {assignable: {'in {1-1000}': 'out {1-1000}'}}\n"
        "bays:\n  - {bay: One, columns: 1000, rows: {A: {1-1000: 'Box out {1-1000}'}, B: {1-1000: 'Box in {1-1000}'}}}\n"
    )
    session = Session(room)
    assert len(room.carried(0)) == len(room.carried_from(1999)) == 1000
    flow = follow(session.patch.state, [0])
    assert len(flow) == 1 + 1 + 1000
    assert [gear_of_bus(room, node) for node in flow if node < 0] == [0]
    assert session.enter("box out 7 > box in 9").ok
    assert list(loops_of(session).values()) == [NOTE]
