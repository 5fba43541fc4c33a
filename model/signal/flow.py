"""Signal flow: which ports a signal reaches, and where it comes from, through nets and gear.

What is asked about is followed from there, in the state as it is; nothing is kept that a cord could make stale, and cost
follows the part of the room that the signal passes. networkx comes in only where a graph is to be searched.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import TYPE_CHECKING

from model.bay.state import State
from model.room.wiring import NO_PORT, Room

if TYPE_CHECKING:
    import networkx as nx

# A node of the flow: a port's number, or -1 - the number of gear that carries each of its inputs to each of its outputs.
Flow = dict[int, list[int]]


def is_output(room: Room, node: int) -> bool:
    """Whether a node of the flow is an output."""
    return node >= 0 and room.ports[node].kind.is_output


def ports_joined_to(state: State, port: int) -> list[int]:
    """The ports on the net of a port's jacks, itself among them; none where it comes up at no jack."""
    jacks = state.room.jacks_of_port[port]
    if not jacks:
        return []
    port_at = state.room.port_at
    found = {port_at[node >> 1] for node in state.nodes_joined_to(2 * jacks[0]) if not node & 1}
    found.discard(NO_PORT)
    return list(found)


def inputs_fed_by(state: State, output: int) -> list[int]:
    """The inputs on the net of an output."""
    return [port for port in ports_joined_to(state, output) if not is_output(state.room, port)]


def outputs_feeding(state: State, entry: int) -> list[int]:
    """The outputs on the net of an input."""
    return [port for port in ports_joined_to(state, entry) if is_output(state.room, port)]


def carries_on(room: Room, entry: int) -> list[int]:
    """Where gear takes the signal of one of its inputs."""
    gear = room.gear[room.ports[entry].gear]
    if gear.through is True:
        return [-1 - gear.index]
    return list(room.carried(entry))


def carried_here(room: Room, output: int) -> list[int]:
    """Where gear takes from what it sends out of one of its outputs; empty for what starts there."""
    gear = room.gear[room.ports[output].gear]
    if gear.through is not True:
        return list(room.carried_from(output))
    return [-1 - gear.index] if room.carried_from(output) else []


def onward(state: State, node: int) -> list[int]:
    """What a node of the flow leads to."""
    room = state.room
    if node < 0:
        return [port for port in room.gear[-1 - node].ports if is_output(room, port)]
    return inputs_fed_by(state, node) if is_output(room, node) else carries_on(room, node)


def backward(state: State, node: int) -> list[int]:
    """What leads to a node of the flow."""
    room = state.room
    if node < 0:
        return [port for port in room.gear[-1 - node].ports if not is_output(room, port)]
    return carried_here(room, node) if is_output(room, node) else outputs_feeding(state, node)


def follow(state: State, starts: Iterable[int], leads: Callable[[State, int], list[int]] = onward) -> Flow:
    """Everything that some nodes lead to (``backward``: that leads to them), each with what it leads to itself."""
    flow: Flow = {}
    todo = list(starts)
    while todo:
        node = todo.pop()
        if node not in flow:
            flow[node] = leads(state, node)
            todo.extend(flow[node])
    return flow


def as_graph(flow: Flow) -> nx.DiGraph[int]:
    """A flow as a graph of networkx."""
    import networkx as nx  # takes a tenth of a second: not before there is something to search

    graph: nx.DiGraph[int] = nx.DiGraph()
    graph.add_nodes_from(flow)
    graph.add_edges_from((node, there) for node, nexts in flow.items() for there in nexts)
    return graph


def begins(room: Room, output: int) -> bool:
    """Whether a signal starts at an output: nothing that comes into its gear is carried there."""
    return not room.carried_from(output)


def first_sources(state: State, ports: Iterable[int]) -> list[int]:
    """The outputs at which what reaches some ports starts."""
    room = state.room
    flow = follow(state, ports, backward)
    return sorted(node for node in flow if is_output(room, node) and begins(room, node))
