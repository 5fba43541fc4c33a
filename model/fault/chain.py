"""What a signal must pass on its way from a source to a place, as the bay is now: the things that can be at fault there.

Where two ways lead there side by side, what lies on one of them alone can neither silence the place nor be proved sound by
it. What counts lies on every way: the dominators of the place in the graph of contacts, gear and what joins them.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable
from typing import TYPE_CHECKING

from model.bay.state import State
from model.fault import reasoning as fault
from model.fault.reasoning import Element
from model.language.targets import CORD, MULT, PORT, TIE, Target
from model.room.inside import ASSIGNED, Settings
from model.room.wiring import NO_PORT, Room, line_contact
from model.signal.flow import backward, begins, follow, is_output
from model.way import joints
from model.way.joints import joined_to, joint

if TYPE_CHECKING:
    import networkx as nx

# A node of the graph: a contact; -1 - an input, where its lead ends in the gear; something that can fail.
Node = int | Element


class Ways:
    """All ways of a source's signal through some ports, and what lies on every one of them to each place."""

    def __init__(self, state: State, source: int, through: Collection[int]) -> None:
        import networkx as nx  # takes a tenth of a second: not before a fault is looked for

        self.state = state
        self.room = state.room
        self.source = source
        self._through = through
        self.graph: nx.DiGraph[Node] = nx.DiGraph()
        self._todo: list[int] = []  # contacts
        port = self.room.ports[source]
        lead = lead_of(self.room, source)
        if port.kind.is_mic_line:
            mic = state.mics.get(source)
            first = Element(
                fault.MICROPHONE, f"{mic.name if mic else 'microphone'} on {port.name}", lead.jacks, port.name
            )
        else:
            first = inside(self.room, None, source)
        self._join(first, lead)
        self._leaves(source)
        while self._todo:
            self._from_contact(self._todo.pop())
        self.before: dict[Node, Node | None] = dict(nx.immediate_dominators(self.graph, first))
        self.before[first] = None

    def in_state(self, state: State) -> Ways:
        """The ways through the same ports in another state of the bay."""
        return Ways(state, self.source, self._through)

    def passed(self, node: Node) -> tuple[Element, ...]:
        """What the signal passes on every way to a node, in its order; empty where no way leads there."""
        return tuple(there for there in self.to(node) if isinstance(there, Element))

    def to(self, node: Node) -> list[Node]:
        """The nodes on every way to a node, itself the last; empty where no way leads there."""
        found: list[Node] = []
        here: Node | None = node if node in self.before else None
        while here is not None:
            found.append(here)
            here = self.before[here]
        found.reverse()
        return found

    def _join(self, a: Node, b: Node) -> None:
        if isinstance(b, int) and b >= 0 and b not in self.graph:
            self._todo.append(b)
        self.graph.add_edge(a, b)

    def _leaves(self, output: int) -> None:
        """From gear, over its lead, to the bay."""
        jacks = self.room.jacks_of_port[output]
        if jacks:
            self._join(lead_of(self.room, output), line_contact(jacks[0]))

    def _from_contact(self, contact: int) -> None:
        state, jack = self.state, contact >> 1
        port = NO_PORT if contact & 1 else self.room.port_at[jack]
        is_wanted = port != NO_PORT and port in self._through and not is_output(self.room, port)
        if is_wanted and self.room.jacks_of_port[port][0] == jack:
            self._enters(contact, port)
        number = state.plugs.get(jack)
        if number is None:
            self._over(contact, _contact_element(self.room, jack), contact ^ 1)
        elif not contact & 1:
            cord = cord_element(state, number)
            self._join(contact, cord)  # a loose end can be listened to as well
            for other in state.cords[number].plugs:
                self._over(contact, cord, line_contact(other))
        for there in self.room.wires[contact]:  # a cord beside a wire is a way of its own
            self._over(contact, _wire_element(state, contact, there), there)

    def _over(self, contact: int, between: Element | None, there: int) -> None:
        if between is None:
            self._join(contact, there)
        else:
            self._join(contact, between)
            self._join(between, there)

    def _enters(self, contact: int, entry: int) -> None:
        """From the bay, over an input's lead, into its gear, and out again where the gear carries the signal on."""
        room = self.room
        lead = lead_of(room, entry)
        self._join(contact, lead)
        self._join(lead, -1 - entry)
        carried = room.carried(entry)
        if not carried:
            self._join(-1 - entry, inside(room, entry, None))
        for output in carried:
            if output in self._through:
                gear = inside(room, entry, output)
                self._join(-1 - entry, gear)
                self._join(gear, lead_of(room, output))
                self._leaves(output)


def _contact_element(room: Room, jack: int) -> Element:
    address = room.jacks[jack].address
    return Element(fault.CONTACT, f"normal contact of {address}", (address,), address)


def _wire_element(state: State, a: int, b: int) -> Element | None:
    """What can fail between two contacts that a wire joins; None for a normal's, whose weak points are its contacts."""
    room = state.room
    step = joint(state, a, b)
    ends = tuple(room.jacks[contact >> 1].address for contact in sorted((a, b)))
    if step.kind == joints.TIE:
        return Element(fault.TIE, step.name, ends, step.name)
    if step.kind == joints.MULT:
        jacks = room.mult_at[a >> 1].jacks
        return Element(fault.MULT, step.name, tuple(room.jacks[jack].address for jack in jacks), step.name)
    if step.kind == joints.NORMAL and (a & 1 or b & 1):
        return None
    return Element(fault.LEAD, f"wire from {ends[0]} to {ends[1]}", ends, ends[0])


def cord_element(state: State, number: int) -> Element:
    """A cord. The number on its tag makes it that cord, wherever it is plugged."""
    jacks = tuple(state.room.jacks[jack].address for jack in state.cords[number].plugs)
    return Element(fault.CORD, f"cord {number}", jacks, f"#{number}")


def lead_of(room: Room, port: int) -> Element:
    """The lead between a port and the bay; of a microphone line, the line itself."""
    found = room.ports[port]
    jacks = tuple(room.jacks[jack].address for jack in room.jacks_of_port[port])
    if found.kind.is_mic_line:
        return Element(fault.MIC_LINE, found.name, jacks, found.name)
    return Element(fault.LEAD, f"lead of {found.name}", jacks, found.name)


def inside(room: Room, entry: int | None, output: int | None) -> Element:
    """Gear between one of its inputs and one of its outputs; before an output or behind an input where there is none.

    Where the room file says which input reaches which output, each way inside is a thing of its own: a channel's insert
    send may work while what follows its return does not.
    """
    ends = [port for port in (entry, output) if port is not None]
    gear = room.gear[room.ports[ends[0]].gear]
    name = gear.name
    if len(gear.ports) > 1 and (gear.through is not True or len(ends) == 1):
        name = f"{name} ({' to '.join(room.ports[port].own for port in ends)})"
    jacks = tuple(room.jacks[jack].address for port in ends for jack in room.jacks_of_port[port])
    return Element(fault.GEAR, name, jacks, gear.name)


# Places, and what leads there


def node_of(state: State, target: Target) -> Node:
    """The node at which the signal is heard at a target: where a cord's far plug, a tie line or a mult is heard, itself.

    An input is heard inside its gear: by what the gear does with it, or by its meter.
    """
    if target.kind == CORD and target.cord is not None:
        return cord_element(state, target.cord)
    if target.kind in (TIE, MULT):
        return Element(fault.TIE if target.kind == TIE else fault.MULT, target.name)
    if target.kind == PORT and target.port is not None and not target.port.kind.is_output:
        entry = target.port.index
        return -1 - entry if state.room.carried(entry) else inside(state.room, entry, None)
    return line_contact(target.jacks[0])


def flow_to(state: State, target: Target) -> Collection[int]:
    """The ports whose signal reaches a target."""
    return follow(state, _starts(state, target), backward)


def _starts(state: State, target: Target) -> list[int]:
    if target.port is not None and not target.port.kind.is_output:
        return [target.port.index]
    return _outputs_at(state, target.contacts)


def _outputs_at(state: State, contacts: Iterable[int]) -> list[int]:
    port_at = state.room.port_at
    found = {port_at[node >> 1] for contact in contacts for node in state.nodes_joined_to(contact) if not node & 1} - {
        NO_PORT
    }
    return sorted(port for port in found if is_output(state.room, port))


def plays(room: Room, output: int) -> bool:
    """Whether a search takes an output for a source: a signal starts there, or what is assigned to it is mixed there."""
    ways = [room.condition(entry, output) for entry in room.carried_from(output)]
    return begins(room, output) or all(hangs == ASSIGNED for hangs in ways)


def sources_of(state: State, target: Target) -> list[int]:
    """The outputs that play what reaches a target: the nearest on each way. What lies before a bus is not looked at."""
    room = state.room

    def to_the_nearest(state: State, node: int, told: Settings, /) -> list[int]:
        return [] if is_output(room, node) and plays(room, node) else backward(state, node, told)

    flow = follow(state, _starts(state, target), to_the_nearest)
    return sorted(node for node in flow if is_output(room, node) and plays(room, node))


def passed(state: State, source: int, target: Target) -> tuple[Element, ...]:
    """What a source's signal passes on every way to a target; empty where no way leads there."""
    through = flow_to(state, target)
    return Ways(state, source, through).passed(node_of(state, target)) if source in through else ()


def joined_jacks(state: State, jack: int) -> list[int]:
    """The jacks to which one is joined now without another between them."""
    found = {there >> 1 for contact in (2 * jack, 2 * jack + 1) for there in joined_to(state, contact)}
    return sorted(found - {jack})
