"""Feedback loops: signal that runs from an output, through nets and gear, back to that output.

Looked for from the nets that an action touches, outward along the signal, never over the whole room. A search that meets
no loop is plain Python; only where one is found does networkx come in, to name it.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

from model.circuit import Circuit
from model.room import NO_PORT, Port, Room
from model.state import State
from model.warning import DANGER, Warn

if TYPE_CHECKING:
    import networkx as nx

# A node of the flow: a port's number, or -1 - the number of gear that carries each of its inputs to each of its outputs.
Flow = dict[int, list[int]]


def carries_on(room: Room, port: Port) -> list[int]:
    """Where gear takes the signal of one of its inputs."""
    gear = room.gear[port.gear]
    if gear.through is True:
        return [-1 - gear.index]
    return list(room.carried(port.index))


def inputs_fed_by(state: State, output: int) -> list[int]:
    """The inputs on the nets of an output's jacks."""
    room = state.room
    jacks = room.jacks_of_port[output]
    if not jacks:
        return []
    found = {room.port_at[node >> 1] for node in state.nodes_joined_to(2 * jacks[0]) if not node & 1}
    return [port for port in found if port != NO_PORT and not room.ports[port].kind.is_output]


def flow_onward(state: State, starts: Iterable[int]) -> Flow:
    """Everything that the signal of some ports reaches, node by node, with what each leads to."""
    room = state.room
    flow: Flow = {}
    todo = list(starts)
    while todo:
        node = todo.pop()
        if node in flow:
            continue
        if node < 0:
            nexts = [p for p in room.gear[-1 - node].ports if room.ports[p].kind.is_output]
        elif room.ports[node].kind.is_output:
            nexts = inputs_fed_by(state, node)
        else:
            nexts = carries_on(room, room.ports[node])
        flow[node] = nexts
        todo.extend(nexts)
    return flow


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
    return any(carries_on(room, port) for port in circuit.inputs) and any(
        room.carried_from(port.index) for port in circuit.outputs
    )


def feedback_loops(state: State, circuits: Sequence[Circuit]) -> list[Warn]:
    """The loops that pass through some nets: one for each set of ports that all reach one another, its shortest."""
    room = state.room
    passing = [circuit for circuit in circuits if circuit.outputs and circuit.inputs and may_loop(room, circuit)]
    if not passing:
        return []
    touched = {port.index for circuit in passing for port in circuit.outputs}
    rest = without_dead_ends(flow_onward(state, touched))
    if not touched & rest.keys():
        return []
    import networkx as nx  # takes a tenth of a second: not before there is something to name

    graph = nx.DiGraph((node, there) for node, nexts in rest.items() for there in nexts)
    return [
        _loop(state, shortest_loop(graph.subgraph(knot), state.room))
        for knot in nx.strongly_connected_components(graph)
        if len(knot) > 1 and knot & touched
    ]


def shortest_loop(knot: nx.DiGraph[int], room: Room) -> list[Port]:
    """The shortest loop of a set of nodes that all reach one another; among equals, the first by its ports' names.

    It starts at the output whose name comes first.
    """
    import networkx as nx

    best: list[Port] = []
    outputs = sorted(
        (node for node in knot if node >= 0 and room.ports[node].kind.is_output), key=lambda n: room.ports[n].name
    )
    for start in outputs:
        back = nx.single_target_shortest_path(knot, start)
        onward = sorted((len(back[n]), room.ports[n].name if n >= 0 else "", n) for n in knot.successors(start))
        ports = [room.ports[n] for n in (start, *back[onward[0][2]][:-1]) if n >= 0]
        if not best or len(ports) < len(best):
            best = ports
    return best


def _loop(state: State, loop: list[Port]) -> Warn:
    way = " > ".join([*(port.name for port in loop), loop[0].name])
    return Warn(
        "feedback-loop",
        DANGER,
        tuple(port.name for port in loop),
        {},
        f"Signal runs in a circle: {way}. It can howl at full level.",
        "Monitors down, then pull a cord of the circle.",
        node=2 * state.room.jacks_of_port[loop[0].index][0],
    )
