"""Every pair of a room: what is joined, the kind of its normal now, the kind advised and why; and what there is of each."""

from __future__ import annotations

from collections import Counter
from typing import Any, NamedTuple

from model.bench.jumpers import jumpers_a_normal
from model.bench.pairs import Pair, bay_of, pairs_of
from model.room.advice import Advice, advice, plug_words
from model.room.kinds import NO_NORMAL, NORMAL_KINDS
from model.room.wiring import Room

KINDS = (*NORMAL_KINDS, NO_NORMAL)


class Surveyed(NamedTuple):
    """A pair, and what is advised for it."""

    pair: Pair
    advice: Advice

    @property
    def departs(self) -> bool:
        """Whether the pair has another kind than the one advised."""
        return self.advice.departs(self.pair.kind)


class BayCount(NamedTuple):
    """What a bay has: normals by kind, and jumpers."""

    bay: str
    kinds: Counter[str]
    jumpers: int


def survey(room: Room) -> list[Surveyed]:
    """Every pair of the room; those that depart from the advice come first."""
    found = [Surveyed(pair, advice(room, (pair.top, pair.bottom))) for pair in pairs_of(room)]
    return sorted(found, key=lambda surveyed: not surveyed.departs)


def counts(room: Room) -> list[BayCount]:
    """What each bay has; a cross normal counts at the bay of its first jack."""
    kinds: dict[int, Counter[str]] = {bay.index: Counter() for bay in room.bays}
    for pair in pairs_of(room):
        kinds[bay_of(room, pair.top)][pair.kind] += 1
    return [
        BayCount(bay.name, own, jumpers_a_normal(bay) * (own.total() - own[NO_NORMAL]))
        for bay, own in zip(room.bays, kinds.values(), strict=True)
    ]


def marks_in_use(room: Room) -> dict[str, int]:
    """How many pairs bear each of the room's own marks."""
    kinds = Counter(pair.kind for pair in pairs_of(room))
    marks: Counter[str] = Counter()
    for kind, mark in room.marks.items():
        marks[mark] += kinds[kind]
    return dict(marks)


def wired_ends(surveyed: Surveyed) -> tuple[str | None, str | None]:
    """The names of the output and of the input that a pair joins, as far as they are known."""
    source, load = surveyed.advice.source, surveyed.advice.load
    return None if source is None else source.name, None if load is None else load.name


def as_json(room: Room, surveyed: Surveyed) -> dict[str, Any]:
    """The object of `normals --json` for one pair."""
    pair, advised = surveyed.pair, surveyed.advice
    source, load = wired_ends(surveyed)
    on_top, at_bottom = plug_words(room, (pair.top, pair.bottom), pair.kind if advised.kind is None else advised.kind)
    return {
        "top": room.jacks[pair.top].address,
        "bottom": room.jacks[pair.bottom].address,
        "source": source,
        "load": load,
        "now": pair.kind,
        "advised": advised.kind,
        "why": advised.why,
        "origin": advised.origin,
        "plug": {"top": on_top, "bottom": at_bottom},
        "departs": surveyed.departs,
    }
