"""The ports of a table of jacks: which gear they belong to, what kind they are, and what is stated of them."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

from model.bench.tables.table import FIGURE_COLUMNS
from model.bench.tables.table_faults import NOWHERE, Cell, Faults
from model.bench.tables.table_jacks import JackRow
from model.bench.tables.table_words import NOTHING, Odd, figure_text, guess_kind, split_name
from model.room.kinds import KINDS
from model.text.clean import quoted
from model.text.normalized import normalized


@dataclass
class TablePort:
    """One port: its name within its gear, and its kind and figures as the room file writes them, each with its cell."""

    own: str
    at: Cell
    kind: str = ""
    kind_at: Cell = NOWHERE
    guess: str = ""  # from what the kind was guessed
    figures: dict[str, tuple[str, Cell]] = field(default_factory=dict)


@dataclass
class TableGear:
    """One piece of gear and its ports, by normalized own name."""

    name: str
    at: Cell
    ports: dict[str, TablePort] = field(default_factory=dict)
    through: tuple[str, Cell] | None = None
    own_names: Cell | None = None  # where it is said that the ports bear their own names alone


class TablePorts:
    """The gear of a table, by normalized name, and the port behind each jack."""

    def __init__(self, faults: Faults) -> None:
        self.faults = faults
        self.gear: dict[str, TableGear] = {}
        self.behind: dict[int, tuple[TableGear, TablePort]] = {}  # by the jack's place in the table
        self._respelled: set[str] = set()

    def add_jacks(self, jacks: list[JackRow], sides: dict[str, str]) -> None:
        """The ports of all jacks."""
        names = [_names(jack) for jack in jacks]
        stems = _shared_stems(name for name in names if name is not None)
        todo: list[tuple[int, JackRow, str, str, Cell]] = []
        blank: dict[str, set[str]] = {}  # gear without a name of its port: which ways its jacks are
        for place, (jack, name) in enumerate(zip(jacks, names, strict=True)):
            if name is None:
                continue
            gear, own, cell = name
            if own is None:
                split = split_name(gear)
                if split is not None and normalized(split[0]) in stems:
                    gear, own = split
                    self.faults.guess(cell, f"{quoted(cell.text)} is port {quoted(own)} of gear {quoted(gear)}")
                else:
                    own = ""
            if not own:
                blank.setdefault(normalized(gear), set()).add(self._kind(jack, gear, "", sides)[0].rpartition(" ")[2])
            todo.append((place, jack, gear, own, cell))
        for place, jack, gear, own, cell in todo:
            kind, guess = self._kind(jack, gear, own, sides)
            if not own and len(blank[normalized(gear)]) > 1:
                own = KINDS[kind].way if kind in KINDS else ""
                self.faults.guess(
                    cell, f"gear {quoted(gear)} stands at jacks of both ways: this is its port {quoted(own)}"
                )
            self._add(place, jack, gear, own, cell, kind, guess)

    def _kind(self, jack: JackRow, gear: str, own: str, sides: dict[str, str]) -> tuple[str, str]:
        said = jack.text("kind of port")
        if said.lower() in KINDS:
            return said.lower(), ""
        guess = guess_kind(said, f"{own} {gear}", sides.get(jack.row, ""))
        return guess.kind, guess.why

    def _add(self, place: int, jack: JackRow, gear: str, own: str, cell: Cell, kind: str, guess: str) -> None:
        machine = self.gear.setdefault(normalized(gear), TableGear(gear, cell))
        if machine.name != gear and gear not in self._respelled:
            self._respelled.add(gear)
            self.faults.guess(cell, f"{quoted(machine.name)} is written in other letters here")
        own_cell = jack.cells.get("port", cell)
        kind_cell = jack.cells.get("kind of port", cell)
        known = machine.ports.get(normalized(own))
        if known is None:
            known = machine.ports[normalized(own)] = TablePort(own, own_cell, kind, kind_cell, guess)
            if guess:
                self.faults.guess(kind_cell, f"{_full(gear, own)} is {quoted(kind)}, from {guess}")
        elif known.kind != kind and not guess:
            if known.guess:
                known.kind, known.kind_at, known.guess = kind, kind_cell, ""
            else:
                where = f"row {known.at.row + 1}"
                self.faults.error(
                    kind_cell, f"{_full(gear, own)} is {quoted(kind)} here and {quoted(known.kind)} in {where}"
                )
        for column in FIGURE_COLUMNS.values():
            figure = jack.cells.get(column)
            if figure is not None:
                self._figure(known, column, figure, _full(gear, own))
        self.behind[place] = (machine, known)

    def _figure(self, port: TablePort, column: str, cell: Cell, name: str) -> None:
        try:
            text, made = figure_text(column, cell.text)
        except Odd as odd:
            self.faults.error(cell, str(odd))
            return
        if not text:
            return
        if made:
            self.faults.guess(cell, made)
        known = port.figures.setdefault(column, (text, cell))
        if known[0] != text:
            where = f"row {known[1].row + 1}"
            self.faults.error(cell, f"{column} of {name} is {quoted(text)} here and {quoted(known[0])} in {where}")


def _full(gear: str, own: str) -> str:
    return quoted(f"{gear} {own}".rstrip())


def _names(jack: JackRow) -> tuple[str, str | None, Cell] | None:
    """The gear and the port that a row names; the port is None where one cell names both together."""
    gear, port = jack.cells.get("gear"), jack.cells.get("port")
    gear = None if gear is None or gear.text.lower() in NOTHING else gear
    port = None if port is None or port.text.lower() in NOTHING else port
    if gear is not None:
        return gear.text, "" if port is None else port.text, gear
    return None if port is None else (port.text, None, port)


def _shared_stems(names: Iterable[tuple[str, str | None, Cell]]) -> set[str]:
    """What stands before the last word in two names or more, as 'Pre 4' does in 'Pre 4 in' and 'Pre 4 out'."""
    ends: dict[str, set[str]] = {}
    for gear, own, _ in names:
        split = split_name(gear) if own is None else None
        if split is not None:
            ends.setdefault(normalized(split[0]), set()).add(normalized(split[1]))
    return {stem for stem, owns in ends.items() if len(owns) > 1}
