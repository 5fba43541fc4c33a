"""Two rooms compared by what they mean: names, jacks and connections, never lines of a file or the order of its entries."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from typing import Any, NamedTuple

from model.bench.compared.connections import at_rest
from model.bench.compared.renamed_gear import guess_renamed, with_names
from model.bench.pairs import TURNED
from model.bench.patches_lost import Wiring, patches_lost
from model.bench.written.figures import stated, stated_of_bay
from model.bench.written.jack_texts import JACK_TEXTS, jack_text
from model.bench.written.room_writer import house_cord, mic_value
from model.patches.placed import place
from model.patches.saved_patch import SavedPatch
from model.room.kinds import NO_NORMAL
from model.room.wiring import NO_PORT, Gear, HouseCord, Room
from model.text.addresses import split_address
from model.text.folding import fold_names
from model.text.yaml_words import decimal

Values = Mapping[tuple[str, str], str]  # (of what, which figure): its value


class PortMoved(NamedTuple):
    """A port that is in both rooms, at other jacks."""

    port: str
    was: tuple[str, ...]  # addresses
    becomes: tuple[str, ...]


class NormalChanged(NamedTuple):
    """A normal of another kind; 'none' where there is none."""

    top: str
    bottom: str
    was: str
    becomes: str


class GearChanged(NamedTuple):
    """Gear that is new, gone, or under another name, which is a guess; or a port of gear that is in both rooms."""

    gear: str
    was: str | None  # None: it is new
    becomes: str | None  # None: it is gone
    guess: bool
    jacks: tuple[str, ...]  # where its ports are, or were


class FigureChanged(NamedTuple):
    """A figure, or anything else that is stated of one thing; None where it is not stated."""

    of: str
    what: str
    was: str | None
    becomes: str | None


class HousePatch(NamedTuple):
    """A cord of the house patch that only one of the rooms has."""

    cord: str
    was: bool


class Comparison(NamedTuple):
    """All that differs between two rooms."""

    ports: tuple[PortMoved, ...]
    normals: tuple[NormalChanged, ...]
    gear: tuple[GearChanged, ...]
    figures: tuple[FigureChanged, ...]
    made: tuple[tuple[str, str], ...]  # source and load, at rest
    broken: tuple[tuple[str, str], ...]
    house_patch: tuple[HousePatch, ...]
    patches_lost: tuple[tuple[str, tuple[str, ...]], ...]  # a patch, and what of it finds no place

    @property
    def same(self) -> bool:
        """Whether the two rooms mean the same."""
        return not any(self)

    def to_dict(self) -> dict[str, Any]:
        """As JSON."""
        return {
            "ports": [each._asdict() for each in self.ports],
            "normals": [each._asdict() for each in self.normals],
            "gear": [each._asdict() for each in self.gear],
            "figures": [each._asdict() for each in self.figures],
            "made": [list(pair) for pair in self.made],
            "broken": [list(pair) for pair in self.broken],
            "house_patch": [each._asdict() for each in self.house_patch],
            "patches_lost": [{"patch": name, "unplaced": list(why)} for name, why in self.patches_lost],
        }


def compare_rooms(old: Room, new: Room, saved: Mapping[str, SavedPatch] | None = None) -> Comparison:
    """What differs; ``saved`` are the old room's patches by name. Renamed gear is told once, and then taken for the same."""
    saved = saved or {}
    renamed = guess_renamed(old, new)
    same_names = with_names(old, renamed)
    before, after = at_rest(same_names), at_rest(new)
    found = Comparison(
        tuple(_ports(same_names, new)),
        tuple(_normals(same_names, new)),
        tuple(_gear(same_names, new, renamed)),
        tuple(_figures(same_names, new)),
        tuple(sorted(after - before)),
        tuple(sorted(before - after)),
        tuple(_house_patch(same_names, new)),
        (),
    )
    if found.same:
        return found  # nothing that differs can spoil a patch
    lost = set(patches_lost(Wiring(same_names, before), Wiring(new, after), {}))
    if saved:  # a saved patch knows ports by their old names
        lost |= set(patches_lost(Wiring(old, at_rest(old)), Wiring(new, after), saved)) & saved.keys()
    return found._replace(patches_lost=tuple(_patches_lost(new, lost, saved)))


def _ports(old: Room, new: Room) -> Iterator[PortMoved]:
    for port in old.ports:
        other = new.port_named.get(port.name)
        if other is not None:
            was, becomes = _jacks(old, port.index), _jacks(new, other.index)
            if _low(was) != _low(becomes):
                yield PortMoved(port.name, was, becomes)


def _jacks(room: Room, port: int) -> tuple[str, ...]:
    return tuple(room.jacks[jack].address for jack in room.jacks_of_port[port])


def _low(addresses: Iterable[str]) -> set[str]:
    return {address.lower() for address in addresses}


def _normals(old: Room, new: Room) -> Iterator[NormalChanged]:
    """By the two jacks: a cross normal told from its other end is the same."""
    was, becomes = _normals_by_jacks(old), _normals_by_jacks(new)
    for key in {**was, **becomes}:
        top, bottom, kind = becomes.get(key) or (*was[key][:2], NO_NORMAL)
        known = was.get(key)
        before = NO_NORMAL if known is None else known[2] if known[0].lower() == top.lower() else TURNED[known[2]]
        if before != kind:
            yield NormalChanged(top, bottom, before, kind)


def _normals_by_jacks(room: Room) -> dict[frozenset[str], tuple[str, str, str]]:
    """Top, bottom and kind of each normal, by its two jacks."""
    ends = ((room.jacks[normal.top].address, room.jacks[normal.bottom].address, normal.kind) for normal in room.normals)
    return {frozenset((top.lower(), bottom.lower())): (top, bottom, kind) for top, bottom, kind in ends}


def _gear(old: Room, new: Room, renamed: Mapping[str, str]) -> Iterator[GearChanged]:
    gear_was, gear_is = ({gear.name: gear for gear in room.gear} for room in (old, new))
    for name, other in renamed.items():
        yield GearChanged(other, name, other, True, _places(new, gear_is[other]))
    for name, gear in gear_was.items():
        if name not in gear_is:
            yield GearChanged(name, name, None, False, _places(old, gear))
    for name, gear in gear_is.items():
        if name not in gear_was:
            yield GearChanged(name, None, name, False, _places(new, gear))
    for name in gear_was.keys() & gear_is.keys():
        own_was = {old.ports[port].name: port for port in gear_was[name].ports}
        own_is = {new.ports[port].name: port for port in gear_is[name].ports}
        for port in own_was.keys() - own_is.keys():
            yield GearChanged(name, port, None, False, _jacks(old, own_was[port]))
        for port in own_is.keys() - own_was.keys():
            yield GearChanged(name, None, port, False, _jacks(new, own_is[port]))


def _places(room: Room, gear: Gear) -> tuple[str, ...]:
    return tuple(address for port in gear.ports for address in _jacks(room, port))


def _figures(old: Room, new: Room) -> Iterator[FigureChanged]:
    """Figures, and all else that is stated of one thing. What is new or gone with its gear is not told again."""
    was, becomes = _stated(old), _stated(new)
    told = _gear_and_ports(old) ^ _gear_and_ports(new)
    for key in {**was, **becomes}:
        of, what = key
        a, b = was.get(key), becomes.get(key)
        if a == b:
            continue
        if of not in told:
            yield FigureChanged(of, what, a, b)


def _gear_and_ports(room: Room) -> set[str]:
    return {f"gear {gear.name}" for gear in room.gear} | {f"port {port.name}" for port in room.ports}


def _stated(room: Room) -> Values:
    """All that a room states, by what it is of."""
    return {(of, what): value for make in _STATED for of, what, value in make(room)}


Stated = Iterator[tuple[str, str, str]]


def _of_the_room(room: Room) -> Stated:
    yield "the room", "name", room.name
    for kind, mark in room.marks.items():
        yield f"mark for {kind}", "mark", mark
    for cause, prior in room.priors.items():
        yield f"prior of {cause}", "prior", decimal(prior)
    for length, count in (room.cords or {}).items():
        yield f"cords of {length} cm", "number", str(count)
    for accepted in room.accepted:
        yield f"finding {accepted.finding} at {accepted.at}", "accepted because", accepted.because
    for mic in room.mics:
        yield f"microphone {mic.name}", "figures", mic_value(mic)


def _of_ports(room: Room) -> Stated:
    for port in room.ports:
        yield f"port {port.name}", "kind", port.kind.name
        for key, value in stated(port):
            yield f"port {port.name}", key, value


def _of_gear(room: Room) -> Stated:
    """What passes through gear; only for gear that has anything to pass."""
    for gear in room.gear:
        for port in gear.ports:
            if not room.ports[port].kind.is_output:
                for out in room.carried(port):
                    way = f"{room.ports[port].name} > {room.ports[out].name}"
                    yield f"gear {gear.name}", f"carries {way}", room.condition(port, out) or "always"


def _of_bays(room: Room) -> Stated:
    for bay in room.bays:
        rows = " over ".join(room.rows[row].name for row in bay.rows)
        for key, value in (("columns", str(bay.points)), ("rows", rows), *stated_of_bay(bay)):
            yield f"bay {bay.name}", key, value
        if bay.place:
            yield f"bay {bay.name}", "place", bay.place


def _of_joins(room: Room) -> Stated:
    for tie in room.ties:
        yield f"tie line {tie.name}", "ends", " and ".join(sorted(room.jacks[jack].address for jack in (tie.a, tie.b)))
        yield f"tie line {tie.name}", "metres", decimal(tie.metres)
        if tie.kind:
            yield f"tie line {tie.name}", "kind", tie.kind
    for mult in room.mults:
        yield f"mult {mult.name}", "jacks", ", ".join(sorted(room.jacks[jack].address for jack in mult.jacks))


def _of_jacks(room: Room) -> Stated:
    for jack in room.jack_texts:
        for which in JACK_TEXTS:
            text = jack_text(room, jack, which)
            if text:
                yield f"jack {room.jacks[jack].address}", which, text


_STATED: tuple[Callable[[Room], Stated], ...] = (_of_the_room, _of_ports, _of_gear, _of_bays, _of_joins, _of_jacks)


def _house_patch(old: Room, new: Room) -> Iterator[HousePatch]:
    """By the ports behind the cord's jacks: a cord whose port moved is the same cord."""
    tables = [{_cord_key(room, cord): house_cord(room, cord) for cord in room.house_patch} for room in (old, new)]
    for mine, other, was in ((tables[0], tables[1], True), (tables[1], tables[0], False)):
        yield from (HousePatch(words, was) for key, words in mine.items() if key not in other)


def _cord_key(room: Room, cord: HouseCord) -> tuple[frozenset[str], float | None]:
    ends = (
        room.jacks[jack].address.lower()
        if (port := room.jacks[jack].port) == NO_PORT
        else f"port {room.ports[port].name}"
        for jack in cord.jacks
    )
    return frozenset(ends), cord.length_cm


def _patches_lost(new: Room, lost: set[str], saved: Mapping[str, SavedPatch]) -> Iterator[tuple[str, tuple[str, ...]]]:
    """The house patch first, then saved patches that are lost or of which something finds no place."""
    yield from ((name, ()) for name in sorted(lost - saved.keys()))
    for name, patch in saved.items():
        unplaced = place(patch, new).unplaced
        if name in lost or unplaced:
            yield name, tuple(f"{each.what}: {each.why}" for each in unplaced)


def comparison_lines(found: Comparison) -> list[str]:
    """The comparison to read."""
    lines: list[str] = []

    def section(title: str, members: Iterable[str], count: int | None = None) -> None:
        members = list(members)
        if members:
            lines.append(f"{title} ({len(members) if count is None else count})")
            lines.extend(f"  {fold.template}" for fold in fold_names(members))

    section("Gear", map(_gear_words, found.gear))
    section("Ports moved", (f"{each.port}: {_at(each.was)} > {_at(each.becomes)}" for each in found.ports))
    section("Normals", _normal_words(found.normals), len(found.normals))
    section(
        "Figures",
        (f"{each.of}, {each.what}: {_or_none(each.was)} > {_or_none(each.becomes)}" for each in found.figures),
    )
    section("Connections made at rest", (f"{source} > {load}" for source, load in found.made))
    section("Connections broken at rest", (f"{source} > {load}" for source, load in found.broken))
    section("House patch", (f"{'gone' if each.was else 'new'}: {each.cord}" for each in found.house_patch))
    section("Patches that no longer hold", (_patch_words(name, why) for name, why in found.patches_lost))
    return lines or ["The two rooms mean the same."]


def _normal_words(normals: Iterable[NormalChanged]) -> list[str]:
    """Normals that changed alike, side by side in one."""
    found: list[tuple[NormalChanged, int]] = []  # the first of some, and how many they are
    for each in normals:
        if found:
            first, count = found[-1]
            if first[2:] == each[2:] and all(_next(first[end], count) == each[end] for end in (0, 1)):
                found[-1] = first, count + 1
                continue
        found.append((each, 1))
    return [
        f"{_stretch(first.top, count)} to {_stretch(first.bottom, count)}: {first.was} > {first.becomes}"
        for first, count in found
    ]


def _next(address: str, count: int) -> str:
    """The address so many columns on."""
    row, point = split_address(address) or (address, 0)
    return f"{row}{point + count}"


def _stretch(address: str, count: int) -> str:
    row, point = split_address(address) or (address, 0)
    return address if count == 1 else f"{row}{point}-{point + count - 1}"


def _gear_words(each: GearChanged) -> str:
    where = f", at {', '.join(each.jacks)}" if each.jacks else ""
    if each.guess:
        return f"{each.was} is now {each.becomes}: a guess, by its place and its ports{where}"
    name = each.was or each.becomes or ""
    of = f" (a port of {each.gear})" if name != each.gear else ""
    return f"{'gone' if each.becomes is None else 'new'}: {name}{of}{where}"


def _patch_words(name: str, why: tuple[str, ...]) -> str:
    return f"{name}{': ' if why else ''}{'; '.join(why)}"


def _at(addresses: tuple[str, ...]) -> str:
    return ", ".join(addresses) or "no jack"


def _or_none(value: str | None) -> str:
    return value if value is not None else "not stated"
