"""Feedback loops: signal that runs from an output, through nets and gear, back to that output.

Looked for from the nets that an action touches, outward along the signal, never over the whole room. A search that meets
no loop is plain Python; only where one is found does networkx come in, to name it.

A loop that hangs on how gear is set tonight ('if armed') is a warning that says so; a note where it takes an assignment: that
is a second patch, made on the desk, and every effect that a bus or an auxiliary feeds comes back to channels that could be
assigned to it (common practice, no source). Where an output lies on a loop that is
sure, that one is told, and not the others. A desk makes many loops of one cord: of those on a condition, each net that a plug
is in has the one that hangs on the fewest.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Iterator, Sequence
from itertools import pairwise

from model.bay.state import State
from model.room.inside import ALWAYS, ARMED, ASSIGNED, NOTHING_TOLD, SELECTED, Settings
from model.room.wiring import Port, Room
from model.signal.cautions import MONITORS_DOWN
from model.signal.circuit import Circuit
from model.signal.flow import Flow, as_graph, backward, carries_on, condition, is_output, name_of, onward, sure_part
from model.signal.warning import DANGER, NOTE, WARNING, Alert
from model.text.listing import list_words

# By the condition on which a loop hangs, what is so where it passes signal, and what opens it beside a cord.
HANGS_ON: dict[str, tuple[str, str]] = {
    ASSIGNED: ("{into} is assigned to {out}", "take the assignment off"),
    SELECTED: ("{into} is selected for {out}", "select another input"),
    ARMED: ("the track of {into} is armed and in input", "take the track out of input"),
}


def without_dead_ends(flow: Flow) -> Flow:
    """The part of a flow that can lie on a loop: whatever leads nowhere, or is led to from nowhere, is taken off in turn."""
    into: Flow = {node: [] for node in flow}
    for node, nexts in flow.items():
        for there in nexts:
            into[there].append(node)
    left_out = {node: len(nexts) for node, nexts in flow.items()}
    left_in = {node: len(before) for node, before in into.items()}
    todo = [node for node in flow if not left_out[node] or not left_in[node]]
    gone = set(todo)
    while todo:
        node = todo.pop()
        for count, others in ((left_out, into[node]), (left_in, flow[node])):
            for other in others:
                count[other] -= 1
                if not count[other] and other not in gone:
                    gone.add(other)
                    todo.append(other)
    return {node: [n for n in nexts if n not in gone] for node, nexts in flow.items() if node not in gone}


def may_loop(room: Room, circuit: Circuit) -> bool:
    """Whether a loop can pass a net at all: gear feeds it that takes signal in, and it feeds gear that lets signal out."""
    return any(carries_on(room, port.index) for port in circuit.inputs) and any(
        room.carried_from(port.index) for port in circuit.outputs
    )


def feedback_loops(
    state: State, circuits: Sequence[Circuit], also: Iterable[int] = (), told: Settings = NOTHING_TOLD
) -> tuple[list[Alert], set[int]]:
    """The loops of some nets, and all outputs that lie on a knot with them.

    A knot is a set of ports that all reach one another. Of each knot that passes one of the nets, or one of the outputs
    ``also`` named, every output's shortest loop is found, as far as it hangs on no condition; outputs on one loop mostly
    share it. Then those on a condition, as the module says. ``told``: how gear is set.
    """
    room = state.room
    passing = [circuit for circuit in circuits if circuit.outputs and circuit.inputs and may_loop(room, circuit)]
    starts = [[port.index for port in circuit.outputs] for circuit in passing] + [[output] for output in also]
    seen: tuple[Flow, Flow] = {}, {}
    rest: Flow = {}
    for outputs_of_one in starts:  # one by one: each net has little on one of its sides
        if not rest.keys() >= set(outputs_of_one):
            rest |= without_dead_ends(there_and_back(state, outputs_of_one, told, seen))
    touched = {output for outputs_of_one in starts for output in outputs_of_one}
    if not touched & rest.keys():
        return [], set()

    found: dict[tuple[str, ...], Alert] = {}
    knotted: set[int] = set()
    sure: set[int] = set()  # outputs on loops that hang on no condition
    for knot in _knots(rest, touched):
        outputs = {node for node in knot if is_output(room, node)}
        knotted |= outputs
        for certain in _knots(sure_part(room, knot, told), outputs):
            on_it = {node for node in certain if is_output(room, node)}
            sure |= on_it
            for loop in shortest_loops(certain, on_it, room):
                warning = _loop(state, loop, told)
                found[warning.ports] = warning
        for loop in _on_conditions(state, knot, outputs - sure, told):
            warning = _loop(state, loop, told)
            found.setdefault(warning.ports, warning)
    return list(found.values()), knotted


def there_and_back(state: State, starts: Collection[int], told: Settings, seen: tuple[Flow, Flow]) -> Flow:
    """The part of a flow that some nodes lead to and that leads back to them, in the signal's direction.

    Both ways are followed in turn until one ends, and the other then within it: a channel has little before it and a whole
    desk behind it, a monitor the other way round. ``seen`` keeps what each node leads to, onward and backward.
    """

    def after(node: int) -> list[int]:
        if node not in seen[0]:
            seen[0][node] = onward(state, node, told)
        return seen[0][node]

    def before(node: int) -> list[int]:
        if node not in seen[1]:
            seen[1][node] = backward(state, node, told)
        return seen[1][node]

    down, up = set(starts), set(starts)
    edge_down, edge_up = list(down), list(up)
    while edge_down and edge_up:
        there = [node for node in after(edge_down.pop()) if node not in down]
        down.update(there)
        edge_down += there
        there = [node for node in before(edge_up.pop()) if node not in up]
        up.update(there)
        edge_up += there
    both, edge, within, leads = (down, edge_up, up, before) if not edge_down else (up, edge_down, down, after)
    # of the side that has not ended, only what lies within the other is followed on
    edge = [node for node in edge if node in both]
    while edge:
        there = [node for node in leads(edge.pop()) if node in both and node not in within]
        within.update(there)
        edge += there
    circle = both & within
    return {node: [there for there in after(node) if there in circle] for node in circle}


def _on_conditions(state: State, knot: Flow, outputs: set[int], told: Settings) -> Iterator[list[Port]]:
    """The loops of a knot that hang on a condition: of each net with a plug the best; without any such, of each output."""
    room = state.room
    plugged = {node for node in outputs if _has_plug(state, node)}
    at_rest = {node: [] if node in plugged else nexts for node, nexts in knot.items()}
    for part in _knots(at_rest, outputs):
        yield from shortest_loops(part, outputs & part.keys(), room)
    yield from shortest_loops(knot, plugged, room, lambda here, there: condition(room, here, there, told))


def _has_plug(state: State, output: int) -> bool:
    contacts = state.nodes_joined_to(2 * state.room.jacks_of_port[output][0])
    return any(contact >> 1 in state.plugs for contact in contacts)


def _knots(flow: Flow, touched: set[int]) -> Iterator[Flow]:
    """The parts of a flow whose nodes all reach one another, as far as they pass one of some nodes."""
    import networkx as nx  # takes a tenth of a second: not before there is something to name

    for knot in nx.strongly_connected_components(as_graph(flow)):
        if len(knot) > 1 and knot & touched:
            yield {node: [n for n in flow[node] if n in knot] for node in knot}


def shortest_loops(
    knot: Flow, outputs: Iterable[int], room: Room, hangs: Callable[[int, int], str] | None = None
) -> list[list[Port]]:
    """The shortest loop through each output of a knot; among equals, that which a search in the order of names meets first.

    A loop is written from the output whose name comes first. With ``hangs``, which says on what condition a
    step hangs, it is the loop that hangs on the fewest; of those, on the fewest assignments; and the shortest of those.
    """
    import networkx as nx

    def name(node: int) -> str:
        return name_of(room, node)

    graph = as_graph({node: sorted(knot[node], key=name) for node in sorted(knot, key=name)})
    if hangs is not None:
        for here, there, attributes in graph.edges(data=True):
            on = hangs(here, there)
            attributes["weight"] = 1 + len(graph) * ((on == ASSIGNED) + len(graph) * (on != ALWAYS))
    loops = []
    for start in sorted(outputs, key=name):
        if hangs is None:
            back: dict[int, list[int]] = nx.single_target_shortest_path(graph, start)
            cost: dict[int, float] = {node: len(way) for node, way in back.items()}
        else:
            turned = graph.reverse(copy=False)
            back = {node: way[::-1] for node, way in nx.single_source_dijkstra_path(turned, start).items()}
            cost = nx.single_source_dijkstra_path_length(turned, start)
        after = min(graph.successors(start), key=lambda node: (cost[node], name(node)))
        ports = [room.ports[node] for node in (start, *back[after][:-1]) if node >= 0]
        first = min((port.name, place) for place, port in enumerate(ports) if port.kind.is_output)[1]
        loops.append(ports[first:] + ports[:first])
    return loops


def hangs_on(room: Room, loop: Sequence[Port], told: Settings = NOTHING_TOLD) -> list[tuple[str, Port, Port]]:
    """The conditions on which a loop of ports hangs, each with the input and the output between which it stands."""
    steps = pairwise((*loop, loop[0]))
    found = [(condition(room, a.index, b.index, told), a, b) for a, b in steps if not a.kind.is_output]
    return [each for each in found if each[0] != ALWAYS]


def _loop(state: State, loop: list[Port], told: Settings) -> Alert:
    way = " > ".join([*(port.name for port in loop), loop[0].name])
    nets = [
        Circuit(state, state.nodes_joined_to(2 * state.room.jacks_of_port[p.index][0]))
        for p in loop
        if p.kind.is_output
    ]
    cord = "pull a cord of it, or " if any(net.cords for net in nets) else ""
    # Digital gear that is fed with itself has nothing to lock to; what passes a converter is sound again, and howls.
    digital = all(port.kind.digital for port in loop)
    conditions = hangs_on(state.room, loop, told)
    where = list_words([HANGS_ON[each][0].format(into=a.name, out=b.name) for each, a, b in conditions])
    settings = "".join(f", or {each}" for each in dict.fromkeys(HANGS_ON[each][1] for each, _, _ in conditions))
    severity = WARNING if digital or conditions else DANGER
    leave = ""
    if any(each == ASSIGNED for each, _, _ in conditions):
        severity, leave = NOTE, "Nothing is to be done while it is not so. Else: "
    down = MONITORS_DOWN.lower() if leave else MONITORS_DOWN
    return Alert(
        "feedback-loop",
        severity,
        tuple(port.name for port in loop),
        {},
        f"Signal runs in a circle{f' if {where}' if conditions else ''}: {way}. "
        + ("It would lock to itself; converters mute or click." if digital else "It can howl at full level."),
        f"{leave}{down}, then open the circle: {cord}break a normal of it with a plug{settings}.",
        node=2 * state.room.jacks_of_port[loop[0].index][0],
    )
