"""One reading of a room file: the errors found so far, and how to read a single value of each type."""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Iterator, Sequence
from collections.abc import Set as AbstractSet

from model.electric import dbu_from_dbv
from model.room.file.errors import FileError
from model.room.labels import first_not_typed, why_not_shown, why_not_typed
from model.text.clean import quoted, shown
from model.text.ranges import MOST, RangeError, count, expand, points
from model.text.slips import OPENING_OR_CLOSING, slip_at
from model.text.strictyaml import Items, Mark, Node, Table, Text, Tree
from model.text.suggest import did_you_mean, listed, nearest

MAX_NAMES = 6 * MOST  # names, points and jacks that all ranges of a file together may make
MAX_ERRORS = 10_000  # of more, only the number is told
# Numbers beyond these are slips; within them no formula leaves what a float can hold.
LARGEST, SMALLEST = 1e12, 1e-9
MAX_DBU = 200.0
SLOWEST_HZ, FASTEST_HZ = 8e3, 1e6  # frame rates beyond these are slips
_NUMBER = re.compile(r"[+-]?(\d+(\.\d*)?|\.\d+)([eE][+-]?\d+)?", re.ASCII)
_RATE = re.compile(rf"({_NUMBER.pattern})\s*(k?Hz)", re.ASCII)
_LEVEL = re.compile(rf"({_NUMBER.pattern})\s*([A-Za-z]+)", re.ASCII)
_DBU_FROM: dict[str, Callable[[float], float]] = {"dBu": float, "dBV": dbu_from_dbv}
_YES_NO = {"yes": True, "true": True, "no": False, "false": False}


class Said:
    """Something of the file, such as port 'Pre 4 in', that is put in words only where they are needed."""

    __slots__ = ("name", "noun", "part")

    def __init__(self, noun: str, name: str, part: str = "") -> None:
        self.noun = noun
        self.name = name
        self.part = part

    def __str__(self) -> str:
        return f"{self.noun} {quoted(f'{self.name} {self.part}' if self.part else self.name)}"


class Reading:
    """The errors of one file as they are found, and what may still be spent on it.

    The methods that read a value note an error and answer None (or nothing at all) where the value will not do.
    """

    def __init__(self, tree: Tree) -> None:
        self._text = tree.text
        self.whole = tree.whole  # where the text breaks off, nothing that seems missing is an error
        self.errors: list[FileError] = []
        self.untold = 0
        self._names_left = MAX_NAMES
        self._looks_left = 50_000  # at names that may have been meant
        for problem in tree.problems:
            self.error(problem.mark, problem.text)

    # Errors

    def error(self, mark: Mark, text: str) -> None:
        """Notes an error at a place."""
        if len(self.errors) < MAX_ERRORS:
            self.errors.append(FileError(mark.line + 1, mark.column + 1, shown(text)))
        else:
            self.untold += 1

    def missing(self, mark: Mark, text: str) -> None:
        """Notes that something is not in the file, unless the file breaks off before it could come."""
        if self.whole:
            self.error(mark, text)

    def all_errors(self) -> tuple[FileError, ...]:
        """The errors in the order of their places, each once; a slip of typing is named, at its own place."""
        lines = self._text.splitlines()
        told = sorted({_with_slip(error, lines) for error in self.errors})
        if self.untold:
            told.append(FileError(told[-1].line, told[-1].column, f"{self.untold} more errors are not listed"))
        return tuple(told)

    def meant(self, wanted: str, names: Collection[str]) -> str:
        """The end of a message: the names that were probably meant."""
        found = nearest(wanted, names, self._looks_left)
        self._looks_left -= min(len(names), self._looks_left)
        return did_you_mean(found)

    # Containers

    def table(self, node: Node, what: str, such_as: str) -> Table | None:
        """The node as a table; an empty one where nothing is written."""
        if isinstance(node, Table):
            return node
        if isinstance(node, Text) and not node.text:
            return Table(node.mark)
        if node is not None:
            self.error(node.mark, f"{what} must be a table such as {such_as}, not {_found(node)}")
        return None

    def items(self, node: Node, what: str, such_as: str) -> Sequence[Node]:
        """The members of a list; none where nothing is written."""
        if isinstance(node, Items):
            return node.nodes
        if node is not None and not (isinstance(node, Text) and not node.text):
            self.error(node.mark, f"{what} must be a list of lines such as '- {such_as}', not {_found(node)}")
        return ()

    def tables(self, node: Node, what: str, such_as: str, allowed: AbstractSet[str]) -> Iterator[Table]:
        """The members of a list of tables, each with allowed keys alone."""
        for member in self.items(node, f"'{what}'", such_as):
            if isinstance(member, Table):
                self.keys(member, allowed, f"in '{what}'")
                yield member
            elif member is not None:
                self.error(
                    member.mark, f"each line of '{what}' must be a table such as {such_as}, not {_found(member)}"
                )

    def keys(self, table: Table, allowed: AbstractSet[str], where: str, of: object = "") -> None:
        """Notes each key of the table that is not allowed."""
        if table.values.keys() <= allowed:
            return
        for key, mark in table.marks.items():
            if key not in allowed:
                known = self.meant(key, allowed) or f": the keys are {listed(sorted(allowed))}"
                self.error(mark, f"unknown key {quoted(key)} {where}{of}{known}")

    def required(self, table: Table, key: str, where: object) -> Node:
        """The value of a key that must be there."""
        if key not in table.marks:
            self.missing(table.mark, f"key '{key}' is missing in {where}")
            return None
        return table.values[key]

    # Single values

    # ``what`` is the value and ``of`` what it belongs to, an object that is put in words only where there is an error.

    def text(self, node: Node, what: str, of: object) -> Text | None:
        """The node as text that says something."""
        if isinstance(node, Text) and node.text:
            return node
        if node is not None:
            self.error(node.mark, f"{what} of {of} must be text, not {_found(node)}")
        return None

    def label(self, node: Node, what: str, of: object, *, typed: bool = False) -> str | None:
        """A label that is shown, and, where ``typed``, one that people must be able to type."""
        text = self.text(node, what, of)
        if text is None:
            return None
        reason = (why_not_typed if typed else why_not_shown)(text.text)
        if reason is not None:
            self.error(text.mark, f"{what} of {of} {quoted(text.text)}: {reason}")
            return None
        return text.text

    def names(self, template: str, mark: Mark, what: str) -> list[str]:
        """The names for which a name with ranges stands; notes the first that is not fit to be typed."""
        if not OPENING_OR_CLOSING.isdisjoint((template[0], template[-1])):
            self.error(mark, f"{what} {quoted(template)}: a name does not begin or end with a quote")
        names = self.expanded(template, mark, what)
        unfit = first_not_typed(names)
        if unfit is not None:
            self.error(mark, f"{what} {quoted(unfit[0])}: {unfit[1]}")
        return names

    def how_many(self, template: str) -> int | None:
        """How many names a name with ranges stands for, none of them made; None where it cannot be read."""
        try:
            return count(template)
        except RangeError:
            return None

    def expanded(self, template: str, mark: Mark, what: str) -> list[str]:
        """The names for which a name with ranges stands; none where it cannot be read."""
        if "{" not in template and "}" not in template:
            return [template]
        try:
            names = expand(template)
        except RangeError as error:
            self.error(mark, f"{what} {quoted(template)}: {error}")
            return []
        return names if self.spend(len(names), mark) else []

    def points(self, text: str, mark: Mark, most: int, row: str) -> Sequence[int]:
        """The points of a row that a range names; none where one lies past the bay's last."""
        if len(text) <= 6 and text.isdecimal() and 0 < int(text) <= most:  # no range, as on most lines of a long file
            return (int(text),)
        try:
            found = points(text)
        except RangeError as error:
            self.error(mark, f"columns {quoted(text)}: {error}")
            return ()
        if (found[-1] if isinstance(found, range) else max(found)) > most:
            self.error(mark, f"columns {quoted(text)}: {row} has {most} columns")
            return ()
        return found if self.spend(len(found), mark) else ()

    def spend(self, count: int, mark: Mark) -> bool:
        """Counts what a range makes; False, with an error, once all of the file's ranges together make too much."""
        if count > self._names_left >= 0:
            text = f"the ranges of this file together stand for more than {MAX_NAMES:,} names and jacks"
            self.error(mark, text)
        self._names_left -= count
        return self._names_left >= 0

    def number(self, node: Node, what: str, of: object, *, zero: bool = False) -> float | None:
        """A number above 0, or 0 too where ``zero`` says so, within what the formulas can work with."""
        text = self.text(node, what, of)
        if text is None:
            return None
        if _NUMBER.fullmatch(text.text) is None:
            self.error(
                text.mark, f"{what} of {of} must be a number such as {_as_number(text.text)}, not {quoted(text.text)}"
            )
            return None
        value = float(text.text)
        if value > LARGEST:
            self.error(text.mark, f"{what} of {of} {quoted(text.text)} is too large: at most {LARGEST:g}")
        elif 0 < value < SMALLEST:
            self.error(text.mark, f"{what} of {of} {quoted(text.text)} is too small: at least {SMALLEST:g}")
        elif value < 0 or (value == 0 and not zero):
            least = "0 or more" if zero else "more than 0"
            self.error(text.mark, f"{what} of {of} must be {least}, not {quoted(text.text)}")
        else:
            return value
        return None

    def whole_number(self, node: Node, what: str, of: object, most: int, *, zero: bool = False) -> int | None:
        """A whole number from 1, or 0 where ``zero`` says so, to ``most``."""
        text = self.text(node, what, of)
        if text is None:
            return None
        least = 0 if zero else 1
        digits = text.text
        if digits.isdigit() and digits.isascii() and len(digits) < 16 and least <= int(digits) <= most:
            return int(digits)
        self.error(text.mark, f"{what} of {of} must be a whole number from {least} to {most:,}, not {quoted(digits)}")
        return None

    def yes_no(self, node: Node, what: str, of: object) -> bool | None:
        """``yes`` or ``no``."""
        text = self.text(node, what, of)
        if text is None:
            return None
        value = _YES_NO.get(text.text.lower())
        if value is None:
            self.error(text.mark, f"{what} of {of} must be yes or no, not {quoted(text.text)}")
        return value

    def rate(self, node: Node, what: str, of: object) -> float | None:
        """A frame rate such as ``48 kHz`` or ``44100 Hz``, in Hz."""
        text = self.text(node, what, of)
        if text is None:
            return None
        found = _RATE.fullmatch(text.text)
        value = float(found[1]) * (1000.0 if found[found.lastindex or 0] == "kHz" else 1.0) if found else 0.0
        if not SLOWEST_HZ <= value <= FASTEST_HZ:
            such_as = "a frame rate such as 48 kHz or 44100 Hz"
            self.error(text.mark, f"{what} of {of} must be {such_as}, not {quoted(text.text)}")
            return None
        return value

    def level(self, node: Node, what: str, of: object) -> float | None:
        """A level such as ``+4 dBu`` or ``-10 dBV``, in dBu."""
        text = self.text(node, what, of)
        if text is None:
            return None
        found = _LEVEL.fullmatch(text.text)
        unit = found[found.lastindex or 0] if found else ""
        if found is None or unit not in _DBU_FROM:
            meant = did_you_mean([f"{found[1]} {u}" for u in _DBU_FROM]) if found else ""
            self.error(
                text.mark, f"{what} of {of} must be a level such as +4 dBu or -10 dBV, not {quoted(text.text)}{meant}"
            )
            return None
        value = _DBU_FROM[unit](float(found[1]))
        if not -MAX_DBU <= value <= MAX_DBU:
            self.error(text.mark, f"{what} of {of} {quoted(text.text)} is not a level that gear can have")
            return None
        return value


def _with_slip(error: FileError, lines: Sequence[str]) -> FileError:
    slip = slip_at(lines[error.line - 1], error.column - 1) if error.line <= len(lines) else None
    if slip is None or slip.words in error.text:
        return error
    return FileError(error.line, slip.column + 1, f"{error.text}: {slip.words}")


def _found(node: Node) -> str:
    """What stands there instead, in plain words."""
    if isinstance(node, Text):
        return quoted(node.text) if node.text else "nothing"
    return "a table" if isinstance(node, Table) else "a list"


def _as_number(text: str) -> str:
    """The number that was probably meant: without its unit, its k or M written out, a point for its comma."""
    found = re.match(r"([+-]?\d+(?:[.,]\d+)?)\s*([kM]?)", text.replace("_", ""), re.ASCII)
    if found is None or len(found[1]) > 12:
        return "48 or 0.5"
    value = float(found[1].replace(",", ".")) * {"": 1, "k": 1e3, "M": 1e6}[found[2]]
    return f"{value:.12g}"
