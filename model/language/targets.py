"""What a question is about: a jack, a port, a cord, a tie line, a mult, or a piece of gear."""

from __future__ import annotations

from typing import NamedTuple

from model.bay.refusals import Ambiguous, Malformed, NotNow, UnknownName
from model.bay.state import State
from model.language.names import MAX_NAMED, Names
from model.room.wiring import Port, Room, line_contact
from model.text.suggest import listed

JACK, PORT, CORD, TIE, MULT, GEAR = "jack", "port", "cord", "tie line", "mult", "gear"


class Target(NamedTuple):
    """Something asked about. ``name`` is how an entry writes it."""

    kind: str
    name: str
    jacks: tuple[int, ...]
    port: Port | None = None  # of a port alone: not what a jack is wired to
    cord: int | None = None
    gear: int | None = None

    @property
    def contacts(self) -> tuple[int, ...]:
        """The line contacts of its jacks."""
        return tuple(line_contact(jack) for jack in self.jacks)


def read_target(text: str, names: Names, way: str = "") -> Target:
    """The jack, port, cord, tie line or mult that a text means. ``way`` decides between an output and an input."""
    bare = text.strip()
    number = names.cord(f"#{bare}" if bare.isdecimal() and bare.isascii() else bare)  # '8' is cord 8
    if number is not None:
        cord = names.state.cords.get(number)
        if cord is None:
            raise NotNow(f"no cord {number} is in the bay", text)
        return Target(CORD, f"#{number}", cord.plugs, cord=number)
    jack = names.jack_by_address(text)
    if jack is not None:
        return Target(JACK, names.address(jack), (jack,))
    entry = names.entry(text, way)
    kind = PORT if entry.port is not None else MULT if entry.alike else TIE
    return Target(kind, entry.name, entry.jacks, entry.port)


def read_gear(text: str, names: Names) -> Target:
    """The gear that a text means by its name; None of it: what :func:`read_target` says."""
    room = names.room
    for found in names.gear.matching(text) if names.jack_by_address(text) is None else ():
        fitting = [room.gear[number] for number in found.entries]
        if len(fitting) > 1:
            candidates = [gear.name for gear in fitting]
            raise Ambiguous(
                f"'{text}' fits {len(candidates)} names: {listed(candidates, 'or', MAX_NAMED)}?", text, candidates
            )
        gear = fitting[0]
        jacks = tuple(jack for port in gear.ports for jack in room.jacks_of_port[port])
        return Target(GEAR, gear.name, jacks, gear=gear.index)
    return read_target(text, names)


def read_port(text: str, names: Names, way: str = "") -> Port:
    """The port that a text means: by its name, or by the jack it is wired to."""
    if not text.strip():
        raise UnknownName("a name is missing", text)
    return names.port(text, lambda port: not way or port.kind.way == way, way)


def wired_words(room: Room, jack: int) -> str:
    """What is wired to a jack: a port, a tie line or a mult; empty where nothing is."""
    port = room.port_at[jack]
    if port >= 0:
        return room.ports[port].name
    ties = room.ties_at.get(jack)
    if ties:
        return ties[0].name
    mult = room.mult_at.get(jack)
    return mult.name if mult is not None else ""


def jack_words(room: Room, jack: int) -> str:
    """A jack and what is wired to it: 'A28 (Pre 4 out)'."""
    wired = wired_words(room, jack)
    address = room.jacks[jack].address
    return f"{address} ({wired})" if wired else address


def port_words(room: Room, port: Port) -> str:
    """A port and where it comes up: 'Pre 4 out (A28)'."""
    addresses = ", ".join(room.jacks[jack].address for jack in room.jacks_of_port[port.index])
    return f"{port.name} ({addresses})" if addresses else f"{port.name} (at no jack)"


def contacts_of(state: State, port: int) -> list[int]:
    """The line contacts of a port's jacks."""
    return [line_contact(jack) for jack in state.room.jacks_of_port[port]]


def read_ends(text: str, usage: str) -> tuple[str, str]:
    """The two names beside '>'. Raises Malformed, with how the line is written, where there are not two."""
    ends = [part.strip() for part in text.split(">")]
    if len(ends) != 2 or "" in ends:
        raise Malformed(f"say from what to what: {usage}", text)
    return ends[0], ends[1]
