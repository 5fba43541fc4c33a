"""What stands below the jacks of a table: what no jack holds, by sections."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

from model.bench.tables.table_faults import NOWHERE, Cell, Faults, twice
from model.bench.tables.table_ports import TableGear, TablePort, TablePorts
from model.room.kinds import NO_NORMAL
from model.text.clean import quoted
from model.text.normalized import normalized
from model.text.ranges import RangeError, expand
from model.text.suggest import did_you_mean, listed, nearest

Entry = tuple[Cell, Cell, Cell, Cell]  # section, name, part, says


@dataclass
class RestOfTable:
    """What no jack holds; each key and each value with its cell."""

    room: Cell = NOWHERE
    bays: dict[str, list[tuple[Cell, Cell]]] = field(default_factory=dict)  # by normalized name: keys and values
    mics: list[tuple[Cell, Cell]] = field(default_factory=list)
    cords: list[tuple[Cell, Cell]] | None = None
    house_patch: list[Cell] = field(default_factory=list)
    marks: list[tuple[Cell, Cell]] = field(default_factory=list)
    priors: list[tuple[Cell, Cell]] = field(default_factory=list)
    accepted: list[tuple[Cell, Cell, Cell]] = field(default_factory=list)  # at, finding, because
    extra_ports: dict[int, tuple[str, Cell]] = field(default_factory=dict)  # by id of a port: its value as a whole


def read_rest(entries: list[Entry], ports: TablePorts, faults: Faults) -> RestOfTable:
    """The sections below the jacks; what cannot be read is noted."""
    rest = RestOfTable()
    order: list[str] = []
    # ports at no jack first: the rows of gear name them too
    for entry in sorted(entries, key=lambda entry: entry[0].text.lower() != "port"):
        section = entry[0]
        reader = _SECTIONS.get(section.text.lower())
        if reader is None:
            meant = did_you_mean(nearest(section.text, _SECTIONS)) or f": they are {listed(_SECTIONS)}"
            faults.error(section, f"unknown section {quoted(section.text)} below the jacks{meant}")
        else:
            reader(rest, entry, ports, faults)
            if section.text.lower() == "gear":
                order += map(normalized, _names(entry[1], Faults({})))
    for key in order:
        if key in ports.gear:
            ports.gear[key] = ports.gear.pop(key)  # to the end
    listed_gear = set(order)
    for key in [key for key in ports.gear if key not in listed_gear]:
        ports.gear[key] = ports.gear.pop(key)
    return rest


def _room(rest: RestOfTable, entry: Entry, ports: TablePorts, faults: Faults) -> None:
    if rest.room is not NOWHERE:
        faults.error(entry[3], twice("the room's name", rest.room))
    rest.room = entry[3]


def _bays(rest: RestOfTable, entry: Entry, ports: TablePorts, faults: Faults) -> None:
    rest.bays.setdefault(normalized(entry[1].text), []).append((entry[2], entry[3]))


def _gear(rest: RestOfTable, entry: Entry, ports: TablePorts, faults: Faults) -> None:
    """The order of a gear's ports, and what passes through it."""
    _, name, part, says = entry
    owns = [own.strip() for own in part.text.split(",")] if part.text else []
    for gear in _names(name, faults):
        known = ports.gear.get(normalized(gear))
        if known is None:
            meant = did_you_mean(nearest(gear, [each.name for each in ports.gear.values()]))
            faults.error(name, f"no jack has a port of gear {quoted(gear)}{meant}")
            continue
        for own in owns:
            if normalized(own) in known.ports:
                known.ports[normalized(own)] = known.ports.pop(normalized(own))  # to the end
        if known.through is not None:
            faults.error(says, twice(f"what passes through {quoted(gear)}", known.through[1]))
        elif says.text and says.text != "yes":
            known.through = says.text, says


def _own_names(rest: RestOfTable, entry: Entry, ports: TablePorts, faults: Faults) -> None:
    """Gear whose ports bear their own names alone."""
    for gear in _names(entry[1], faults):
        known = ports.gear.get(normalized(gear))
        if known is None:
            faults.error(entry[1], f"no jack has a port of gear {quoted(gear)}")
        elif entry[3].text.lower() == "yes":
            known.own_names = entry[3]


def _port(rest: RestOfTable, entry: Entry, ports: TablePorts, faults: Faults) -> None:
    _, name, part, says = entry
    gear = ports.gear.setdefault(normalized(name.text), TableGear(name.text, name))
    known = gear.ports.get(normalized(part.text))
    if known is not None:
        faults.error(part, twice(f"port {quoted(f'{name.text} {part.text}'.rstrip())}", known.at))
        return
    port = gear.ports[normalized(part.text)] = TablePort(part.text, part)
    rest.extra_ports[id(port)] = says.text, says


def _cords(rest: RestOfTable, entry: Entry, ports: TablePorts, faults: Faults) -> None:
    rest.cords = rest.cords or []
    if entry[1].text or entry[3].text.lower() != NO_NORMAL:
        rest.cords.append((entry[1], entry[3]))


def _in(which: str) -> Callable[[RestOfTable, Entry, TablePorts, Faults], None]:
    def add(rest: RestOfTable, entry: Entry, ports: TablePorts, faults: Faults) -> None:
        getattr(rest, which).append((entry[1], entry[3]))

    return add


def _house(rest: RestOfTable, entry: Entry, ports: TablePorts, faults: Faults) -> None:
    rest.house_patch.append(entry[3])


def _accepted(rest: RestOfTable, entry: Entry, ports: TablePorts, faults: Faults) -> None:
    rest.accepted.append(entry[1:])


_SECTIONS: dict[str, Callable[[RestOfTable, Entry, TablePorts, Faults], None]] = {
    "room": _room,
    "bays": _bays,
    "gear": _gear,
    "own names": _own_names,
    "port": _port,
    "mics": _in("mics"),
    "cords": _cords,
    "house patch": _house,
    "marks": _in("marks"),
    "priors": _in("priors"),
    "accepted": _accepted,
}


def _names(cell: Cell, faults: Faults) -> list[str]:
    try:
        return expand(cell.text)
    except RangeError as error:
        faults.error(cell, f"{quoted(cell.text)}: {error}")
        return []
