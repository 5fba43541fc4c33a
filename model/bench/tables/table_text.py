"""A table's jacks and ports as the text of a room file, one line for each, every part with its cell."""

from __future__ import annotations

from model.bench.tables.sourced_text import SourcedText
from model.bench.tables.table import FIGURE_COLUMNS
from model.bench.tables.table_faults import Cell
from model.bench.tables.table_jacks import JackRow
from model.bench.tables.table_joins import NormalsOfTable, TableMult, TableNormal, TableTie, Where
from model.bench.tables.table_ports import TableGear, TablePort, TablePorts
from model.bench.tables.table_rest import RestOfTable
from model.bench.written.jack_texts import JACK_TEXTS
from model.text.normalized import normalized
from model.text.yaml_words import scalar

Part = str | tuple[str, Cell]
_KEYS = {column: key for key, column in FIGURE_COLUMNS.items()}
_PLAIN_FIGURES = frozenset("0123456789.+- dBuV")


def write_sourced(
    jacks: list[JackRow],
    sides: dict[str, str],
    ports: TablePorts,
    rest: RestOfTable,
    normals: NormalsOfTable,
    ties: list[TableTie],
    mults: list[TableMult],
) -> SourcedText:
    """The room file of a table."""
    out = SourcedText()
    out.add("bayhand: 1")
    out.add("room: ", (scalar(rest.room.text), rest.room))
    if ports.gear:
        out.add("gear:")
    for gear in ports.gear.values():
        _gear(out, gear, rest)
    _keyed(out, "mics", rest.mics, raw=True)
    _bays(out, jacks, sides, ports, rest, normals)
    if normals.cross:
        out.add("cross normals:")
    for normal in normals.cross:
        ends = f"{{from: {_address(normal.top)}, to: {_address(normal.bottom)}, kind: {normal.kind}}}"
        out.add("  - ", (ends, normal.at))
    if ties:
        out.add("ties:")
    for tie in ties:
        metres = f", metres: {scalar(tie.metres)}" if tie.metres else ""
        start, end = (scalar(jack.address) for jack in tie.ends)
        kind = f", is: {scalar(tie.kind)}" if tie.kind else ""
        out.add("  - ", (f"{{name: {scalar(tie.name)}, from: {start}, to: {end}{metres}{kind}}}", tie.at))
    if mults:
        out.add("mults:")
    for mult in mults:
        listed = ", ".join(scalar(jack.address) for jack in mult.jacks)
        out.add("  - ", (f"{{name: {scalar(mult.name)}, jacks: [{listed}]}}", mult.at))
    if rest.cords is not None and not rest.cords:
        out.add("cords: {}")
    _keyed(out, "cords", rest.cords or [])
    if rest.house_patch:
        out.add("house patch:")
    for cell in rest.house_patch:
        out.add("  - ", (scalar(cell.text), cell))
    _keyed(out, "marks", rest.marks)
    _keyed(out, "priors", rest.priors)
    if rest.accepted:
        out.add("accepted:")
    for cells in rest.accepted:
        keyed = zip(("at", "finding", "because"), cells, strict=True)
        parts = [(f"{key}: {scalar(cell.text)}", cell) for key, cell in keyed]
        out.add("  - {", parts[0], ", ", parts[1], ", ", parts[2], "}")
    return out


def _keyed(out: SourcedText, section: str, entries: list[tuple[Cell, Cell]], raw: bool = False) -> None:
    """A section of keys and values; ``raw`` values are the room file's own words."""
    if entries:
        out.add(f"{section}:")
    for key, value in entries:
        out.add("  ", (scalar(key.text), key), ": ", (value.text if raw else scalar(value.text), value))


def _gear(out: SourcedText, gear: TableGear, rest: RestOfTable) -> None:
    name: Part = (scalar(gear.name), gear.at)
    only = next(iter(gear.ports.values())) if len(gear.ports) == 1 else None
    if only is not None and not only.own and gear.through is None and gear.own_names is None:
        out.add("  ", name, ": ", *_value(only, rest))
        return
    out.add("  ", name, ":")
    if gear.own_names is not None:
        out.add("    own names: ", ("yes", gear.own_names))
    if gear.through is not None:
        out.add("    through: ", gear.through)
    for port in gear.ports.values():
        out.add("    ", (scalar(port.own), port.at), ": ", *_value(port, rest))


def _value(port: TablePort, rest: RestOfTable) -> list[Part]:
    extra = rest.extra_ports.get(id(port))
    if extra is not None:
        return [extra]
    kind: Part = (port.kind, port.kind_at)
    if not port.figures:
        return [kind]
    parts: list[Part] = ["{is: ", kind]
    for column, (text, cell) in port.figures.items():
        plain = text if text and _PLAIN_FIGURES.issuperset(text) else scalar(text)
        parts += [", ", (f"{_KEYS[column]}: {plain}", cell)]
    return [*parts, "}"]


def _bays(
    out: SourcedText,
    jacks: list[JackRow],
    sides: dict[str, str],
    ports: TablePorts,
    rest: RestOfTable,
    normals: NormalsOfTable,
) -> None:
    bays: dict[str, dict[str, list[tuple[int, JackRow]]]] = {}
    for place, jack in enumerate(jacks):
        bays.setdefault(jack.bay, {}).setdefault(jack.row, []).append((place, jack))
    unused = dict(rest.bays)
    out.add("bays:")
    for bay, rows in bays.items():
        members = [jack for row in rows.values() for _, jack in row]
        first = members[0]
        out.add("  - bay: ", (scalar(bay), first.cells.get("bay", first.at)))
        where = next((jack.cells["place"] for jack in members if "place" in jack.cells), None)
        if where is not None:
            out.add("    place: ", (scalar(where.text), where))
        last = max(members, key=lambda jack: jack.number)
        out.add("    columns: ", (str(last.number), last.at))
        for key, value in unused.pop(normalized(bay), ()):
            out.add("    ", (scalar(key.text), key), ": ", (value.text, value))
        out.add("    rows:")
        for row in sorted(rows, key=lambda row: sides.get(row) == "bottom"):
            out.add("      ", (scalar(row), rows[row][0][1].at), ":")
            for place, jack in rows[row]:
                behind = ports.behind.get(place)
                if behind is not None:
                    cell = jack.cells.get("port", jack.cells.get("gear", jack.at))
                    out.add("        ", (str(jack.number), jack.at), ": ", (scalar(full_name(*behind)), cell))
        for which in JACK_TEXTS:
            said = [(jack, jack.cells[which]) for jack in members if which in jack.cells]
            if said:
                out.add(f"    {which}:")
            for jack, cell in said:
                out.add("      ", (scalar(jack.address), jack.at), ": ", (scalar(cell.text), cell))
        if bay in normals.pairs:
            out.add("    normals:")
            for normal in normals.pairs[bay]:
                out.add("      ", (f"{normal.top[1]}: {normal.kind}", normal.at))
    for entries in unused.values():
        key, _ = entries[0]
        out.add("  - bay: ", (scalar(key.text), key))  # a bay without jacks: the reader says what it lacks


def full_name(gear: TableGear, port: TablePort) -> str:
    """A port's full name, as the reader of room files makes it."""
    if gear.own_names is not None and port.own:
        return port.own
    return f"{gear.name} {port.own}" if len(gear.ports) > 1 else gear.name


def _address(where: Where) -> str:
    return scalar(f"{where[0]}{where[1]}")


__all__ = ["TableNormal", "write_sourced"]
