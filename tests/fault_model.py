"""A slow, obvious model of a signal in a bay with broken things, to check the search for faults against.

It reads the room's frozen data and the state's cords alone, and spreads the signal until nothing changes. What is broken is
called by its name: 'cord 7', 'normal contact of B5', 'lead of Pre 3 out', 'Pre 3', 'Tie 2'.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator
from itertools import combinations, pairwise

from model.bay.state import State
from model.room.wiring import Room

Contact = tuple[int, str]  # a jack's line or normal contact

# Which contact of its top and of its bottom jack each kind of normal is soldered to (common practice, no source).
SOLDERED = {
    "full": ("normal", "normal"),
    "half": ("line", "normal"),
    "half top": ("normal", "line"),
    "parallel": ("line", "line"),
}


class Heard:
    """Where a source's signal is, with some things broken."""

    def __init__(
        self,
        state: State,
        source: str,
        broken: Collection[str] = (),
        plugged: Collection[int] = (),
        unplugged: Collection[int] = (),
    ) -> None:
        """``plugged`` jacks hold a plug of nothing; ``unplugged`` ones hold none, whatever cord is there."""
        self.state, self.room, self.broken = state, state.room, broken
        self.held = (set(state.plugs) | set(plugged)) - set(unplugged)
        self.unplugged = unplugged
        self.contacts: set[Contact] = set()
        self.inputs: set[int] = set()  # where their leads end, in the gear
        self.cord_ends: set[int] = set()  # cords out of which the signal comes
        links = [(a, b, name) for a, b, name in self._links() if name not in broken]
        self._begin(self.room.port_named[source].index)
        size = -1
        while size != (size := len(self.contacts) + len(self.inputs)):
            for a, b, _ in links:
                if a in self.contacts or b in self.contacts:
                    self.contacts |= {a, b}
            self._through_gear()
        for number, cord in state.cords.items():
            ends = {(jack, "line") for jack in cord.plugs if jack not in unplugged}
            if f"cord {number}" not in broken and ends & self.contacts:
                self.cord_ends.add(number)

    def inside(self, port: int) -> bool:
        """Whether the signal of an input is heard by what its gear does with it."""
        room = self.room
        return port in self.inputs and (bool(room.carried(port)) or gear_name(room, port, None) not in self.broken)

    def at_jack(self, jack: int) -> bool:
        """Whether the signal is on a jack's line contact."""
        return (jack, "line") in self.contacts

    def _links(self) -> Iterator[tuple[Contact, Contact, str]]:
        room = self.room
        address = [jack.address for jack in room.jacks]

        def wire(a: int, b: int) -> str:
            return f"wire from {address[min(a, b)]} to {address[max(a, b)]}"

        for jack in range(len(room.jacks)):
            if jack not in self.held:
                yield (jack, "line"), (jack, "normal"), f"normal contact of {address[jack]}"
        for normal in room.normals:
            top, bottom = SOLDERED[normal.kind]
            name = wire(normal.top, normal.bottom) if normal.kind == "parallel" else ""
            yield (normal.top, top), (normal.bottom, bottom), name
        for tie in room.ties:
            yield (tie.a, "line"), (tie.b, "line"), tie.name
        for mult in room.mults:
            for a, b in pairwise(mult.jacks):
                yield (a, "line"), (b, "line"), mult.name
        for jacks in room.jacks_of_port:
            for a, b in pairwise(jacks):
                yield (a, "line"), (b, "line"), wire(a, b)
        for number, cord in self.state.cords.items():
            for a, b in combinations([jack for jack in cord.plugs if jack not in self.unplugged], 2):
                yield (a, "line"), (b, "line"), f"cord {number}"

    def _begin(self, port: int) -> None:
        room = self.room
        found = room.ports[port]
        mic = self.state.mics.get(port)
        if found.kind.is_mic_line:
            first = f"{mic.name if mic else 'microphone'} on {found.name}"
        else:
            first = gear_name(room, None, port)
        if first not in self.broken:
            self._out(port)

    def _out(self, port: int) -> None:
        jacks = self.room.jacks_of_port[port]
        if jacks and lead_name(self.room, port) not in self.broken:
            self.contacts.add((jacks[0], "line"))

    def _through_gear(self) -> None:
        room = self.room
        for port in room.ports:
            jacks = room.jacks_of_port[port.index]
            if port.kind.is_output or not jacks or (jacks[0], "line") not in self.contacts:
                continue
            if lead_name(room, port.index) in self.broken:
                continue
            self.inputs.add(port.index)
            for output in room.carried(port.index):
                if gear_name(room, port.index, output) not in self.broken:
                    self._out(output)


def lead_name(room: Room, port: int) -> str:
    """The name of a port's lead, or of a microphone's line."""
    found = room.ports[port]
    return found.name if found.kind.is_mic_line else f"lead of {found.name}"


def gear_name(room: Room, entry: int | None, output: int | None) -> str:
    """The name of gear from an input to an output."""
    ends = [port for port in (entry, output) if port is not None]
    gear = room.gear[room.ports[ends[0]].gear]
    if len(gear.ports) == 1 or (gear.through is True and len(ends) == 2):
        return gear.name
    return f"{gear.name} ({' to '.join(room.ports[port].own for port in ends)})"


def all_that_can_break(state: State, source: str) -> set[str]:
    """The names of everything in a room that can fail."""
    room = state.room
    found = {f"normal contact of {jack.address}" for jack in room.jacks}
    found |= {f"cord {number}" for number in state.cords}
    found |= {lead_name(room, port.index) for port in room.ports}
    found |= {tie.name for tie in room.ties} | {mult.name for mult in room.mults}
    for port in room.ports:
        if port.kind.is_output:
            found |= {gear_name(room, entry, port.index) for entry in room.carried_from(port.index)}
            found.add(gear_name(room, None, port.index))
        else:
            found.add(gear_name(room, port.index, None))
    mic = state.mics.get(room.port_named[source].index)
    found.add(f"{mic.name if mic else 'microphone'} on {source}")
    joined = [pair for jacks in room.jacks_of_port for pair in pairwise(jacks)]
    joined += [(normal.top, normal.bottom) for normal in room.normals]
    found |= {f"wire from {room.jacks[min(p)].address} to {room.jacks[max(p)].address}" for p in joined}
    return found


def has_twin_wires(room: Room) -> bool:
    """Whether two wires join the same two contacts, or one joins two jacks of a mult.

    Whichever of them fails makes no difference to anyone, and the engine gives the two one name.
    """
    pairs: list[frozenset[Contact]] = []
    for normal in room.normals:
        top, bottom = SOLDERED[normal.kind]
        pairs.append(frozenset({(normal.top, top), (normal.bottom, bottom)}))
    joined = [pair for jacks in room.jacks_of_port for pair in pairwise(jacks)] + [(tie.a, tie.b) for tie in room.ties]
    joined += [pair for mult in room.mults for pair in combinations(mult.jacks, 2)]
    pairs += [frozenset({(a, "line"), (b, "line")}) for a, b in joined]
    return len(set(pairs)) < len(pairs)
