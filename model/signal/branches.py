"""The open branches of a line: what hangs on the way between its source and where it ends.

A wave that runs into a branch with nothing at its end comes back; at a quarter of its length the branch is a short.
"""

from __future__ import annotations

from collections.abc import Iterator

from model.bay.state import State
from model.room.wiring import NO_PORT, Port
from model.signal.circuit import Circuit

ENDS_WITHIN = 2.0  # an input of up to twice the line's impedance ends it; a lighter one leaves it open


def open_branch_m(circuit: Circuit) -> float:
    """The longest open branch of a digital line, m, as far as lengths are known (tie lines, cords, gear's leads).

    The line itself is the ways from its sources to each other and to the inputs that end it; where none does, to the farthest
    input. Everything else hangs on it.
    """
    room = circuit.state.room
    source = circuit.outputs[0]
    root = 2 * room.jacks_of_port[source.index][0]
    before: dict[int, tuple[int, float]] = {root: (root, 0.0)}  # the contact before each, and the metres between
    order = [root]
    for node in order:  # grows while it is walked
        for there, metres in _joined(circuit.state, node):
            if there not in before:
                before[there] = (node, metres)
                order.append(there)
    far: dict[int, float] = {root: 0.0}
    for node in order[1:]:
        there, metres = before[node]
        far[node] = far[there] + metres
    leads: dict[int, float] = {}  # of open inputs, by contact
    at: dict[int, int] = {}  # the contact of each port
    for node in order:
        index = room.port_at[node >> 1]
        if not node & 1 and index != NO_PORT:
            at.setdefault(index, node)
    ends = [port for port in circuit.ports if port.kind.is_output or _ends(port, source)]
    if not any(not port.kind.is_output for port in ends):
        ends.append(max(circuit.inputs, key=lambda port: far[at[port.index]] + port.cable_m))
    on_line: set[int] = set()
    for port in ends:
        node = at[port.index]
        while node not in on_line:
            on_line.add(node)
            node = before[node][0]
    for port in circuit.inputs:
        if port not in ends:
            leads[at[port.index]] = port.cable_m
    longest = 0.0
    hangs: dict[int, float] = {}  # how far each contact beside the line is from it
    for node in order:
        there, metres = before[node]
        hangs[node] = 0.0 if node in on_line else hangs[there] + metres
        longest = max(longest, hangs[node] + leads.get(node, 0.0))
    return longest


def _ends(port: Port, source: Port) -> bool:
    return port.ohms <= ENDS_WITHIN * (source.kind.line_ohms or 0.0)


def _joined(state: State, node: int) -> Iterator[tuple[int, float]]:
    """The contacts that are joined to one directly, each with the metres between them."""
    room, jack = state.room, node >> 1
    ties = {} if node & 1 else {2 * (tie.a + tie.b - jack): tie.metres for tie in room.ties_at.get(jack, ())}
    for there in room.wires[node]:
        yield there, ties.get(there, 0.0)
    number = state.plugs.get(jack)
    if number is None:
        yield node ^ 1, 0.0
    elif not node & 1:
        cord = state.cords[number]
        for other in cord.plugs:
            if other != jack:
                yield 2 * other, (cord.length_cm or 0.0) / 100
