"""Reading what was measured: the proof's table with its columns 'measured' and 'pass' filled in."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import NamedTuple

from model.bench.methods import CLOSED_OHM, OPEN_OHM
from model.bench.pairs import jacks_by_address
from model.bench.proof import CLOSED, OPEN, PHANTOM, TERMINATION, Trial
from model.paper.spreadsheet import NotATable, read_rows
from model.room.wiring import Room
from model.text.clean import quoted
from model.text.suggest import did_you_mean, listed, nearest

BAD_JOINT = "bad joint"
AS_EXPECTED, OTHERWISE = "as expected", "otherwise"
NEEDED = ("test", "state", "top", "bottom", "conductor")
MEASURED, PASS = "measured", "pass"

_WORDS = {
    word: said
    for said, words in {
        CLOSED: "closed,close,c,short,joined,lock,locks,locked,heard,sounds",
        OPEN: "open,o,ol,o.l.,o.l,inf,infinite,infinity,∞,no lock,not heard,silent,nothing",
        AS_EXPECTED: "as expected,ok,pass,passed,good,left alone,left,75 ohm",
        OTHERWISE: "wrong,bad,fail,failed,right,right alone,both,exchanged",
    }.items()
    for word in words.split(",")
}
_PASSED = {"yes": True, "y": True, "ok": True, "pass": True, "passed": True, "x": True, "✓": True, "1": True}
_PASSED |= {"no": False, "n": False, "fail": False, "failed": False, "0": False}
_NOT_MEASURED = frozenset(("", "-", "–", "—", "n/a"))
_FIGURE = re.compile(r"([<>~]?)\s*(\d+(?:[.,]\d+)?)\s*([kmM]?)\s*(ohms?|Ω|Ω|V|volts?)?", re.ASCII | re.IGNORECASE)
_SIZE = {"": 1.0, "k": 1e3, "m": 1e6, "M": 1e6}


class BadCell(NamedTuple):
    """What cannot be read, and where: row and column count from 1."""

    row: int
    column: int
    text: str

    def __str__(self) -> str:
        return f"row {self.row}, column {self.column}: {self.text}"


class BadResults(ValueError):
    """Results that cannot be read, with all that is wrong in them."""

    def __init__(self, path: str, problems: Sequence[BadCell]) -> None:
        super().__init__("\n".join(f"{path}: {problem}" for problem in problems))
        self.problems = tuple(problems)


class Reading(NamedTuple):
    """What one test showed: closed, open, a bad joint, as expected or otherwise; a figure; the jack where it was found."""

    row: int  # of the file
    said: str
    figure: float | None = None
    found_at: int | None = None


def read_results(data: bytes, path: str, room: Room, trials: Sequence[Trial]) -> dict[Trial, Reading]:
    """What was measured, test by test; tests without a result are not in it.

    Tests are known by their kind, state, jacks and conductor, whatever their numbers. Raises :class:`BadResults` with every
    row and column that cannot be read.
    """
    try:
        rows = read_rows(data)
    except NotATable as problem:
        raise BadResults(path, [BadCell(1, 1, str(problem))]) from None
    head, columns = _head(rows, path)
    known = _by_identity(room, trials)
    addresses = jacks_by_address(room)
    problems: list[BadCell] = []
    found: dict[Trial, Reading] = {}
    for number, row in enumerate(rows[head + 1 :], head + 2):
        if not any(row):
            continue
        cells = {name: row[at] if at < len(row) else "" for name, at in columns.items()}
        trial = known.get(tuple(cells[name].lower() for name in NEEDED))
        if trial is None:
            problems.append(_no_such_test(number, columns, cells, addresses))
            continue
        try:
            reading = _reading(number, cells, trial, addresses)
        except _Nonsense as nonsense:
            problems.append(BadCell(number, columns[nonsense.column] + 1, str(nonsense)))
            continue
        if reading is None:
            continue
        earlier = found.get(trial)
        if earlier is not None and earlier[1:] != reading[1:]:
            at = columns.get(MEASURED, columns.get(PASS, 0)) + 1
            problems.append(BadCell(number, at, f"row {earlier.row} says otherwise of the same test"))
            continue
        found[trial] = reading
    if problems:
        raise BadResults(path, problems)
    return found


def _head(rows: Sequence[Sequence[str]], path: str) -> tuple[int, dict[str, int]]:
    """The row of the headings, and the place of each column."""
    best: tuple[int, dict[str, int]] = (0, {})
    for number, row in enumerate(rows[:50]):
        names = [cell.lower() for cell in row]
        columns = {name: names.index(name) for name in (*NEEDED, MEASURED, PASS) if name in names}
        if len(columns) > len(best[1]):
            best = (number, columns)
    missing = [name for name in NEEDED if name not in best[1]]
    if MEASURED not in best[1] and PASS not in best[1]:
        missing.append(MEASURED)
    if missing:
        columns_words = "column" if len(missing) == 1 else "columns"
        text = (
            f"{columns_words} {listed(missing)} missing: the table is that of 'bayhand proof ROOM --as csv', filled in"
        )
        raise BadResults(path, [BadCell(best[0] + 1, 1, text)])
    return best


def _by_identity(room: Room, trials: Sequence[Trial]) -> dict[tuple[str, ...], Trial]:
    jacks = room.jacks
    return {
        (t.kind, t.state, jacks[t.top].address.lower(), jacks[t.bottom].address.lower(), t.conductor): t for t in trials
    }


def _no_such_test(number: int, columns: dict[str, int], cells: dict[str, str], addresses: dict[str, int]) -> BadCell:
    for name in ("top", "bottom"):
        if cells[name].lower() not in addresses:
            meant = did_you_mean([near.upper() for near in nearest(cells[name], addresses)])
            return BadCell(number, columns[name] + 1, f"the room has no jack {quoted(cells[name])}{meant}")
    said = ", ".join(cells[name] for name in NEEDED)
    return BadCell(number, columns["test"] + 1, f"the proof of this room has no such test: {quoted(said)}")


class _Nonsense(ValueError):
    """A cell that cannot be read; ``column`` is its heading."""

    def __init__(self, column: str, text: str) -> None:
        super().__init__(text)
        self.column = column


def _reading(row: int, cells: dict[str, str], trial: Trial, addresses: dict[str, int]) -> Reading | None:
    """What one row says was measured; None where nothing was."""
    measured, passed = cells.get(MEASURED, ""), cells.get(PASS, "")
    word = " ".join(measured.lower().split())
    if word not in _NOT_MEASURED:
        return _measured(row, measured, word, trial, addresses)
    if passed.lower() in _NOT_MEASURED:
        return None
    if passed.lower() not in _PASSED:
        raise _Nonsense(PASS, f"{quoted(passed)} is neither yes nor no")
    if _PASSED[passed.lower()]:
        return Reading(row, trial.expected if trial.expected in (CLOSED, OPEN) else AS_EXPECTED)
    return Reading(row, {CLOSED: OPEN, OPEN: CLOSED}.get(trial.expected, OTHERWISE))


def _measured(row: int, measured: str, word: str, trial: Trial, addresses: dict[str, int]) -> Reading:
    continuity = trial.expected in (CLOSED, OPEN)
    if word == trial.expected.lower():
        return Reading(row, trial.expected if continuity else AS_EXPECTED)
    if word in _WORDS and (_WORDS[word] in (CLOSED, OPEN)) == continuity:
        return Reading(row, _WORDS[word])
    if word in _WORDS and continuity:
        return Reading(row, trial.expected if _WORDS[word] == AS_EXPECTED else _other(trial))
    place = word.removeprefix("at ").removeprefix("found at ")
    if place in addresses and continuity:
        jack = addresses[place]
        return Reading(row, CLOSED if jack == trial.bottom else OPEN, found_at=jack)
    figure = _FIGURE.fullmatch(measured.strip())
    if figure is None:
        wanted = f"{CLOSED}, {OPEN} or a figure in ohm" if continuity else f"a figure such as {trial.expected}"
        near = nearest(word, _WORDS)
        raise _Nonsense(MEASURED, f"{quoted(measured)} is not {wanted}{did_you_mean(near)}")
    unit = (figure[4] or "").lower()
    if unit.startswith("v") != (trial.kind == PHANTOM) and unit:
        raise _Nonsense(MEASURED, f"{quoted(measured)} is in another unit: {trial.expected} is expected here")
    value = float(figure[2].replace(",", ".")) * _SIZE[figure[3]]
    if continuity:
        said = CLOSED if value < CLOSED_OHM else BAD_JOINT if value < OPEN_OHM else OPEN
        return Reading(row, said, value)
    assert trial.low is not None or trial.kind not in (PHANTOM, TERMINATION)
    if trial.low is None or trial.high is None:
        raise _Nonsense(MEASURED, f"{quoted(measured)} is no answer here: {trial.expected} is expected")
    return Reading(row, AS_EXPECTED if trial.low <= value <= trial.high else OTHERWISE, value)


def _other(trial: Trial) -> str:
    return OPEN if trial.expected == CLOSED else CLOSED
