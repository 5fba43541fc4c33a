"""Signal flow: which ports a signal reaches, and where it comes from, through nets and gear.

What is asked about is followed from there, in the state as it is; nothing is kept that a cord could make stale, and cost
follows the part of the room that the signal passes. networkx comes in only where a graph is to be searched.

A way inside gear may hang on a condition ('if assigned'). It is followed unless ``told`` says that it does not pass tonight;
it is certain where ``told`` says that it does.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, Protocol

from model.bay.state import State
from model.room.inside import ALWAYS, ARMED, NOTHING_TOLD, Settings
from model.room.wiring import NO_PORT, Room

if TYPE_CHECKING:
    import networkx as nx

# A node of the flow: a port's number, or a bus inside gear, which is negative. A bus carries each of its inputs to each of
# its outputs: that of gear whose ``through`` is yes is -1 - the gear's number, and that of the gear's first, second, ...
# conditional ways is lower by so many times the room's number of gear.
Flow = dict[int, list[int]]


class Leads(Protocol):
    """:func:`onward` or :func:`backward`."""

    def __call__(self, state: State, node: int, told: Settings, /) -> list[int]:
        """Where a node of the flow leads."""


def gear_of_bus(room: Room, node: int) -> int:
    """The gear whose bus a node is."""
    return (-1 - node) % len(room.gear)


def name_of(room: Room, node: int) -> str:
    """The name of a port, or of the gear whose bus a node is."""
    return room.ports[node].name if node >= 0 else room.gear[gear_of_bus(room, node)].name


def bus_condition(room: Room, node: int) -> str:
    """The condition on which signal comes to a bus."""
    place, gear = divmod(-1 - node, len(room.gear))
    return room.gear[gear].ways[place - 1].condition if place else ALWAYS


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


def carries_on(room: Room, entry: int, told: Settings = NOTHING_TOLD) -> list[int]:
    """Where gear takes the signal of one of its inputs.

    An input of which something is told goes past the busses, since what it reaches is its own.
    """
    gear = room.gear[room.ports[entry].gear]
    if gear.through is True:
        return [-1 - gear.index]
    if not gear.ways:
        return list(room.carried(entry))
    inside, known = room.inside(gear.index), told.get(entry)
    if known is not None:
        return [out for out in inside.carried(entry) if inside.condition(entry, out) == ALWAYS or known.get(out, True)]
    found = dict.fromkeys(inside.always_on.get(entry, ()))
    for place in inside.ways_on.get(entry, ()):
        ways = gear.ways[place]
        found.update(dict.fromkeys((_bus(room, gear.index, place),) if ways.many else ways.outputs))
    return list(found)


def carried_here(room: Room, output: int, told: Settings = NOTHING_TOLD) -> list[int]:
    """Where gear takes from what it sends out of one of its outputs; empty for what starts there."""
    gear = room.gear[room.ports[output].gear]
    if gear.through is True:
        return [-1 - gear.index] if room.carried_from(output) else []
    if not gear.ways:
        return list(room.carried_from(output))
    inside = room.inside(gear.index)
    found = dict.fromkeys(inside.always_from.get(output, ()))
    for place in inside.ways_from.get(output, ()):
        ways = gear.ways[place]
        if ways.many:
            found[_bus(room, gear.index, place)] = None
            singly: Iterable[int] = [entry for entry in ways.inputs if entry in told] if told else ()
        else:
            singly = ways.inputs
        found.update(dict.fromkeys(entry for entry in singly if told.get(entry, {}).get(output, True)))
    return list(found)


def _bus(room: Room, gear: int, place: int) -> int:
    return -1 - gear - len(room.gear) * (place + 1)


def _ports_of_bus(room: Room, node: int, told: Settings) -> tuple[list[int], list[int]]:
    """The inputs and the outputs of a bus."""
    place, index = divmod(-1 - node, len(room.gear))
    gear = room.gear[index]
    if not place:
        outputs = [port for port in gear.ports if is_output(room, port)]
        return [port for port in gear.ports if not is_output(room, port)], outputs
    ways = gear.ways[place - 1]
    return [port for port in ways.inputs if port not in told], list(ways.outputs)


def onward(state: State, node: int, told: Settings = NOTHING_TOLD) -> list[int]:
    """What a node of the flow leads to."""
    room = state.room
    if node < 0:
        return _ports_of_bus(room, node, told)[1]
    return inputs_fed_by(state, node) if is_output(room, node) else carries_on(room, node, told)


def backward(state: State, node: int, told: Settings = NOTHING_TOLD) -> list[int]:
    """What leads to a node of the flow."""
    room = state.room
    if node < 0:
        return _ports_of_bus(room, node, told)[0]
    return carried_here(room, node, told) if is_output(room, node) else outputs_feeding(state, node)


def condition(room: Room, here: int, there: int, told: Settings = NOTHING_TOLD) -> str:
    """On what the step from one node of the flow to the next hangs: '' where it is sure, else such as 'if assigned'.

    A way over a bus says it at its first step, from the input to the bus.
    """
    if here < 0 or is_output(room, here):
        return ALWAYS
    if there < 0:
        return bus_condition(room, there)
    return ALWAYS if told.get(here, {}).get(there) else room.condition(here, there) or ALWAYS


def follow(state: State, starts: Iterable[int], leads: Leads = onward, told: Settings = NOTHING_TOLD) -> Flow:
    """Everything that some nodes lead to (``backward``: that leads to them), each with what it leads to itself."""
    flow: Flow = {}
    todo = list(starts)
    while todo:
        node = todo.pop()
        if node not in flow:
            flow[node] = leads(state, node, told)
            todo.extend(flow[node])
    return flow


def sure_part(room: Room, flow: Flow, told: Settings = NOTHING_TOLD) -> Flow:
    """The part of an onward flow that hangs on no condition."""
    return {
        node: [there for there in nexts if condition(room, node, there, told) == ALWAYS] for node, nexts in flow.items()
    }


def as_graph(flow: Flow) -> nx.DiGraph[int]:
    """A flow as a graph of networkx."""
    import networkx as nx  # takes a tenth of a second: not before there is something to search

    graph: nx.DiGraph[int] = nx.DiGraph()
    graph.add_nodes_from(flow)
    graph.add_edges_from((node, there) for node, nexts in flow.items() for there in nexts)
    return graph


def begins(room: Room, output: int, told: Settings = NOTHING_TOLD) -> bool:
    """Whether a signal starts at an output: nothing that comes into its gear is carried there, or only on an armed track.

    What is told to be armed is heard there for certain, and plays nothing of its own.
    """
    if not room.carried_from(output):
        return True
    ways = room.gear[room.ports[output].gear].ways
    return bool(ways) and all(
        room.condition(entry, output) == ARMED and not told.get(entry, {}).get(output)
        for entry in room.carried_from(output)
    )


def first_sources(state: State, ports: Iterable[int], told: Settings = NOTHING_TOLD) -> list[int]:
    """The outputs at which what reaches some ports starts, on whatever condition."""
    room = state.room
    flow = follow(state, ports, backward, told)
    return sorted(node for node in flow if is_output(room, node) and begins(room, node, told))


def sure_sources(state: State, ports: Iterable[int], told: Settings = NOTHING_TOLD) -> list[int]:
    """Those of :func:`first_sources` whose signal comes over ways that hang on no condition."""
    room = state.room

    def surely(state: State, node: int, told: Settings, /) -> list[int]:
        return [before for before in backward(state, node, told) if condition(room, before, node, told) == ALWAYS]

    flow = follow(state, ports, surely, told)
    return sorted(node for node in flow if is_output(room, node) and begins(room, node, told))
