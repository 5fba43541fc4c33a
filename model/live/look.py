"""What is on some nets at one moment: who feeds whom, and what is to be warned of."""

from __future__ import annotations

from collections.abc import Iterable

from model.bay.state import State
from model.room.wiring import Room, line_contact, normal_contact
from model.signal import rules
from model.signal.circuit import Circuit
from model.signal.loops import feedback_loops
from model.signal.warning import Alert

Identity = tuple[str, tuple[str, ...], tuple[str, ...]]
Standing = dict[Identity, Alert]


class Look:
    """The nets of some contacts in one state."""

    def __init__(self, state: State, nodes: Iterable[int]) -> None:
        self.state = state
        self.circuits: list[Circuit] = []
        self.knotted: set[int] = set()  # outputs on knots of loops through these nets, once they have been looked for
        seen: set[int] = set()
        for node in nodes:
            if node not in seen:
                net = state.nodes_joined_to(node)
                seen.update(net)
                self.circuits.append(Circuit(state, net))

    def feeds(self) -> tuple[dict[str, tuple[str, ...]], dict[str, tuple[str, ...]]]:
        """The loads of each source, and the sources of each load, by name."""
        loads_of: dict[str, tuple[str, ...]] = {}
        sources_of: dict[str, tuple[str, ...]] = {}
        for circuit in self.circuits:
            if circuit.outputs and circuit.inputs:
                outputs = tuple([port.name for port in circuit.outputs])
                inputs = tuple([port.name for port in circuit.inputs])
                for name in outputs:
                    loads_of[name] = inputs
                for name in inputs:
                    sources_of[name] = outputs
        return loads_of, sources_of

    def warnings(self, knotted: Iterable[int] = ()) -> Standing:
        """All standing warnings of these nets; the loops among them also through the outputs ``knotted``."""
        found: Standing = {}
        loose: set[int] = set()
        for circuit in self.circuits:
            loose.update(circuit.loose)
            if not circuit.outputs and not circuit.inputs:
                continue
            for rule in rules.RULES:
                warning = rule.finds(circuit)
                if warning is not None:
                    found[warning.identity] = warning
        for jack in loose:
            warning = self._loose_end(jack)
            found[warning.identity] = warning
        loops, self.knotted = feedback_loops(self.state, self.circuits, knotted)
        for warning in loops:
            found[warning.identity] = warning
        return found

    def _loose_end(self, jack: int) -> Alert:
        state = self.state
        line, normal = (
            Circuit(state, state.nodes_joined_to(contact(jack))) for contact in (line_contact, normal_contact)
        )
        return rules.loose_end(state.room.jacks[jack].address, state.plugs[jack], rules.broken_by_plug((line, normal)))


def look_at_all(state: State) -> Look:
    """All nets of a room. Cost follows the room."""
    return Look(state, (line_contact(jack.index) for jack in state.room.jacks))


def standing_at_rest(room: Room) -> Standing:
    """The warnings that stand in a room before any cord."""
    return look_at_all(State(room)).warnings()
