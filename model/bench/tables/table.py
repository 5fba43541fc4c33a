"""The room as one table for a spreadsheet: a row for each jack, and below it what no jack holds.

What no jack holds (the order of gear, what passes through it, ports at no jack, microphones, cords, house patch, marks,
priors, accepted findings, the bays' own keys) stands in rows of four cells: section, name, part, and what the room file
says of it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from itertools import groupby
from typing import NamedTuple

from model.bench.written.figures import FIGURES, stated_of_bay
from model.bench.written.jack_texts import JACK_TEXTS, jack_text
from model.bench.written.room_writer import has_own_names, house_cords, mic_value, port_value, through_value
from model.paper.spreadsheet import write_rows
from model.room.kinds import NO_NORMAL
from model.room.wiring import NO_PORT, Bay, Gear, Jack, Normal, Port, Room, Row, Tie
from model.text.folding import fold_names
from model.text.yaml_words import decimal

SIDES = ("top", "bottom")
REST_HEAD = ("section", "name", "part", "says")
# A port's cable has its length in the table, and a jack's cable its number: the two need two names.
FIGURE_COLUMNS = {figure.key: "metres" if figure.key == "cable" else figure.key for figure in FIGURES}


class Place(NamedTuple):
    """One jack with what is around it."""

    room: Room
    bay: Bay
    row: Row
    jack: Jack
    port: Port | None
    gear: Gear | None


def _side(at: Place) -> str:
    return SIDES[at.bay.rows.index(at.row.index)]


def _normal(at: Place) -> str:
    return ", ".join(normal.kind for normal in at.room.normals_at.get(at.jack.index, ()))


def _partner(at: Place) -> str:
    return ", ".join(_other_end(at, normal) for normal in at.room.normals_at.get(at.jack.index, ()))


def _other_end(at: Place, normal: Normal) -> str:
    """The jack at the other end of a normal; 'to' and 'from' say which way a cross normal goes."""
    down = normal.top == at.jack.index
    address = at.room.jacks[normal.bottom if down else normal.top].address
    return address if not normal.cross else f"{'to' if down else 'from'} {address}"


def _tie(at: Place) -> str:
    return ", ".join(tie_cell(tie) for tie in at.room.ties_at.get(at.jack.index, ()))


def tie_cell(tie: Tie) -> str:
    """A tie line with its length, and its kind where the room file states it."""
    return f"{tie.name} ({decimal(tie.metres)} m{f' {tie.kind}' if tie.kind else ''})"


def _mult(at: Place) -> str:
    mult = at.room.mult_at.get(at.jack.index)
    return mult.name if mult is not None else ""


def _text(which: str) -> Callable[[Place], str]:
    return lambda at: jack_text(at.room, at.jack.index, which)


def _figure(text: Callable[[Port], str | None]) -> Callable[[Place], str]:
    # a plus sign at the start of a cell would need an apostrophe before it
    return lambda at: "" if at.port is None else (text(at.port) or "").removeprefix("+")


COLUMNS: dict[str, Callable[[Place], str]] = {
    "bay": lambda at: at.bay.name,
    "place": lambda at: at.bay.place,
    "address": lambda at: at.jack.address,
    "side": _side,
    "gear": lambda at: at.gear.name if at.gear is not None else "",
    "port": lambda at: at.port.own if at.port is not None else "",
    "kind of port": lambda at: at.port.kind.name if at.port is not None else "",
    "normal": _normal,
    "partner": _partner,
    "tie": _tie,
    "mult": _mult,
    **{text: _text(text) for text in JACK_TEXTS},
    **{FIGURE_COLUMNS[figure.key]: _figure(figure.text) for figure in FIGURES},
}


def table_rows(room: Room) -> Iterator[tuple[str, ...]]:
    """The heading, the jacks, an empty row, the heading of the rest, and the rest."""
    yield tuple(COLUMNS)
    writers = tuple(COLUMNS.values())
    for bay in room.bays:
        for row in (room.rows[number] for number in bay.rows):
            for jack in room.jacks[row.first : row.first + row.points]:
                port = None if jack.port == NO_PORT else room.ports[jack.port]
                at = Place(room, bay, row, jack, port, None if port is None else room.gear[port.gear])
                yield tuple(write(at) for write in writers)
    yield ()
    yield REST_HEAD
    yield from rest_rows(room)


def rest_rows(room: Room) -> Iterator[tuple[str, str, str, str]]:
    """What no jack holds, each with its section, its name, its part and what the room file says of it."""
    yield "room", "", "", room.name
    for bay in room.bays:
        yield from (("bays", bay.name, key, value) for key, value in stated_of_bay(bay))
    yield from _gear(room)
    for port in room.ports:
        if not room.jacks_of_port[port.index]:
            yield "port", room.gear[port.gear].name, port.own, port_value(port)
    yield from (("mics", mic.name, "", mic_value(mic)) for mic in room.mics)
    if room.cords is not None:
        yield from (("cords", str(length), "", str(count)) for length, count in room.cords.items())
        if not room.cords:
            yield "cords", "", "", NO_NORMAL
    yield from (("house patch", "", "", cord) for cord in house_cords(room))
    yield from (("marks", kind, "", mark) for kind, mark in room.marks.items())
    yield from (("priors", cause, "", decimal(prior)) for cause, prior in room.priors.items())
    yield from (("accepted", accepted.at, accepted.finding, accepted.because) for accepted in room.accepted)


def _gear(room: Room) -> Iterator[tuple[str, str, str, str]]:
    """Gear in the order of the room file, like gear side by side in one row: its ports in order, and what passes through."""
    entries = (((_owns(room, gear), through_value(room, gear)), gear.name) for gear in room.gear)
    for (owns, through), alike in groupby(entries, key=lambda entry: entry[0]):
        for fold in fold_names([name for _, name in alike]):
            yield "gear", fold.template, owns, through
    named = [gear.name for gear in room.gear if has_own_names(room, gear)]
    yield from (("own names", fold.template, "", "yes") for fold in fold_names(named))


def _owns(room: Room, gear: Gear) -> str:
    return ", ".join(room.ports[port].own for port in gear.ports)


def as_csv(room: Room) -> str:
    """The table after RFC 4180; no cell is run by a spreadsheet.

    :func:`model.bench.tables.from_table.from_table` reads it back to the same room.
    """
    return write_rows(table_rows(room))
