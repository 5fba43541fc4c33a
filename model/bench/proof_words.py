"""What the paper of a proof says: what comes first, and how each part is walked."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby
from typing import NamedTuple

from model.bench.jumpers import BOTTOM, REST, TOP
from model.bench.methods import METER, METHODS
from model.bench.pairs import bay_of
from model.bench.proof import (
    LEFT_RIGHT,
    MULT,
    NEIGHBOURS,
    NORMAL,
    PHANTOM,
    TERMINATION,
    TIE,
    Trial,
    limit_words,
    minutes_of,
)
from model.room.wiring import Room
from model.text.listing import counted

# Common practice, no source.
BEFORE = (
    "Recorders stopped. Monitors and headphones down, and amplifiers off: thumps reach players' ears too.",
    "Phantom off, and half a minute for it to bleed down; on again for its own tests alone.",
    "By meter: all gear off. Digital lines by lock, never by ohmmeter. Loudspeakers at low level only.",
    "The dummy is an unwired plug: nothing else stands in the jacks.",
    "A plug opens the normal under test: feed in and read at the gear, or at the rear terminals.",
)
_WALK = {
    REST: "First walk: nothing plugged",
    TOP: "Second walk: the dummy along the top row",
    BOTTOM: "Third walk: the dummy along the bottom row",
}
_PARTS = {
    NEIGHBOURS: "Shorts to the next column",
    LEFT_RIGHT: "Left and right, by tone into the left",
    TIE: "Tie lines, end to end and by their names at both ends",
    MULT: "Mults, jack by jack",
    PHANTOM: "Phantom, each leg under load",
    TERMINATION: "Clock lines: one termination each",
}


class Row(NamedTuple):
    """Tests that are one row on paper: those of a pair's conductors."""

    first: int  # number of the first test
    trials: tuple[Trial, ...]

    @property
    def trial(self) -> Trial:
        """The first of them."""
        return self.trials[0]

    @property
    def numbers(self) -> str:
        """'7' or '7-8'."""
        last = self.first + len(self.trials) - 1
        return str(self.first) if last == self.first else f"{self.first}-{last}"


class Part(NamedTuple):
    """A part of the walk: its heading, how it is measured, and its rows."""

    head: str
    method: str
    rows: tuple[Row, ...]


def parts_of(room: Room, trials: Sequence[Trial]) -> list[Part]:
    """The proof as it is on paper: bay by bay its three walks, then what else is tested."""

    def part(numbered: tuple[int, Trial]) -> tuple[str, str, str]:
        trial = numbered[1]
        if trial.kind == NORMAL:
            return room.bays[bay_of(room, trial.top)].name, trial.state, METHODS[trial.method].words
        return trial.kind, REST, METHODS[trial.method].words

    def pair(numbered: tuple[int, Trial]) -> tuple[int, int, str]:
        trial = numbered[1]
        return trial.top, trial.bottom, trial.expected

    parts = []
    for (name, state, method), members in groupby(enumerate(trials, 1), part):
        rows = [Row(own[0][0], tuple(t for _, t in own)) for own in (list(g) for _, g in groupby(members, pair))]
        head = _PARTS.get(name) or f"{name}. {_WALK[state]}"
        parts.append(Part(head, method, tuple(rows)))
    return parts


def time_words(trials: Sequence[Trial]) -> str:
    """How many tests there are, and about how long they take."""
    minutes = round(minutes_of(trials))
    hours = f"{minutes // 60} h {minutes % 60:02} min" if minutes >= 60 else f"{max(minutes, 1)} min"
    return f"{counted(len(trials), 'test')}, about {hours}"


def expected_words(trial: Trial) -> str:
    """What is expected, and what that is on the instrument."""
    if trial.method == METER and trial.low is None:
        return trial.expected  # said once, in the heading
    limit = limit_words(trial)
    return f"{trial.expected}: {limit}" if limit else trial.expected


METER_WORDS = f"Closed: {METHODS[METER].closed}. Open: {METHODS[METER].open}."
