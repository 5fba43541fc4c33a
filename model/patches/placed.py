"""A patch in the jacks of one room: what stands there, what belongs there at rest, or where a saved patch goes."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

from model.bay.state import State
from model.patches.saved_patch import End, SavedPatch
from model.room.wiring import NO_PORT, Room
from model.text.clean import quoted
from model.text.listing import list_words
from model.text.suggest import did_you_mean, nearest


class PlacedCord(NamedTuple):
    """A cord and the jacks that hold its plugs."""

    number: int
    jacks: tuple[int, ...]
    ends: int  # how many plugs it has
    length_cm: float | None


@dataclass(frozen=True, slots=True)
class Placed:
    """Cords by number, phantom switches that are on, and microphone lines (port numbers) with their microphones."""

    cords: tuple[PlacedCord, ...] = ()
    switches: frozenset[str] = frozenset()
    mics: tuple[tuple[int, str], ...] = ()


class Unplaced(NamedTuple):
    """Something of a saved patch that this room cannot take, and why."""

    what: str
    why: str


class Placing(NamedTuple):
    """Where a saved patch goes in a room: what can be placed, what cannot, and what goes to another jack than it was in."""

    placed: Placed
    unplaced: tuple[Unplaced, ...] = ()
    rewired: tuple[str, ...] = ()


def present(state: State) -> Placed:
    """What stands in the bay now."""
    return Placed(
        tuple(
            PlacedCord(number, cord.plugs, cord.ends, cord.length_cm) for number, cord in sorted(state.cords.items())
        ),
        frozenset(state.switches),
        tuple((line, mic.name) for line, mic in sorted(state.mics.items())),
    )


def house(room: Room) -> Placed:
    """What belongs in the room at rest: the house patch's cords, phantom off, no microphone left standing."""
    return Placed(
        tuple(
            PlacedCord(number, cord.jacks, max(2, len(cord.jacks)), cord.length_cm)
            for number, cord in enumerate(room.house_patch, start=1)
        )
    )


def place(saved: SavedPatch, room: Room) -> Placing:
    """Where a saved patch goes in a room: by port first, by the jack's address where nothing was wired behind it.

    A cord of which one end has no place is not placed at all: half a cord would only break a normal.
    """
    unplaced: list[Unplaced] = []
    rewired: list[str] = []
    cords = _place_cords(saved, room, unplaced, rewired)
    switches = _place_phantom(saved, room, unplaced)
    mics: list[tuple[int, str]] = []
    for line, mic in saved.input_list:
        port = room.port_named.get(line)
        if port is None or not port.kind.is_mic_line:
            unplaced.append(Unplaced(f"{mic} on {line}", _no_port(room, line, "microphone line")))
        elif mic not in room.mic_named:
            meant = did_you_mean(nearest(mic, room.mic_named))
            unplaced.append(Unplaced(f"{mic} on {line}", f"the locker has no {quoted(mic)} any more{meant}"))
        else:
            mics.append((port.index, mic))
    return Placing(Placed(cords, switches, tuple(sorted(mics))), tuple(unplaced), tuple(rewired))


def _place_cords(saved: SavedPatch, room: Room, unplaced: list[Unplaced], rewired: list[str]) -> tuple[PlacedCord, ...]:
    # a jack that still has its port is kept for the plug that was in it, before others look for a place
    claimed = {jack for cord in saved.cords for end in cord.ends if (jack := _as_it_was(room, end)) is not None}
    holder: dict[int, int] = {}
    placed: list[PlacedCord] = []
    for cord in saved.cords:
        what = f"cord {cord.number}, {' > '.join(end_words(end) for end in cord.ends)}"
        jacks: list[int] = []
        moved: list[str] = []
        why = ""
        for end in cord.ends:
            found = _jack_for(room, end, claimed | holder.keys() | set(jacks))
            if isinstance(found, str):
                why = found
                break
            if found in holder or found in jacks:
                who = f"cord {holder[found]}" if found in holder else "its own other plug"
                why = f"{room.jacks[found].address} is taken by {who} of the same patch"
                break
            jacks.append(found)
            if room.jacks[found].address.casefold() != end.jack.casefold():
                moved.append(f"cord {cord.number}: {end.port} was at {end.jack} and is at {room.jacks[found].address}")
        places = sorted({room.place_of(jack) or "no place stated" for jack in jacks})
        if not why and len(places) > 1:
            why = f"a cord does not reach from one place to another: {list_words(places)}"
        if why:
            unplaced.append(Unplaced(what, why))
            continue
        rewired += moved
        holder.update(dict.fromkeys(jacks, cord.number))
        placed.append(PlacedCord(cord.number, tuple(jacks), cord.plugs, cord.length_cm))
    return tuple(placed)


def _as_it_was(room: Room, end: End) -> int | None:
    """The jack at an end's address, where the same port is still behind it."""
    jack = room.jack_of(end.jack)
    if jack is None:
        return None
    port = room.port_at[jack]
    behind = None if port == NO_PORT else room.ports[port].name
    return jack if behind == end.port else None


def _jack_for(room: Room, end: End, taken: set[int]) -> int | str:
    """The jack for one plug, or why there is none."""
    same = _as_it_was(room, end)
    if same is not None:
        return same
    if end.port is None:
        jack = room.jack_of(end.jack)
        if jack is None:
            return f"the room has no jack {quoted(end.jack)} any more"
        return f"nothing was wired behind {end.jack} then, and {room.ports[room.port_at[jack]].name} is now"
    port = room.port_named.get(end.port)
    if port is None:
        return _no_port(room, end.port, "port")
    jacks = room.jacks_of_port[port.index]
    if not jacks:
        return f"{end.port} comes up at no jack any more"
    return next((jack for jack in jacks if jack not in taken), jacks[0])


def _place_phantom(saved: SavedPatch, room: Room, unplaced: list[Unplaced]) -> frozenset[str]:
    wanted = set(saved.phantom)
    switches: set[str] = set()
    for name in saved.phantom:
        port = room.port_named.get(name)
        if port is None or port.supply is None:
            unplaced.append(Unplaced(f"phantom at {name}", _no_port(room, name, "microphone input with phantom")))
            continue
        shared = [room.ports[p].name for p in room.ports_of_switch[port.supply.switch]]
        off = [other for other in shared if other not in wanted]
        if off:
            # to switch more on than was on could reach a microphone that phantom harms
            why = f"it shares its switch with {list_words(off)} now, where phantom was off"
            unplaced.append(Unplaced(f"phantom at {name}", why))
        else:
            switches.add(port.supply.switch)
    return frozenset(switches)


def _no_port(room: Room, name: str, what: str) -> str:
    if name in room.port_named:
        return f"{name} is no {what} any more"
    return f"the room has no {what} {quoted(name)} any more{did_you_mean(nearest(name, room.port_named))}"


def end_words(end: End) -> str:
    """A saved plug's place in words."""
    return end.jack if end.port is None else f"{end.port} ({end.jack})"
