"""What joins the jacks of a table: the normals of its pairs, cross normals, tie lines and mults."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from typing import NamedTuple

from model.bench.tables.table_faults import Cell, Faults
from model.bench.tables.table_jacks import JackRow
from model.bench.tables.table_ports import TablePorts
from model.bench.tables.table_words import NORMAL_WORDS, NOTHING, SOME_NORMAL, guess_normal
from model.room.kinds import NO_NORMAL
from model.text.addresses import split_address
from model.text.clean import quoted
from model.text.normalized import normalized
from model.text.suggest import did_you_mean, listed, nearest

Where = tuple[str, int]  # a row's name and a column
_LENGTH = re.compile(r"(.*\S)\s*\(([\d.,eE+-]+)\s*m(?:\s+([a-z0-9 ]+))?\)")
_TIE_OR_MULT_ENDS = 2  # jacks of one name that are the ends of a tie line, where the column does not say which it is


class TableNormal(NamedTuple):
    """A normal as the table says it."""

    top: Where
    bottom: Where
    kind: str
    at: Cell


class TableTie(NamedTuple):
    """A tie line as the table says it."""

    name: str
    ends: tuple[JackRow, ...]
    metres: str
    kind: str
    at: Cell


class TableMult(NamedTuple):
    """A mult as the table says it."""

    name: str
    jacks: tuple[JackRow, ...]
    at: Cell


@dataclass
class NormalsOfTable:
    """The normals of pairs, by bay; those across; and of which the kind was guessed, and from what."""

    pairs: dict[str, list[TableNormal]] = field(default_factory=dict)
    cross: list[TableNormal] = field(default_factory=list)
    guessed: dict[tuple[Where, Where], str] = field(default_factory=dict)


class _Said(NamedTuple):
    """One normal as one row says it: which jack it goes to (None: the other of its pair), which way, and its kind."""

    other: JackRow | None
    way: str  # 'to', 'from', or '' where it is not said
    kind: str | None  # None where the row does not say which
    at: Cell


def joins_of(
    jacks: list[JackRow], ports: TablePorts, sides: dict[str, str], faults: Faults
) -> tuple[NormalsOfTable, list[TableTie], list[TableMult]]:
    """All that joins the jacks of a table; what cannot be is noted."""
    ties, mults = _ties_and_mults(jacks, faults)
    return _Normals(jacks, ports, sides, faults).read(), ties, mults


class _Normals:
    def __init__(self, jacks: list[JackRow], ports: TablePorts, sides: dict[str, str], faults: Faults) -> None:
        self.jacks = jacks
        self.ports = ports
        self.faults = faults
        self.sides = sides
        self.at = {normalized(jack.address): jack for jack in jacks}
        self.place = {id(jack): place for place, jack in enumerate(jacks)}
        rows: dict[str, list[str]] = {}
        for jack in jacks:
            if jack.row not in (known := rows.setdefault(jack.bay, [])):
                known.append(jack.row)
        for known in rows.values():
            known.sort(key=lambda row: sides.get(row) == "bottom")
        self.rows = rows
        self.found: dict[tuple[str, str], TableNormal] = {}  # by the normalized addresses, in order
        self.unsaid: set[tuple[str, str]] = set()  # of which no row says the kind yet

    def read(self) -> NormalsOfTable:
        """The normals of all jacks, each once."""
        for jack in self.jacks:
            for said in self._said(jack):
                self._add(jack, said)
        out = NormalsOfTable()
        for key, normal in self.found.items():
            if key in self.unsaid:
                behind = self.ports.behind.get(self.place[id(self.at[normalized(f"{normal.top[0]}{normal.top[1]}")])])
                guess = guess_normal(behind[1].kind if behind is not None else "")
                normal = normal._replace(kind=guess.kind)
                out.guessed[normal.top, normal.bottom] = guess.why
                ends = f"{normal.top[0]}{normal.top[1]} to {normal.bottom[0]}{normal.bottom[1]}"
                self.faults.guess(normal.at, f"the normal from {ends} is {quoted(guess.kind)}, from {guess.why}")
            if normal.kind == NO_NORMAL:
                continue
            top = self.at[normalized(f"{normal.top[0]}{normal.top[1]}")]
            if self._below(top) == normal.bottom:
                out.pairs.setdefault(top.bay, []).append(normal)
            else:
                out.cross.append(normal)
        return out

    def _below(self, jack: JackRow) -> Where | None:
        rows = self.rows[jack.bay]
        return (rows[1], jack.number) if len(rows) == 2 and jack.row == rows[0] else None

    def _pair(self, jack: JackRow) -> JackRow | None:
        """The other jack of a jack's pair."""
        rows = self.rows[jack.bay]
        if len(rows) != 2:
            return None
        other = rows[1] if jack.row == rows[0] else rows[0]
        return self.at.get(normalized(f"{other}{jack.number}"))

    def _said(self, jack: JackRow) -> list[_Said]:
        kinds_cell, partners_cell = jack.cells.get("normal"), jack.cells.get("partner")
        if kinds_cell is None and partners_cell is None:
            return []
        kinds = [part.strip() for part in kinds_cell.text.split(",")] if kinds_cell is not None else []
        partners = [part.strip() for part in partners_cell.text.split(",")] if partners_cell is not None else []
        partners = ["" if part.lower() in NOTHING else part for part in partners]
        count = max(len(kinds), len(partners))
        kinds += kinds[-1:] * (count - len(kinds)) if len(kinds) == 1 else [""] * (count - len(kinds))
        partners += [""] * (count - len(partners))
        found = []
        for kind_text, partner in zip(kinds, partners, strict=True):
            if not kind_text and not partner:
                continue
            kind = self._kind(kind_text, kinds_cell)
            end = self._end(partner, partners_cell) if partner and partners_cell is not None else (None, "")
            if kind == "" or end is None:
                continue
            at = kinds_cell if kinds_cell is not None else partners_cell
            if at is not None:
                found.append(_Said(end[0], end[1], kind, at))
        return found

    def _kind(self, text: str, cell: Cell | None) -> str | None:
        """A kind of normal; None where it is not said which, '' where it cannot be read."""
        low = text.lower()
        if cell is None or not text or low in SOME_NORMAL:
            return None
        kind = NORMAL_WORDS.get(low)
        if kind is None:
            known = sorted(set(NORMAL_WORDS.values()))
            meant = did_you_mean(nearest(text, known)) or f": the kinds are {listed(known)}"
            self.faults.error(cell, f"unknown kind of normal {quoted(text)}{meant}")
            return ""
        return kind

    def _end(self, text: str, cell: Cell) -> tuple[JackRow, str] | None:
        """The jack at the other end and which way the normal goes; None where there is no such jack."""
        way, _, address = text.rpartition(" ")
        way = way.lower() if way.lower() in ("to", "from") else ""
        address = (address if way else text).replace(" ", "")
        split = split_address(address)
        jack = self.at.get(normalized(f"{split[0]}{split[1]}" if split else address))
        if jack is None:
            meant = did_you_mean(nearest(address, [each.address for each in self.jacks]))
            self.faults.error(cell, f"the table has no jack {quoted(address)} for a normal to go to{meant}")
            return None
        return jack, way

    def _add(self, jack: JackRow, said: _Said) -> None:
        other = said.other if said.other is not None else self._pair(jack)
        if other is None:
            if said.kind not in (NO_NORMAL, None):
                self.faults.error(said.at, f"jack {jack.address} has no jack below or above it: say its partner")
            return
        top, bottom = (other, jack) if said.way == "from" else (jack, other)
        if not said.way and self._pair(jack) is other and self._below(jack) is None:
            top, bottom = other, jack
        one, two = normalized(top.address), normalized(bottom.address)
        known = self.found.get((one, two)) or self.found.get((two, one))
        key = (one, two) if known is None or (one, two) in self.found else (two, one)
        if known is None:
            self.found[key] = TableNormal(
                (top.row, top.number), (bottom.row, bottom.number), said.kind or NO_NORMAL, said.at
            )
            if said.kind is None:
                self.unsaid.add(key)
        elif said.kind is not None and key in self.unsaid:
            self.unsaid.discard(key)
            self.found[key] = known._replace(kind=said.kind, at=said.at)
        elif said.kind is not None and said.kind != known.kind:
            both = f"{quoted(said.kind)} here and {quoted(known.kind)} in row {known.at.row + 1}"
            self.faults.error(said.at, f"the normal between {top.address} and {bottom.address} is {both}")


def _ties_and_mults(jacks: list[JackRow], faults: Faults) -> tuple[list[TableTie], list[TableMult]]:
    # by column and name: jack, name, cell, metres and kind
    named: dict[tuple[str, str], list[tuple[JackRow, str, Cell, tuple[str, str]]]] = {}
    for jack in jacks:
        for column in ("tie", "mult", "tie or mult"):
            cell = jack.cells.get(column)
            for text in cell.text.split(",") if cell is not None else ():
                text = text.strip()
                if cell is None or not text or text.lower() in NOTHING:
                    continue
                found = _LENGTH.fullmatch(text) if column != "mult" else None
                name, said = (found[1], (found[2].replace(",", "."), found[3] or "")) if found else (text, ("", ""))
                named.setdefault((column, normalized(name)), []).append((jack, name, cell, said))
    ties: list[TableTie] = []
    mults: list[TableMult] = []
    for (column, key), members in named.items():
        ends = tuple(jack for jack, *_ in members)
        _, name, at, _ = members[0]
        is_tie = column == "tie" or (
            column == "tie or mult" and len(ends) <= _TIE_OR_MULT_ENDS and not key.startswith(("mult", "par"))
        )
        if column == "tie or mult":
            faults.guess(at, f"{quoted(name)} is a {'tie line' if is_tie else 'mult'}, from its {len(ends)} jacks")
        if not is_tie:
            mults.append(TableMult(name, ends, at))
        elif len(ends) != _TIE_OR_MULT_ENDS:
            where = listed([jack.address for jack in ends])
            faults.error(at, f"a tie line has two ends, and {quoted(name)} stands at {where}")
        else:
            metres, kind = next((each for *_, each in members if any(each)), ("", ""))
            ties.append(TableTie(name, ends, metres, kind, at))
    return ties, mults
