"""The rows of a table of jacks, one by one: which bay, row and column each is, and what its cells say."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, field

from model.bench.tables.table import REST_HEAD
from model.bench.tables.table_columns import Heading
from model.bench.tables.table_faults import Cell, Faults, twice
from model.bench.tables.table_words import SIDE_WORDS, is_date, spread
from model.text.clean import quoted
from model.text.normalized import normalized
from model.text.ranges import MOST, RangeError, points, stretch

Rows = Sequence[Sequence[str]]
_SPREAD = frozenset(
    ("gear", "port", "partner", "tie", "tie or mult", "strip", "cable")
)  # in these, 1-8 stands for several
_LOOSE_ADDRESS = re.compile(r"([^\W_](?:[\w-]*[A-Za-z])?)\s*[-./ ]?\s*0*([1-9]\d*)", re.ASCII)


@dataclass
class JackRow:
    """One jack of the table."""

    bay: str  # its name as it was first written
    row: str
    number: int
    side: str  # top, bottom, or '' where the table does not say
    at: Cell  # where its address stands
    cells: dict[str, Cell] = field(default_factory=dict)  # by column; cells that say nothing are not in it

    @property
    def address(self) -> str:
        """As the room file will have it."""
        return f"{self.row}{self.number}"

    def text(self, column: str) -> str:
        """What a column says of the jack."""
        cell = self.cells.get(column)
        return cell.text if cell is not None else ""


@dataclass
class TableRows:
    """What the rows of a table hold."""

    jacks: list[JackRow] = field(default_factory=list)
    titles: list[Cell] = field(default_factory=list)  # that stand before the heading
    rest: list[tuple[Cell, Cell, Cell, Cell]] = field(default_factory=list)  # section, name, part, says


def read_rows_of(rows: Rows, heading: Heading, faults: Faults) -> TableRows:
    """The jacks, the titles and the rest of a table; what cannot be read is noted."""
    return _Reader(heading, faults).read(rows)


class _Reader:
    def __init__(self, heading: Heading, faults: Faults) -> None:
        self.heading = heading
        self.faults = faults
        self.found = TableRows()
        self.bay = ""
        self.titled = ""  # the bay that a title among the rows names
        self.names: dict[str, str] = {}  # bays and rows as they were first written, by normalized name
        self.row = ""  # the last that a row's cell named
        self.blocks: dict[
            str, tuple[str, str, int]
        ] = {}  # by bay: the row that is being numbered, its side, its last number
        self.at: dict[str, Cell] = {}  # by normalized address
        self.made: dict[str, str] = {}  # rows that were named here, each with its bay

    def read(self, rows: Rows) -> TableRows:
        """All rows of the table."""
        head = self.heading
        for number, row in enumerate(rows[: head.row]):
            texts = [(place, cell) for place, cell in enumerate(row) if cell]
            if len({cell for _, cell in texts}) == 1:
                self.found.titles.append(Cell(_tidy(texts[0][1]), number, texts[0][0]))
            elif texts:
                self.faults.guess(Cell("", number), "this row stands before the heading and is not read")
        if len(self.found.titles) > 1:  # the last before the heading is about what stands below it
            self.titled = self.found.titles.pop().text
        for number in range(head.row + 1, len(rows)):
            cells = {place: cell for place, cell in enumerate(rows[number]) if cell}
            if not cells:
                continue
            if tuple(cell.lower() for cell in rows[number][: len(REST_HEAD)]) == REST_HEAD:
                self._rest(rows, number + 1)
                break
            self._one(number, cells)
        return self.found

    def _rest(self, rows: Rows, start: int) -> None:
        for number in range(start, len(rows)):
            row = [_tidy(cell) for cell in rows[number]]
            if any(row):
                row += [""] * (len(REST_HEAD) - len(row))
                section, name, part, says = (Cell(row[place], number, place) for place in range(len(REST_HEAD)))
                self.found.rest.append((section, name, part, says))

    def _one(self, number: int, cells: dict[int, str]) -> None:
        """One row that says something."""
        head = self.heading
        known = {
            column: Cell(_tidy(cells[place]), number, place) for column, place in head.columns.items() if place in cells
        }
        if sum(cell.lower() == head.headings.get(place, "").lower() for place, cell in cells.items()) > 1:
            return  # the heading once more, as on each printed page
        if len(set(cells.values())) == 1 and not self._is_place_alone(known):
            place, text = next(iter(cells.items()))
            self.titled = _tidy(text)
            self.faults.guess(Cell(text, number, place), f"{quoted(self.titled)} alone in its row is a title")
            return
        self._jack(number, known)

    @staticmethod
    def _is_place_alone(known: dict[str, Cell]) -> bool:
        """Whether a row of one cell is a jack to which nothing is wired."""
        if "address" in known:
            text = known["address"].text.replace(" ", "")
            return stretch(text) is not None and text[-1:].isdigit()
        if "number" not in known:
            return False
        text = known["number"].text
        # under 'jack no.' an address may stand too; with a space in it, such as 'Bay 2', it is a title
        return text[:1].isdigit() or (" " not in text and stretch(text) is not None and text[-1:].isdigit())

    def _jack(self, number: int, known: dict[str, Cell]) -> None:
        whole = Cell("", number)
        bay = self._bay(known)
        side = self._side(known)
        where = known.get("address") or known.get("number")
        if where is None:
            columns = [name for name in ("address", "number") if self.heading.has(name)]
            self.faults.error(
                whole, f"this row says something of a jack and not of which: {' and '.join(columns)} is empty"
            )
            return
        if is_date(where.text):
            meant = "a range such as 1-8, or an address: write it as text, with an apostrophe before it"
            self.faults.error(where, f"{quoted(where.text)} looks like the date that a spreadsheet makes of {meant}")
            return
        placed = self._placed(known, where, bay, side)
        if placed is None:
            return
        row, numbers = placed
        count = len(numbers)
        if count > MOST or len(self.found.jacks) + count > MOST:
            self.faults.error(where, f"with it the table has more than {MOST:,} jacks")
            return
        if count == 1:
            self._add(JackRow(bay, row, numbers[0], side, where, known))
            return
        said: dict[str, list[str]] = {}
        for column, cell in known.items():
            texts = spread(cell.text, count) if column in _SPREAD else [cell.text] * count
            if texts is None:
                self.faults.error(
                    cell, f"{quoted(cell.text)} is said of {count} jacks and does not stand for {count} names"
                )
                continue
            if column in ("gear", "port") and len(set(texts)) == 1 and self._needs_numbers(known, column, count):
                texts = [f"{cell.text} {step}" for step in range(1, count + 1)]
                several = f"{quoted(texts[0])} to {quoted(texts[-1])}"
                self.faults.guess(cell, f"{quoted(cell.text)} behind {count} jacks is {several}")
            said[column] = texts
        for step, point in enumerate(numbers):
            jack = JackRow(bay, row, point, side, where)
            jack.cells = {c: known[c]._replace(text=texts[step]) for c, texts in said.items() if texts[step]}
            self._add(jack)

    def _add(self, jack: JackRow) -> None:
        key = normalized(jack.address)
        if key in self.at:
            self.faults.error(jack.at, twice(f"jack {jack.address}", self.at[key]._replace(text="")))
        else:
            self.at[key] = jack.at
            self.found.jacks.append(jack)

    def _needs_numbers(self, known: dict[str, Cell], column: str, count: int) -> bool:
        """Whether one name for several jacks must be numbered: the gear's, unless the port's name tells them apart."""
        others = [spread(known[each].text, count) for each in ("gear", "port") if each in known and each != column]
        if any(texts is not None and len(set(texts)) > 1 for texts in others):
            return False
        return column == "gear" or "gear" not in known

    def _bay(self, known: dict[str, Cell]) -> str:
        cell = known.get("bay")
        text = cell.text if cell is not None else ""
        if text:
            self.titled = ""
        elif self.titled:
            text = self.titled
        else:
            return self.bay  # merged down, or no column at all
        self.bay = self.names.setdefault(f"bay {normalized(text)}", text)
        return self.bay

    def _side(self, known: dict[str, Cell]) -> str:
        cell = known.get("side")
        if cell is None:
            return ""
        side = SIDE_WORDS.get(cell.text.lower().removesuffix(" row"), "")
        if not side:
            self.faults.error(cell, f"a side is top or bottom, not {quoted(cell.text)}")
        return side

    def _placed(self, known: dict[str, Cell], where: Cell, bay: str, side: str) -> tuple[str, Sequence[int]] | None:
        """The row's name and the columns of the jacks that a row of the table is about."""
        text = where.text
        named = known.get("row")
        if named is not None:
            self.row = self._spelled(named.text)
        if not text[:1].isdigit() or not re.fullmatch(r"[\d\s,\u2013-]+", text):
            place = stretch(text.replace(" ", "").replace("\u2013", "-"))
            if place is None:
                loose = _LOOSE_ADDRESS.fullmatch(text)
                if loose is None:
                    such = "a jack's address is such as A5, or A1-8 for several side by side"
                    self.faults.error(where, f"{quoted(text)} is no address: {such}")
                    return None
                row = self._spelled(loose[1])
                self.faults.guess(where, f"{quoted(text)} is {row}{int(loose[2])}")
                return row, (int(loose[2]),)
            if not 1 <= place.first <= place.last or place.last > MOST:
                self.faults.error(where, f"{quoted(text)}: columns are counted from 1, and a range runs upwards")
                return None
            return self._spelled(place.row), range(place.first, place.last + 1)
        try:
            numbers = points(text.replace("\u2013", "-"))
        except RangeError as error:
            self.faults.error(where, f"{quoted(text)}: {error}")
            return None
        if self.heading.has("row"):
            if not self.row:
                self.faults.error(where, f"the row of jack {quoted(text)} is not said")
                return None
            return self.row, numbers
        return self._row_of(bay, side, numbers[0], numbers[-1], where), numbers

    def _row_of(self, bay: str, side: str, first: int, last: int, where: Cell) -> str:
        """The name of the row of a jack that has a number alone: by its side, or where the numbers begin again."""
        key = f"{bay}\0{side}" if side else bay
        row, _, latest = self.blocks.get(key, ("", "", 0))
        if not row or (not side and first <= latest):
            row = next(name for name in _row_names() if name not in self.made)
            self.made[row] = bay
            on = f", the {side} row" if side else ""
            self.faults.guess(where, f"the row is named {row}: the jack has a number alone{on}")
        self.blocks[key] = (row, side, last)
        return row

    def _spelled(self, row: str) -> str:
        return self.names.setdefault(f"row {normalized(row)}", row)


def _row_names() -> Sequence[str]:
    one = [chr(ord("A") + letter) for letter in range(26)]
    return [*one, *(a + b for a in one for b in one), *(a + b + c for a in one for b in one for c in one)]


def _tidy(text: str) -> str:
    """White space of any kind, and as much of it as there is, is one space."""
    return " ".join(text.split())


def sides_of(jacks: Sequence[JackRow], faults: Faults) -> dict[str, str]:
    """By a row's name, its side; '' where the table does not say. Notes a row that is on both."""
    sides: dict[str, str] = {}
    for jack in jacks:
        known = sides.setdefault(jack.row, jack.side)
        if jack.side and known and known != jack.side:
            faults.error(jack.at, f"jack {jack.address} is at the {jack.side}, and its row was at the {known} before")
        elif jack.side:
            sides[jack.row] = jack.side
    return sides
