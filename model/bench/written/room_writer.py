"""A room as the text of a room file, short with ranges; read back, it is the same room.

What names and comments the file had before is not known here: whoever changes one line of a file that a person wrote
changes that line alone, and does not write it anew.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from itertools import groupby
from typing import TypeVar

from model.bay.actions import cord_ends
from model.bench.written.figures import stated, stated_of_bay
from model.bench.written.jack_texts import JACK_TEXTS, jack_text
from model.room.cord_length import split_length
from model.room.file.reader import FEET, VERSION
from model.room.inside import ASSIGNED, CONDITIONS, Ways
from model.room.wiring import NO_PORT, Accepted, Bay, Gear, HouseCord, Mic, Normal, Port, Room, Row
from model.text.folding import fold_names, runs
from model.text.yaml_words import decimal, on_a_line, scalar, table

_Key = TypeVar("_Key", bound=Hashable)
_Value = TypeVar("_Value")


@dataclass(frozen=True)
class Remarks:
    """Comments for a room file: at its head and its foot, and at the ports, the bays and the normals that they are about."""

    head: tuple[str, ...] = ()
    foot: tuple[str, ...] = ()
    ports: dict[int, str] = field(default_factory=dict)  # by port number
    bays: dict[int, str] = field(default_factory=dict)  # by bay number
    normals: dict[tuple[int, int], str] = field(default_factory=dict)  # by the normal's top and bottom


NO_REMARKS = Remarks()


def write_room(room: Room, remarks: Remarks = NO_REMARKS) -> str:
    """The text of a room file; :func:`model.room.file.parse_room` reads it back to the same room.

    >>> from model.room.file import parse_room
    >>> print(write_room(parse_room("{bayhand: 1, room: Attic, bays: [{bay: One, columns: 2, rows: {A: {}}}]}")), end="")
    bayhand: 1
    room: Attic
    <BLANKLINE>
    bays:
      - bay: One
        columns: 2
        rows:
          A: {}
    """
    lines = [*(f"# {text}" for text in remarks.head), f"bayhand: {VERSION}", f"room: {on_a_line(room.name)}"]
    if room.feet:
        lines.append(f"units: {FEET}")
    sections: Sequence[tuple[str, Iterable[str]]] = (
        ("gear", gear_lines(room, remarks)),
        ("mics", (f"{on_a_line(mic.name)}: {mic_value(mic)}" for mic in room.mics)),
        ("bays", _bays(room, remarks)),
        ("cross normals", (f"- {value}{note}" for value, note in _cross_normals(room, remarks))),
        ("ties", (f"- {value}" for value in tie_values(room))),
        ("mults", (f"- {value}" for value in mult_values(room))),
        ("house patch", (f"- {on_a_line(text)}" for text in house_cords(room))),
        ("marks", (f"{kind}: {on_a_line(mark)}" for kind, mark in room.marks.items())),
        ("priors", (f"{cause}: {decimal(prior)}" for cause, prior in room.priors.items())),
        ("accepted", (f"- {accepted_value(accepted)}" for accepted in room.accepted)),
    )
    for name, body in sections:
        body = list(body)
        if body:
            lines += ["", f"{name}:", *(f"  {line}" for line in body)]
        if name == "mults" and room.cords is not None:
            cords = [f"  {length}: {count}" for length, count in room.cords.items()]
            lines += ["", *(["cords:", *cords] if cords else ["cords: {}"])]
    if remarks.foot:
        lines += ["", *(f"# {text}" for text in remarks.foot)]
    return "\n".join(lines) + "\n"


# Gear


def gear_lines(room: Room, remarks: Remarks = NO_REMARKS) -> Iterator[str]:
    """The section ``gear``, without its indent: like pieces of gear side by side stand in one entry."""
    for entry, alike in _grouped((_gear_entry(room, gear, remarks), gear.name) for gear in room.gear):
        for fold in fold_names(alike):
            alone, body = entry
            name = on_a_line(fold.template)
            if alone is not None:
                yield f"{name}: {alone}"
            else:
                yield f"{name}:"
                yield from (f"  {line}" for line in body)


def _gear_entry(room: Room, gear: Gear, remarks: Remarks) -> tuple[str | None, tuple[str, ...]]:
    """What stands after the name of gear: on its line where it has one port without a name, else below it."""
    ports = [room.ports[port] for port in gear.ports]
    if len(ports) == 1 and not ports[0].own:
        return f"{port_value(ports[0])}{_remark(remarks.ports.get(ports[0].index))}", ()
    lines = ["own names: yes"] if has_own_names(room, gear) else []
    lines += [] if gear.through is True else [f"through: {through_value(room, gear)}"]
    for value, owns in _grouped(
        (f"{port_value(port)}{_remark(remarks.ports.get(port.index))}", port.own) for port in ports
    ):
        lines += [f"{on_a_line(fold.template)}: {value}" for fold in fold_names(owns)]
    return None, tuple(lines)


def port_value(port: Port) -> str:
    """What a room file says of a port: its kind alone, or a table of what it states."""
    figures = [(key, scalar(text) if key == "switch" else text) for key, text in stated(port)]
    return table([("is", port.kind.name), *figures]) if figures else port.kind.name


def through_value(room: Room, gear: Gear) -> str:
    """What ``through`` says: yes, no, or from each input to the outputs that it reaches, always and on conditions."""
    if isinstance(gear.through, bool) and not gear.ways:
        return "yes" if gear.through else "no"
    entries = _reached(room, () if isinstance(gear.through, bool) else gear.through)
    for word, condition in CONDITIONS.items():
        ways = [each for each in gear.ways if each.condition == condition]
        if condition == ASSIGNED:
            said = [entry for each in ways for entry in _bus(room, each)]
        else:
            said = _reached(room, [(into, out) for each in ways for into in each.inputs for out in each.outputs])
        if said:
            entries.append((word, table(said)))
    return table(entries)


def _reached(room: Room, pairs: Iterable[tuple[int, int]]) -> list[tuple[str, str]]:
    """Inputs, and the outputs that each reaches."""
    reached: dict[str, list[str]] = {}
    for into, out in pairs:
        reached.setdefault(room.ports[into].own, []).append(scalar(room.ports[out].own))
    return [(scalar(into), f"[{', '.join(outs)}]") for into, outs in reached.items()]


def _bus(room: Room, ways: Ways) -> list[tuple[str, str]]:
    """Each input to each output: under one key where a name with a range can stand for all inputs."""
    inputs = [room.ports[port].own for port in ways.inputs]
    outputs = [fold.template for fold in fold_names([room.ports[port].own for port in ways.outputs])]
    folds = [fold.template for fold in fold_names(inputs)]
    if len(folds) > 1 and not any("-" in own for own in inputs):
        folds = [f"{{{','.join(inputs)}}}"]
    return [(scalar(key), f"[{', '.join(map(scalar, outputs))}]") for key in folds]


def has_own_names(room: Room, gear: Gear) -> bool:
    """Whether the gear's ports bear their own names alone, without the gear's before them."""
    return any(room.ports[port].own and room.ports[port].name == room.ports[port].own for port in gear.ports)


def mic_value(mic: Mic) -> str:
    """What a room file says of a microphone of the locker."""
    entries = [("ohms", decimal(mic.ohms))]
    entries += [] if mic.phantom_v is None else [("phantom", decimal(mic.phantom_v))]
    entries += [("draws", decimal(mic.draws_ma))] if mic.draws_ma else []
    entries += [("harmed", "yes")] if mic.harmed else []
    entries += [] if mic.works_from_v is None else [("works from", decimal(mic.works_from_v))]
    return table(entries)


# Bays


def _bays(room: Room, remarks: Remarks) -> Iterator[str]:
    pairs: dict[int, list[Normal]] = {}
    for normal in room.normals:
        if not normal.cross:
            pairs.setdefault(room.rows[room.jacks[normal.top].row].bay, []).append(normal)
    for bay in room.bays:
        yield f"- bay: {on_a_line(bay.name)}{_remark(remarks.bays.get(bay.index))}"
        yield from (f"  {key}: {value}" for key, value in bay_entries(bay))
        yield "  rows:"
        for row in (room.rows[number] for number in bay.rows):
            cells = list(row_cells(room, row))
            yield f"    {on_a_line(row.name)}:{'' if cells else ' {}'}"
            yield from (f"      {columns}: {on_a_line(ports)}" for columns, ports in cells)
        if bay.index in pairs:
            yield "  normals:"
            yield from (f"    {line}" for line in _pair_normals(room, pairs[bay.index], remarks))
        for which in JACK_TEXTS:
            texts = list(_texts(room, bay, which))
            if texts:
                yield f"  {which}:"
                yield from (f"    {jacks}: {on_a_line(text)}" for jacks, text in texts)


def _texts(room: Room, bay: Bay, which: str) -> Iterator[tuple[str, str]]:
    """Jacks and what is written at them, with ranges on both sides."""
    for row in (room.rows[number] for number in bay.rows):
        jacks = range(row.first, row.first + row.points)
        said = {jack: text for jack in jacks if (text := jack_text(room, jack, which))}
        for first, last in runs(said):
            at = first
            for text, alike in groupby(said[jack] for jack in range(first, last + 1)):
                count = len(list(alike))
                if count > 1 and which != "cable":  # a cable's number is one jack's alone
                    yield from _folded_texts(room, first, list(map(said.__getitem__, range(first, at))))
                    yield _jacks(room, at, at + count - 1), text
                    first = at + count
                at += count
            yield from _folded_texts(room, first, [said[jack] for jack in range(first, last + 1)])


def _folded_texts(room: Room, first: int, texts: Sequence[str]) -> Iterator[tuple[str, str]]:
    """Texts of jacks side by side, with ranges."""
    for fold in fold_names(texts):
        yield _jacks(room, first, first + fold.count - 1), fold.template
        first += fold.count


def bay_entries(bay: Bay) -> list[tuple[str, str]]:
    """The keys of a bay before its rows, with their values."""
    place = [("place", on_a_line(bay.place))] if bay.place else []
    return [*place, ("columns", str(bay.points)), *stated_of_bay(bay)]


def row_cells(room: Room, row: Row) -> Iterator[tuple[str, str]]:
    """Columns and the ports behind them, with ranges on both sides."""
    ports = [room.jacks[jack].port for jack in range(row.first, row.first + row.points)]
    for first, last in runs(point for point, port in enumerate(ports, 1) if port != NO_PORT):
        column = first
        for fold in fold_names([room.ports[port].name for port in ports[first - 1 : last]]):
            yield _span(column, column + fold.count - 1), fold.template
            column += fold.count


def _pair_normals(room: Room, normals: list[Normal], remarks: Remarks) -> Iterator[str]:
    normals = sorted(normals, key=lambda normal: room.jacks[normal.top].point)
    said = ((f"{normal.kind}{_note(normal, remarks)}", room.jacks[normal.top].point) for normal in normals)
    for value, points in _grouped(said):
        yield from (f"{_span(first, last)}: {value}" for first, last in runs(points))


def _cross_normals(room: Room, remarks: Remarks) -> Iterator[tuple[str, str]]:
    """The cross normals, and the remark after each."""
    cross = [normal for normal in room.normals if normal.cross]
    for (kind, note), alike in _grouped(((normal.kind, _note(normal, remarks)), normal) for normal in cross):
        for first, last in _side_by_side(room, [(normal.top, normal.bottom) for normal in alike]):
            ends = [("from", _jacks(room, first[0], last[0])), ("to", _jacks(room, first[1], last[1]))]
            yield table([*ends, ("kind", kind)]), note


def tie_values(room: Room) -> Iterator[str]:
    """The tie lines, side by side in one where names and jacks can be told as ranges."""
    for (metres, kind), ties in _grouped(((tie.metres, tie.kind), tie) for tie in room.ties):
        at = 0
        for fold in fold_names([tie.name for tie in ties]):
            named = ties[at : at + fold.count]
            at += fold.count
            stretches = list(_side_by_side(room, [(tie.a, tie.b) for tie in named]))
            if len(stretches) == 1:
                yield _tie(room, fold.template, *stretches[0], metres, kind)
            else:
                yield from (_tie(room, tie.name, (tie.a, tie.b), (tie.a, tie.b), metres, kind) for tie in named)


def _tie(room: Room, name: str, first: tuple[int, int], last: tuple[int, int], metres: float, kind: str) -> str:
    ends = [("from", _jacks(room, first[0], last[0])), ("to", _jacks(room, first[1], last[1]))]
    metres_and_kind = [("metres", decimal(metres))] if metres else []
    metres_and_kind += [("is", kind)] if kind else []
    return table([("name", scalar(name)), *ends, *metres_and_kind])


def mult_values(room: Room) -> Iterator[str]:
    """The mults."""
    for mult in room.mults:
        spans = [_jacks(room, first, last) for first, last in jack_runs(room, mult.jacks)]
        jacks = spans[0] if len(spans) == 1 else f"[{', '.join(spans)}]"
        yield table([("name", scalar(mult.name)), ("jacks", jacks)])


# What belongs in the room at rest


def house_cords(room: Room) -> Iterator[str]:
    """The cords of the house patch, each in words: its jacks by their ports where these come up once, else by address."""
    for cord in room.house_patch:
        yield house_cord(room, cord)


def house_cord(room: Room, cord: HouseCord) -> str:
    """A cord of the house patch in words."""
    length = "" if cord.length_cm is None else f" with {decimal(cord.length_cm)} cm"
    return cord_ends([_end(room, jack) for jack in cord.jacks]) + length


def _end(room: Room, jack: int) -> str:
    port = room.jacks[jack].port
    if port == NO_PORT or len(room.jacks_of_port[port]) != 1:
        return room.jacks[jack].address
    name = room.ports[port].name
    try:
        # a name such as 'Send with 60 cm' would lose its end to the cord's length
        plain = split_length(name) == (name, None) and split_length(f"{name} with 1") == (name, 1.0)
    except ValueError:
        plain = False
    return name if plain else room.jacks[jack].address


def accepted_value(accepted: Accepted) -> str:
    """What a room file says of a finding that it accepts."""
    said = (("at", accepted.at), ("finding", accepted.finding), ("because", accepted.because))
    return table([(key, scalar(text)) for key, text in said])


# Shared


def jack_runs(room: Room, jacks: Iterable[int]) -> list[tuple[int, int]]:
    """The first and the last of each run of jacks side by side in one row, in the order given."""
    found: list[tuple[int, int]] = []
    for jack in jacks:
        if found and found[-1][1] + 1 == jack and room.jacks[found[-1][1]].row == room.jacks[jack].row:
            found[-1] = (found[-1][0], jack)
        else:
            found.append((jack, jack))
    return found


def _side_by_side(room: Room, pairs: list[tuple[int, int]]) -> Iterator[tuple[tuple[int, int], tuple[int, int]]]:
    """Pairs of jacks as stretches of pairs: the first and the last pair of each, both sides going on by one."""
    first: tuple[int, int] | None = None
    last = (NO_PORT, NO_PORT)
    for pair in pairs:
        goes_on = first is not None and all(
            jack == before + 1 and room.jacks[jack].row == room.jacks[before].row
            for jack, before in zip(pair, last, strict=True)
        )
        if first is not None and not goes_on:
            yield first, last
        if not goes_on:
            first = pair
        last = pair
    if first is not None:
        yield first, last


def _jacks(room: Room, first: int, last: int) -> str:
    row, point = room.rows[room.jacks[first].row].name, room.jacks[first].point
    return scalar(f"{row}{_span(point, room.jacks[last].point)}")


def _span(first: int, last: int) -> str:
    return str(first) if first == last else f"{first}-{last}"


def _note(normal: Normal, remarks: Remarks) -> str:
    return _remark(remarks.normals.get((normal.top, normal.bottom)))


def _remark(text: str | None) -> str:
    return f"  # {text}" if text else ""


def _grouped(pairs: Iterable[tuple[_Key, _Value]]) -> Iterator[tuple[_Key, list[_Value]]]:
    """The values of neighbours that have one key."""
    for key, members in groupby(pairs, key=lambda pair: pair[0]):
        yield key, [value for _, value in members]
