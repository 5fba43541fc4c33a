"""Which tie lines a signal may take: a tie line may state its kind, and a line tie takes no microphone."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from model.bay.state import State
from model.room.kinds import TIE_KINDS
from model.room.wiring import Room
from model.way.joints import Walk, joined_to, walk


def families(state: State, contacts: Sequence[int]) -> frozenset[str]:
    """The families of the outputs at some jacks; where there are none, of those that feed them."""
    port_at, ports = state.room.port_at, state.room.ports
    for places in (contacts, walk(state, contacts)):
        at = [ports[port_at[contact >> 1]] for contact in places if not contact & 1 and port_at[contact >> 1] >= 0]
        found = frozenset(port.kind.family for port in at if port.kind.is_output)
        if found:
            return found
    return frozenset()


def walk_for(state: State, starts: Sequence[int], signal: frozenset[str], blocked: Collection[int] = ()) -> Walk:
    """All contacts joined to some contacts now, over tie lines that take a signal of some families alone."""
    room = state.room
    reached: Walk = dict.fromkeys(starts)
    todo = list(reached)
    for here in todo:  # grows while it is walked
        fixed = len(room.wires[here])  # of all that joins it, the wires come first
        for place, there in enumerate(joined_to(state, here, blocked)):
            if there not in reached and (place >= fixed or _takes(room, here >> 1, there >> 1, signal)):
                reached[there] = here
                todo.append(there)
    return reached


def _takes(room: Room, jack: int, other: int, signal: frozenset[str]) -> bool:
    """Whether the wire between two jacks takes a signal: each but a tie line of another kind does."""
    ties = (tie for tie in room.ties_at.get(jack, ()) if tie.kind and {tie.a, tie.b} == {jack, other})
    return all(TIE_KINDS[tie.kind].issuperset(signal) for tie in ties)
