"""Cords, jacks and differences between patches in words."""

from __future__ import annotations

from model.patches.compare import ClearMic, Difference, MoveCord, PlugCord, PullCord, PutMic, Stay, SwitchPhantom
from model.patches.placed import PlacedCord
from model.room.wiring import NO_PORT, Room


def behind(room: Room, jack: int) -> str:
    """What is at the back of a jack: a port, a tie line, a mult; empty for a spare jack."""
    port = room.port_at[jack]
    if port != NO_PORT:
        return room.ports[port].name
    if jack in room.ties_at:
        return " and ".join(tie.name for tie in room.ties_at[jack])
    return room.mult_at[jack].name if jack in room.mult_at else ""


def jack_words(room: Room, jack: int) -> str:
    """A jack in words: what is wired behind it, and its address."""
    name, address = behind(room, jack), room.jacks[jack].address
    return f"{name} ({address})" if name else address


def cord_words(room: Room, cord: PlacedCord) -> str:
    """A cord in words: the jacks of its plugs, outputs first, and its length."""
    jacks = from_output(room, cord.jacks)
    where = " > ".join(jack_words(room, jack) for jack in jacks)
    loose = " (the other end loose)" if len(jacks) == 1 else ""
    plugs = f", {cord.ends} plugs" if cord.ends > max(2, len(jacks)) else ""
    length = "" if cord.length_cm is None else f", {cord.length_cm:g} cm"
    return f"{where}{loose}{plugs}{length}"


def from_output(room: Room, jacks: tuple[int, ...]) -> tuple[int, ...]:
    """Jacks in the order in which a cord is told: outputs first, inputs last."""

    def place(jack: int) -> int:
        port = room.port_at[jack]
        return 1 if port == NO_PORT else 0 if room.ports[port].kind.is_output else 2

    return tuple(sorted(jacks, key=place))


def difference_words(difference: Difference, room: Room) -> str:
    """One difference in words, for the list that `compare` gives."""
    match difference:
        case Stay(before, after):
            length = ""
            if before.length_cm != after.length_cm:
                said = [f"{cord.length_cm:g} cm" if cord.length_cm else "unknown" for cord in (before, after)]
                length = f" (length {said[0]}, and {said[1]} there)"
            return f"keep     #{before.number}  {cord_words(room, before)}{length}"
        case PullCord(cord):
            return f"pull     #{cord.number}  {cord_words(room, cord)}"
        case PlugCord(cord):
            return f"plug     {cord_words(room, cord)}"
        case MoveCord(before, after):
            return f"move     #{before.number}  {cord_words(room, before)}  to  {cord_words(room, after)}"
        case SwitchPhantom(switch, on):
            return f"phantom  {switch} {'on' if on else 'off'}"
        case ClearMic(line, mic):
            return f"clear    {room.ports[line].name}: the {mic}"
        case PutMic(line, mic):
            return f"put      {mic} on {room.ports[line].name}"
