"""Feedback loops: signal that runs from an output, through nets and gear, back to that output.

Looked for from the nets that an action touches, outward along the signal, never over the whole room. A search that meets
no loop is plain Python; only where one is found does networkx come in, to name it.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from model.bay.state import State
from model.room.wiring import Port, Room
from model.signal.cautions import MONITORS_DOWN
from model.signal.circuit import Circuit
from model.signal.flow import Flow, as_graph, carries_on, follow, is_output
from model.signal.warning import DANGER, WARNING, Alert


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


def feedback_loops(state: State, circuits: Sequence[Circuit], also: Iterable[int] = ()) -> tuple[list[Alert], set[int]]:
    """The loops of some nets, and all outputs that lie on a knot with them.

    A knot is a set of ports that all reach one another. Of each knot that passes one of the nets, or one of the outputs
    ``also`` named, every output's shortest loop is found; outputs on one loop mostly share it.
    """
    room = state.room
    passing = [circuit for circuit in circuits if circuit.outputs and circuit.inputs and may_loop(room, circuit)]
    touched = {port.index for circuit in passing for port in circuit.outputs}.union(also)
    if not touched:
        return [], set()
    rest = without_dead_ends(follow(state, touched))
    if not touched & rest.keys():
        return [], set()
    import networkx as nx  # takes a tenth of a second: not before there is something to name

    found: dict[tuple[str, ...], Alert] = {}
    knotted: set[int] = set()
    for knot in nx.strongly_connected_components(as_graph(rest)):
        if len(knot) > 1 and knot & touched:
            outputs = {node for node in knot if is_output(room, node)}
            knotted |= outputs
            for loop in shortest_loops({node: [n for n in rest[node] if n in knot] for node in knot}, outputs, room):
                warning = _loop(state, loop)
                found[warning.ports] = warning
    return list(found.values()), knotted


def shortest_loops(knot: Flow, outputs: Iterable[int], room: Room) -> list[list[Port]]:
    """The shortest loop through each output of a knot; among equals, that which a search in the order of names meets first.

    A loop is written from the output whose name comes first.
    """
    import networkx as nx

    def name(node: int) -> str:
        return room.ports[node].name if node >= 0 else room.gear[-1 - node].name

    graph = as_graph({node: sorted(knot[node], key=name) for node in sorted(knot, key=name)})
    loops = []
    for start in sorted(outputs, key=name):
        back = nx.single_target_shortest_path(graph, start)
        onward = min(graph.successors(start), key=lambda node: (len(back[node]), name(node)))
        ports = [room.ports[node] for node in (start, *back[onward][:-1]) if node >= 0]
        first = min((port.name, place) for place, port in enumerate(ports) if port.kind.is_output)[1]
        loops.append(ports[first:] + ports[:first])
    return loops


def _loop(state: State, loop: list[Port]) -> Alert:
    way = " > ".join([*(port.name for port in loop), loop[0].name])
    nets = [
        Circuit(state, state.nodes_joined_to(2 * state.room.jacks_of_port[p.index][0]))
        for p in loop
        if p.kind.is_output
    ]
    cord = "pull a cord of it, or " if any(net.cords for net in nets) else ""
    # Digital gear that is fed with itself has nothing to lock to; what passes a converter is sound again, and howls.
    digital = all(port.kind.digital for port in loop)
    return Alert(
        "feedback-loop",
        WARNING if digital else DANGER,
        tuple(port.name for port in loop),
        {},
        f"Signal runs in a circle: {way}. "
        + ("It would lock to itself; converters mute or click." if digital else "It can howl at full level."),
        f"{MONITORS_DOWN}, then open the circle: {cord}break a normal of it with a plug.",
        node=2 * state.room.jacks_of_port[loop[0].index][0],
    )
