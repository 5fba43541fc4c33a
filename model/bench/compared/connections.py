"""Who feeds whom in a state of the bay, by the names of ports; cost follows the room."""

from __future__ import annotations

from model.bay.state import State
from model.room.wiring import NO_PORT, Room

Connections = set[tuple[str, str]]  # source and load


def at_rest(room: Room) -> Connections:
    """The connections of a room before any cord."""
    return connections_of(State(room))


def connections_of(state: State) -> Connections:
    """Each output and each input that are on one net."""
    room = state.room
    found: Connections = set()
    seen: set[int] = set()
    for jack in room.jacks:
        if jack.port == NO_PORT or 2 * jack.index in seen:
            continue
        net = state.nodes_joined_to(2 * jack.index)
        seen.update(net)
        numbers = {room.port_at[node >> 1] for node in net if not node & 1} - {NO_PORT}
        ports = [room.ports[number] for number in numbers]
        found.update(
            (source.name, load.name)
            for source in ports
            if source.kind.is_output
            for load in ports
            if not load.kind.is_output
        )
    return found
