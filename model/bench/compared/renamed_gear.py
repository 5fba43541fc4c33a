"""Gear that bears another name in the new room: recognised by its place and its ports, and always a guess."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import replace

from model.bench.written.room_writer import has_own_names
from model.room.wiring import Gear, Room

_Face = frozenset[
    tuple[str, str, str]
]  # what of gear can be recognised: address, kind and own name of each port at a jack


def guess_renamed(old: Room, new: Room) -> dict[str, str]:
    """Old names of gear and new ones, where old gear is gone and new gear has the same ports at the same jacks.

    Where a port was renamed too, more than half of the ports must be of one kind at one jack; and each must be the only
    likeness of the other.
    """
    was, is_now = ({gear.name for gear in room.gear} for room in (old, new))
    gone = [gear for gear in old.gear if gear.name not in is_now]
    come = [gear for gear in new.gear if gear.name not in was]
    faces = {gear.name: _face(new, gear) for gear in come}
    at: dict[tuple[str, str], set[str]] = {}  # by address and kind, the new gear there
    for name, face in faces.items():
        for address, kind, _ in face:
            at.setdefault((address, kind), set()).add(name)
    likely: dict[str, list[str]] = {}
    for gear in gone:
        own = _face(old, gear)
        near = {name for address, kind, _ in own for name in at.get((address, kind), ())}
        same = [name for name in near if faces[name] == own]
        likely[gear.name] = same or [name for name in near if _mostly(own, faces[name])]
    found = {name: news[0] for name, news in likely.items() if len(news) == 1}
    taken = Counter(found.values())
    return {name: other for name, other in found.items() if taken[other] == 1}


def _face(room: Room, gear: Gear) -> _Face:
    return frozenset(
        (room.jacks[jack].address.lower(), room.ports[port].kind.name, room.ports[port].own)
        for port in gear.ports
        for jack in room.jacks_of_port[port]
    )


def _mostly(one: _Face, other: _Face) -> bool:
    places, there = ({(address, kind) for address, kind, _ in face} for face in (one, other))
    return 2 * len(places & there) > max(len(places), len(there))


def with_names(room: Room, names: Mapping[str, str]) -> Room:
    """The room with some gear under other names; ports and switches that bear its name follow."""
    if not names:
        return room
    ports = list(room.ports)
    for gear in room.gear:
        if gear.name in names:
            own_names = has_own_names(room, gear)
            for number in gear.ports if not own_names else ():
                port = ports[number]
                full = f"{names[gear.name]} {port.own}" if len(gear.ports) > 1 else names[gear.name]
                supply = port.supply
                if supply is not None and supply.switch == port.name:
                    supply = supply._replace(switch=full)
                ports[number] = port._replace(name=full, supply=supply)
    gear_now = tuple(gear._replace(name=names.get(gear.name, gear.name)) for gear in room.gear)
    return replace(room, gear=gear_now, ports=tuple(ports))
