"""A table of jacks made into a room file: any spreadsheet that says where each jack is and what is wired to it.

What the table says is written as a room file, cell by cell, and the reader of room files reads it; so nothing is accepted
here that would be refused there, and every error is told of the cell that it comes from.
"""

from __future__ import annotations

from dataclasses import dataclass

from model.bench.tables.sourced_text import SourcedText
from model.bench.tables.table import REST_HEAD
from model.bench.tables.table_columns import SYNONYMS, Heading, find_heading
from model.bench.tables.table_faults import Cell, Fault, Faults, TableErrors
from model.bench.tables.table_jacks import TableRows, read_rows_of, sides_of
from model.bench.tables.table_joins import NormalsOfTable, joins_of
from model.bench.tables.table_ports import TablePorts
from model.bench.tables.table_rest import RestOfTable, read_rest
from model.bench.tables.table_text import full_name, write_sourced
from model.bench.written.room_writer import Remarks, write_room
from model.paper.spreadsheet import NotATable, read_rows
from model.room.file import RoomFileErrors, parse_room
from model.room.wiring import Room
from model.text.clean import quoted
from model.text.normalized import normalized
from model.text.suggest import listed


@dataclass(frozen=True)
class Imported:
    """A room made of a table, the text of its room file, and what had to be guessed."""

    room: Room
    text: str
    guesses: tuple[Fault, ...]


def from_table(data: bytes, name: str = "Room") -> Imported:
    """The room that a spreadsheet's file describes; ``name`` is the room's where the table names none.

    Raises :class:`TableErrors` with all that is wrong in it.

    >>> from_table(b"jack;port\\nA1;Keys out\\nB1;Desk in\\n").room.jacks[1].address
    'B1'
    """
    try:
        rows = read_rows(data)
    except NotATable as error:
        raise TableErrors([Fault(0, "", "", str(error))]) from None
    heading = find_heading(rows)
    if heading is None:
        raise TableErrors([Fault(0, "", "", f"no row is a heading: {_wanted(('address', 'gear', 'port', 'normal'))}")])
    faults = Faults(heading.headings)
    _check_columns(heading, faults)
    found = read_rows_of(rows, heading, faults)
    if not found.jacks and not faults.errors:
        faults.error(Cell("", heading.row), "no row below the heading is a jack")
    if faults.errors:
        raise TableErrors(_in_order(faults.errors))
    sides = _name_bays(found, heading, faults)
    ports = TablePorts(faults)
    ports.add_jacks(found.jacks, sides)
    rest = read_rest(found.rest, ports, faults)
    title = found.titles[0] if found.titles else None
    if not rest.room.text:
        rest.room = title or Cell(name, heading.row)
        faults.guess(rest.room, f"the room is named {quoted(rest.room.text)}")
    normals, ties, mults = joins_of(found.jacks, ports, sides, faults)
    source = write_sourced(found.jacks, sides, ports, rest, normals, ties, mults)
    room = _parsed(source, faults)
    if faults.errors or room is None:
        raise TableErrors(_in_order(faults.errors))
    guesses = _in_order(faults.guesses)
    return Imported(room, write_room(room, _remarks(room, found, ports, normals, rest, guesses)), tuple(guesses))


def _check_columns(heading: Heading, faults: Faults) -> None:
    """Asks by name for columns without which no room can be made; tells of those that are not read."""
    whole = Cell("", heading.row)
    if not heading.has("address", "number"):
        faults.error(whole, f"no column says which jack a row is about: {_wanted(('address', 'number'))}")
    if not heading.has("gear", "port"):
        faults.error(whole, f"no column says what is wired to a jack: {_wanted(('gear', 'port'))}")
    for place in heading.unknown:
        faults.guess(Cell(heading.headings[place], heading.row, place), "no column is headed so: it is not read")
    for place in heading.twice:
        faults.guess(
            Cell(heading.headings[place], heading.row, place), "an earlier column means the same: this one is not read"
        )


def _wanted(columns: tuple[str, ...]) -> str:
    return "it needs " + ", or ".join(
        f"{quoted(column)} (or {listed(SYNONYMS[column][1:4], 'or')})" for column in columns
    )


def _name_bays(found: TableRows, heading: Heading, faults: Faults) -> dict[str, str]:
    """Gives each jack a bay where the table names none: two rows make one. Answers the side of each row."""
    sides = sides_of(found.jacks, faults)
    rows_of: dict[str, list[str]] = {}
    for jack in found.jacks:
        rows = rows_of.setdefault(jack.bay, [])
        if jack.row not in rows:
            rows.append(jack.row)
    if "" in rows_of:
        bay_of: dict[str, str] = {}
        open_bay, filled = "", 0
        for row in rows_of[""]:
            if not open_bay or filled == 2 or (filled == 1 and sides.get(row) == "top"):
                number = sum(name.startswith("Bay ") for name in set(bay_of.values())) + 1
                open_bay, filled = f"Bay {number}", 0
            bay_of[row] = open_bay
            filled += 1
        for jack in found.jacks:
            jack.bay = jack.bay or bay_of[jack.row]
        for row, bay in bay_of.items():
            first = next(jack for jack in found.jacks if jack.row == row)
            faults.guess(first.at, f"row {quoted(row)} is in a bay named {quoted(bay)}")
    for rows in rows_of.values():
        if len(rows) == 2 and not any(sides.get(row) for row in rows):
            sides[rows[0]], sides[rows[1]] = "top", "bottom"
    return sides


def _parsed(source: SourcedText, faults: Faults) -> Room | None:
    try:
        return parse_room(source.text)
    except RoomFileErrors as problem:
        source.tell(problem.errors, faults)
        return None


def _in_order(faults: list[Fault]) -> list[Fault]:
    return sorted(dict.fromkeys(faults), key=lambda fault: (fault.row, len(fault.column), fault.column))


def _remarks(
    room: Room, found: TableRows, ports: TablePorts, normals: NormalsOfTable, rest: RestOfTable, guesses: list[Fault]
) -> Remarks:
    """What the room file says of guesses, and what it cannot say yet: as comments, so that nothing is lost."""
    remarks = Remarks(
        tuple(f"guessed from the table: {guess}" for guess in guesses if guess.row == 0 or _is_of_a_bay(guess)),
    )
    by_name = {normalized(port.name): port for port in room.ports}
    for gear in ports.gear.values():
        for port in gear.ports.values():
            if port.guess:
                full = full_name(gear, port)
                remarks.ports[by_name[normalized(full)].index] = f"guessed: {port.kind}, from {port.guess}"
    for (top, bottom), why in normals.guessed.items():
        ends = [room.jack_at(*where) for where in (top, bottom)]
        if all(end is not None for end in ends):
            first, second = (end.index for end in ends if end is not None)
            remarks.normals[first, second] = f"guessed, from {why}"
    return remarks


def _is_of_a_bay(guess: Fault) -> bool:
    return "in a bay named" in guess.text or "the row is named" in guess.text or "the room is named" in guess.text


__all__ = ["REST_HEAD", "Imported", "TableErrors", "from_table"]
