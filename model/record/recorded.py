"""An entry as it stands in the record, and whether it can be trusted: by its checksum, and by what it says.

What cannot be is told in its place, by its number and its time, and the reading goes on behind it.
"""

from __future__ import annotations

import json
import time
from collections.abc import Callable, Sequence
from datetime import UTC, datetime
from typing import Any, NamedTuple

from model.record.checksum import chained
from model.signal.warning import SEVERITIES

ENTRY, REMARK, ROOM, UNKNOWN, DAMAGED = "entry", "remark", "room", "unknown", "damaged"
# ROOM: a remark from which on another room file holds; UNKNOWN: one from which the bay is not known until someone looks.
# DAMAGED is never written: it stands for what cannot be trusted, its words in `entry`.
KINDS = (ENTRY, REMARK, ROOM, UNKNOWN)
STEPS = ("", "act", "undo", "redo")
LATEST = 253_402_300_799_000  # milliseconds: the end of the year 9999, the last that a date can tell
COLUMNS = "id, at, seat, kind, typed, entry, step, sets, told, sum"


class Recorded(NamedTuple):
    """One entry of the record."""

    id: int  # from 1, in the order in which things were done; 0: not recorded yet
    at: int  # milliseconds since 1970-01-01 UTC
    seat: str
    kind: str
    typed: str
    entry: str  # the entry as it writes itself; a remark's words
    step: str = ""  # what it did to the steps that undo reaches: 'act', 'undo', 'redo', or nothing
    sets: str = "[]"  # JSON: what it set, as tables, keys, values before and after
    told: str = "[]"  # JSON: what was told of it
    sum: str = ""  # chained to all before it

    @property
    def values(self) -> tuple[object, ...]:
        """What its checksum is made of."""
        return self[1:-1]


class RecordedRoom(NamedTuple):
    """The room file in which the record's entries after ``since`` were typed."""

    since: int  # it holds for the entries after that one
    path: str
    name: str
    text: str


def now_ms() -> int:
    """The time as the record writes it."""
    return time.time_ns() // 1_000_000


def time_words(at: int) -> str:
    """A time of the record as the place where it is read tells it; 'no time' for one that is none."""
    if not 0 < at <= LATEST:
        return "no time"
    return f"{datetime.fromtimestamp(at / 1000, UTC).astimezone():%Y-%m-%d %H:%M}"


class Chain:
    """Entries taken one after the other, each held against the sum of the one before."""

    def __init__(self, last: int, sums: Sequence[str]) -> None:
        """``last``: the number before the first; ``sums``: what its sum may be, where two places tell it."""
        self.last = last
        self.at = 0  # the time of the last that could be trusted
        self.count = 0
        self.sum = sums[0]
        self._sums = tuple(dict.fromkeys(sums))

    def take(self, row: Sequence[Any]) -> list[Recorded]:
        """The next entry, in its place what is told of it where it cannot be trusted; and before it, what is missing there."""
        taken: list[Recorded] = []
        number, stored = row[0], row[-1]
        made = [chained(before, row[1:-1]) for before in self._sums]
        fits = stored in made
        after, self.last = self.last, number
        self.count += 1
        if not fits and number > after + 1:
            taken.append(damaged(after + 1, 0, f"{missing_words(after + 1, number - 1)}{self._since}"))
            fits = True  # with what came before it, the ground on which it could be judged has gone
        self.sum = str(stored)
        self._sums = (self.sum,) if fits else (self.sum, made[0])
        problem = nonsense_in(row) or ("" if fits else "it is not what was written")
        at = row[1] if _is_time(row[1]) else 0
        if problem:
            reads = f"; it reads: {row[4]}" if isinstance(row[4], str) and row[4].isprintable() and row[4] else ""
            taken.append(damaged(number, at, f"entry {number} ({time_words(at)}) is damaged: {problem}{reads}"))
        else:
            taken.append(Recorded(*row))
            self.at = at
        return taken

    @property
    def _since(self) -> str:
        return f" after {time_words(self.at)}" if self.at else ""


def damaged(number: int, at: int, words: str) -> Recorded:
    """What stands in the place of an entry that cannot be trusted, or is missing."""
    return Recorded(number, at, "", DAMAGED, "", words)


def missing_words(first: int, last: int) -> str:
    """That entries are missing, by their numbers."""
    return f"entry {first} is missing" if first == last else f"entries {first} to {last} are missing"


def nonsense_in(row: Sequence[Any]) -> str:
    """What no entry says, in a row of the record; empty where there is nothing of the kind."""
    _, at, *texts = row
    if not all(isinstance(text, str) for text in texts):
        return "it holds what is no text"
    _, kind, _, _, step, sets, told, _ = texts
    checks: tuple[tuple[str, Callable[[], bool]], ...] = (
        ("its time is none", lambda: _is_time(at)),
        ("its kind is none", lambda: kind in KINDS),
        ("its step is none", lambda: step in STEPS),
        ("what it set cannot be read", lambda: all(map(_is_set, _list(sets)))),
        ("what was told of it cannot be read", lambda: all(map(_is_told, _list(told)))),
    )
    return next((words for words, holds in checks if not holds()), "")


def _is_time(at: Any) -> bool:
    return type(at) is int and 0 <= at <= LATEST


def _list(text: str) -> list[Any]:
    """A list as JSON; one that holds nothing that can be right, where the text is none."""
    try:
        found = json.loads(text)
    except (ValueError, RecursionError):
        return [None]
    return found if isinstance(found, list) else [None]


def _is_set(plain: Any) -> bool:
    return isinstance(plain, list) and len(plain) == 4 and isinstance(plain[0], str) and isinstance(plain[1], str | int)


def _is_told(plain: Any) -> bool:
    return (
        isinstance(plain, dict)
        and all(isinstance(plain.get(key), str) for key in ("kind", "words"))
        and plain.get("severity", "") in ("", *SEVERITIES)
        and type(plain.get("indent", 0)) is int
        and 0 <= plain.get("indent", 0) <= 99
    )
