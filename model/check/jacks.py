"""Findings on what is wired to jacks: one thing twice, two things at one, or nothing."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

from model.check.finding import Finding, addresses, port_at
from model.room.wiring import Mult, Room, Supply
from model.signal.warning import NOTE, WARNING
from model.text.listing import list_words


def wired_twice(room: Room) -> Iterator[Finding]:
    """One port at two jacks or more, which are joined always."""
    for port, jacks in zip(room.ports, room.jacks_of_port, strict=True):
        if len(jacks) > 1:
            where = addresses(room, *jacks)
            yield Finding(
                room.jacks[jacks[1]].line,
                "wired-twice",
                NOTE,
                where,
                f"{port.name} is wired to {len(jacks)} jacks, {list_words(where)}: they are joined always.",
            )


def never_wired(room: Room) -> Iterator[Finding]:
    """Gear with a port that comes up at no jack."""
    missing: dict[int, list[str]] = defaultdict(list)
    first: dict[int, str] = {}
    for gear in room.gear:
        for port in gear.ports:
            if not room.jacks_of_port[port]:
                missing[gear.line].append(room.ports[port].name)
                first.setdefault(gear.line, gear.name)
    for line, names in missing.items():
        come = "comes" if len(names) == 1 else "come"
        yield Finding(line, "never-wired", NOTE, (), f"{list_words(names, 4)} {come} up at no jack.", first[line])


def occupied_twice(room: Room) -> Iterator[Finding]:
    """A jack with two things behind it, which are joined always: a tie line or a mult at a jack that bears a port or
    another tie line.

    An output at the first jack of a mult that nothing else feeds is the mult's feed, and the ports beside it are fed.
    """
    fed = {mult.name for mult in room.mults if _has_feed(room, mult)}
    for jack in room.jacks:
        port = port_at(room, jack.index)
        ties = [f"tie line {tie.name}" for tie in room.ties_at.get(jack.index, ())]
        mult = room.mult_at.get(jack.index)
        behind = ([port.name] if port is not None else []) + ties
        line = jack.line
        if ties:
            line = max(tie.line for tie in room.ties_at[jack.index])
        if mult is not None and behind and not (mult.name in fed and not ties):
            behind.append(mult.name)
            line = mult.line
        if len(behind) > 1:
            said = f"{list_words(behind)} stand behind one jack, {jack.address}: they are joined always."
            yield Finding(line, "occupied-twice", WARNING, (jack.address,), said)


def _has_feed(room: Room, mult: Mult) -> bool:
    outputs = [jack for jack in mult.jacks if (port := port_at(room, jack)) is not None and port.kind.is_output]
    return outputs == [mult.jacks[0]] and not any(jack in room.normals_at for jack in mult.jacks)


def tie_in_one_place(room: Room) -> Iterator[Finding]:
    """A tie line with both ends in one place: distant racks of one place do this, and typing errors."""
    for tie in room.ties:
        if room.place_of(tie.a) == room.place_of(tie.b):
            place = room.place_of(tie.a) or "the place without a name"
            said = (
                f"Tie line {tie.name} has both ends in {place}: a cord does the same, unless its racks stand far apart."
            )
            yield Finding(tie.line, "tie-in-one-place", NOTE, addresses(room, tie.a, tie.b), said)


def _is_unknown(supply: Supply) -> bool:
    return supply.feed_ohm is None


def feeds_unknown(room: Room) -> Iterator[Finding]:
    """A phantom supply of no class of IEC 61938 whose feed resistors are not stated: its figures are unknown."""
    lines: dict[int, list[int]] = defaultdict(list)
    for port in room.ports:
        if port.supply is not None and _is_unknown(port.supply):
            lines[port.line].append(port.index)
    for line, ports in lines.items():
        jacks = [jack for port in ports for jack in room.jacks_of_port[port]]
        supply = room.ports[ports[0]].supply
        volts = supply.volts if supply is not None else 0.0
        said = (
            f"{list_words([room.ports[port].name for port in ports], 4)}: a supply of {volts:g} V is of no class "
            "(48, 24 or 12 V), and 'feed' is not stated: what it gives a microphone is unknown."
        )
        yield Finding(line, "feed-unknown", WARNING, addresses(room, *sorted(jacks)), said, room.ports[ports[0]].name)
