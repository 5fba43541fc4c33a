"""`undo 3`, `done 3`, `done all`: repetitions, each of which is an entry of its own in the record.

Whoever takes entries in carries them out one by one: it is data here.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from typing import NamedTuple, Protocol, TypeVar

from model.entry.answer import Answer
from model.live.told import CAUTION

MOST = 99
_REPEATED = re.compile(r"(undo|u|redo|done)\s+(\d{1,2}|all)", re.IGNORECASE | re.ASCII)
_ALL = ("done",)  # what can be repeated until nothing is left


class Repetition(NamedTuple):
    """An entry, and how often it is done; None: until nothing is left, or something is to be cautioned first."""

    entry: str
    times: int | None


class Came(Protocol):
    """What came of one entry."""

    @property
    def ok(self) -> bool:
        """Whether it was done."""

    @property
    def answer(self) -> Answer:
        """What is said of it, and of the step after it."""


C = TypeVar("C", bound=Came)


def repetition(text: str) -> Repetition | None:
    """The repetition that a text asks for; None where it is an entry like any other.

    >>> repetition("undo 3"), repetition("done all"), repetition("undo")
    (Repetition(entry='undo', times=3), Repetition(entry='done', times=None), None)
    """
    found = _REPEATED.fullmatch(text.strip())
    if found is None:
        return None
    entry, times = found[1].casefold(), found[2].casefold()
    if times == "all":
        return Repetition(entry, None) if entry in _ALL else None
    return Repetition(entry, int(times)) if int(times) else None


def carried_out(text: str, enter: Callable[[str], C], preview: Callable[[str], C]) -> Iterator[C]:
    """What comes of a typed text, entry by entry: of a repetition up to the first that is refused.

    One without a number halts where nothing is left, and before a step that has a caution: that has just been said then.
    """
    repeated = repetition(text)
    if repeated is None:
        yield enter(text)
        return
    for turn in range(MOST if repeated.times is None else repeated.times):
        if repeated.times is None and turn and not preview(repeated.entry).ok:
            return
        came = enter(repeated.entry)
        yield came
        if not came.ok or (repeated.times is None and any(told.kind == CAUTION for told in came.answer.said)):
            return
