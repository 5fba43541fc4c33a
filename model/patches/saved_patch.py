"""A patch kept under a name: frozen, and told by port, so that it can be put back where the bay was rewired meanwhile."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

from model.bay.state import State
from model.room.wiring import NO_PORT, Room


class End(NamedTuple):
    """Where one plug of a cord was: the port behind the jack, and the jack's address as it was then."""

    port: str | None  # full name; None where nothing was wired behind it: a tie line, a mult, a spare jack
    jack: str


class SavedCord(NamedTuple):
    """One cord, with those of its plugs that were in."""

    number: int
    ends: tuple[End, ...]
    plugs: int = 2  # how many plugs the cord has
    length_cm: float | None = None


class OnLine(NamedTuple):
    """One line of the input list."""

    line: str  # the microphone line's full name
    mic: str


@dataclass(frozen=True, slots=True)
class SavedPatch:
    """Cords, phantom and input list as they stood at one moment.

    Holds are no part of it: they belong to the cords of one day, and not to a patch that is put back on another.
    """

    room: str = ""  # the name of the room it was taken in
    cords: tuple[SavedCord, ...] = ()
    phantom: tuple[str, ...] = ()  # microphone inputs whose supply was on, by full name
    input_list: tuple[OnLine, ...] = ()


def save(state: State) -> SavedPatch:
    """The patch as it stands: cords by number, phantom and input list in the order of the room file."""
    room = state.room
    return SavedPatch(
        room.name,
        tuple(
            SavedCord(number, tuple(end_at(room, jack) for jack in cord.plugs), cord.ends, cord.length_cm)
            for number, cord in sorted(state.cords.items())
        ),
        tuple(port.name for port in room.ports if port.supply is not None and port.supply.switch in state.switches),
        tuple(OnLine(room.ports[line].name, mic.name) for line, mic in sorted(state.mics.items())),
    )


def end_at(room: Room, jack: int) -> End:
    """A jack as a saved patch tells it."""
    port = room.port_at[jack]
    return End(None if port == NO_PORT else room.ports[port].name, room.jacks[jack].address)
