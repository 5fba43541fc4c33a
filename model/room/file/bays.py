"""The section ``bays`` of a room file: panels, rows, what their jacks are wired to, and the normals of their pairs."""

from __future__ import annotations

from model.room.file.bay_tables import BayTables
from model.room.file.gear import GearTables
from model.room.file.jack_texts import JACK_TEXTS, read_jack_texts
from model.room.file.normalling_keys import NORMALLING_KEYS, read_normalling_keys
from model.room.file.reading import Reading
from model.room.file.strip_keys import STRIP_KEYS, read_strip_keys
from model.room.kinds import NO_NORMAL, NORMAL_KINDS
from model.room.wiring import NO_PORT, Bay, Jack, Row
from model.text.clean import quoted
from model.text.listing import counted
from model.text.normalized import normalized
from model.text.ranges import MOST
from model.text.strictyaml import Items, Mark, Node, Table, Text
from model.text.suggest import listed

BAY_KEYS = frozenset(("bay", "place", "columns", "rows", "normals", *JACK_TEXTS)) | NORMALLING_KEYS | STRIP_KEYS
MAX_ROWS = 2  # the top row and the bottom row of a panel
ALL_NORMALS = (*NORMAL_KINDS, NO_NORMAL)
_SOME_POINTS = 1_000  # stand in where a bay's points cannot be read, so that its rows are known all the same
_SUCH_AS = "{bay: Mic bay, columns: 48, rows: {A: {1-12: 'Live {1-12}'}}}"


def read_bays(reading: Reading, node: Node, gear: GearTables) -> BayTables:
    """The section ``bays``: a list of panels."""
    tables = BayTables()
    for bay in reading.tables(node, "bays", _SUCH_AS, BAY_KEYS):
        _read_bay(reading, tables, gear, bay)
    if node is not None and not (node.nodes if isinstance(node, Items) else node.text if isinstance(node, Text) else 1):
        reading.missing(node.mark, f"the room has no bay: it needs one such as - {_SUCH_AS}")
    return tables


def _read_bay(reading: Reading, tables: BayTables, gear: GearTables, table: Table) -> None:
    name = reading.label(reading.required(table, "bay", "a bay: it is the bay's name"), "name", "a bay")
    what = f"bay {quoted(name)}" if name else "this bay"
    place = reading.label(table.values.get("place"), "place", what) or ""
    points = reading.whole_number(reading.required(table, "columns", what), "columns", what, MOST)
    rows = reading.table(reading.required(table, "rows", what), f"rows of {what}", "A: {1: Mix L}")
    line = table.mark.line + 1
    index = len(tables.bays)
    if name:
        earlier = tables.bay_named.get(normalized(name))
        if earlier is not None:
            reading.error(table.marks["bay"], f"{what} is named twice: line {earlier.line} has {quoted(earlier.name)}")
    if rows is None:
        return
    if not rows.values:
        reading.missing(rows.mark, f"{what} has no row: it needs a top row, and may have a bottom row")
    if len(rows.values) > MAX_ROWS:
        third = list(rows.marks.values())[MAX_ROWS]
        reading.error(third, f"{what} has {len(rows.values)} rows: a bay has a top row and a bottom row")
    if points is None:
        points = _SOME_POINTS
    if len(tables.jacks) + points * len(rows.values) > MOST:
        reading.error(table.mark, f"columns of {what}: with them the room has more than {MOST:,} jacks")
        return
    numbers = []
    for row_name, cells in rows.values.items():
        number = _read_row(reading, tables, gear, index, points, row_name, rows.marks[row_name], cells)
        if number is not None:
            numbers.append(number)
    bay = Bay(index, name or "", place, points, tuple(numbers), line)
    bay = read_normalling_keys(reading, table, bay, what)
    bay = read_strip_keys(reading, table, bay, what)
    tables.bays.append(bay)
    tables.bay_named.setdefault(normalized(bay.name), bay)
    if "normals" in table.marks:
        _read_normals(reading, tables, bay, len(rows.values), table, what)
    read_jack_texts(reading, tables, bay, table, what)


def _read_row(
    reading: Reading, tables: BayTables, gear: GearTables, bay: int, points: int, name: str, mark: Mark, node: Node
) -> int | None:
    """One row and its jacks; returns its number."""
    what = f"row {quoted(name)}"
    if reading.label(Text(name, mark), "name", "a row", typed=True) is None:
        return None
    if not (name[0].isalnum() and name[-1].isalpha()):
        reading.error(mark, f"{what} must start with a letter or a digit and end with a letter, as in 'A' or 'MR-C'")
        return None
    known = tables.row_named.get(normalized(name))
    if known is not None:
        where = (
            f"bay {quoted(tables.bays[tables.rows[known].bay].name)}" if tables.rows[known].bay < bay else "this bay"
        )
        reading.error(mark, f"{what} is named twice: {where} has row {quoted(tables.rows[known].name)} already")
        return None
    cells = reading.table(node, what, "{1-12: 'Live {1-12}', 13: Mix L}")
    number = len(tables.rows)
    first = len(tables.jacks)
    tables.rows.append(Row(number, name, bay, first, points))
    tables.row_named[normalized(name)] = number
    ports = [NO_PORT] * (points + 1)  # by point; there is no point 0
    lines = [mark.line + 1] * (points + 1)
    if cells is not None:
        _wire(reading, gear, cells, name, points, ports, lines)
    tables.jacks += [
        Jack(first + point - 1, f"{name}{point}", number, point, ports[point], lines[point])
        for point in range(1, points + 1)
    ]
    return number


def _wire(
    reading: Reading, gear: GearTables, cells: Table, row: str, points: int, ports: list[int], lines: list[int]
) -> None:
    """Fills in the port and the line of each point that the cells of a row name."""
    row_words = f"row {quoted(row)}"
    for key, node in cells.values.items():
        mark = cells.marks[key]
        if not isinstance(node, Text) or not node.text:
            if node is not None:
                reading.error(
                    node.mark, f"columns {quoted(key)} of {row_words} need the name of a port, such as 'Mix L'"
                )
            continue
        numbers = reading.points(key, mark, points, row_words)
        many = reading.how_many(node.text) if numbers else None
        if many is not None and len(numbers) != many:
            sides = f"{key} is {counted(len(numbers), 'jack')}, {quoted(node.text)} is {counted(many, 'port')}"
            reading.error(mark, f"the two sides differ in length in {row_words}: {sides}")
            continue
        names = reading.expanded(node.text, node.mark, "port") if numbers else []
        if not names:
            continue
        line = mark.line + 1
        unknown = []
        for point, name in zip(numbers, names, strict=True):
            port = gear.port(name)
            if port is None:
                unknown.append(name)
                port = NO_PORT
            if ports[point] != NO_PORT:
                both = f"{quoted(gear.ports[ports[point]].name)} on line {lines[point]} and {quoted(name)} here"
                reading.error(mark, f"jack {row}{point} is given two ports: {both}")
                break
            ports[point], lines[point] = port, line
        if unknown and reading.whole:
            ports_words = "port" if len(unknown) == 1 else "ports"
            reading.error(
                node.mark, f"unknown {ports_words} {listed(unknown, most=4)}{gear.meant(reading, unknown[0])}"
            )


def _read_normals(reading: Reading, tables: BayTables, bay: Bay, rows: int, table: Table, what: str) -> None:
    """The normals of a bay: from points to their kind."""
    mark = table.marks["normals"]
    normals = reading.table(table.values["normals"], f"normals of {what}", "{1-12: full, 25-40: half}")
    if normals is None or not normals.values:
        return
    if rows == 1:
        reading.missing(mark, f"{what} has one row, and normals join a top row to a bottom row: use 'cross normals'")
        return
    if len(bay.rows) != MAX_ROWS:
        return  # an error that is noted already
    top, bottom = (tables.rows[row].first - 1 for row in bay.rows)
    seen: dict[int, int] = {}
    for key, node in normals.values.items():
        mark = normals.marks[key]
        kind = read_normal_kind(reading, node, f"columns {quoted(key)} of {what}")
        for point in reading.points(key, mark, bay.points, what):
            if point in seen:
                reading.error(mark, f"the normal of point {point} of {what} is given twice: line {seen[point]} has it")
                break
            seen[point] = mark.line + 1
            if kind is not None:
                tables.join(reading, mark, top + point, bottom + point, kind)


def read_normal_kind(reading: Reading, node: Node, of: str) -> str | None:
    """The name of a kind of normal, or 'none'."""
    text = reading.text(node, "the kind of normal", of)
    if text is None:
        return None
    if text.text in ALL_NORMALS:
        return text.text
    meant = reading.meant(text.text, ALL_NORMALS) or f": the kinds are {listed(ALL_NORMALS)}"
    reading.error(text.mark, f"unknown kind of normal {quoted(text.text)} for {of}{meant}")
    return None
