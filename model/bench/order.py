"""The work order at the back of the rack: which jumper ends change, bay by bay, in the order of the hand."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

from model.bench.jumpers import Jumpers, count_jumpers, ends_moved
from model.bench.meetings import AtRest, edits_of
from model.bench.pairs import Changed, Jacks, bay_of, changed_pairs, columns, gone_addresses, kinds_of
from model.room.kinds import NO_NORMAL
from model.room.wiring import Room

TAKE_OUT, MOVE, SET, CHANGE = "take out", "move", "set", "change"
FIXED = "fixed"


class NothingInCommon(ValueError):
    """Two rooms that share no jack: no order leads from one to the other."""


@dataclass(frozen=True)
class Step:
    """One pair that is changed. ``part`` is the pass in which that is done."""

    part: str
    pair: Changed


@dataclass(frozen=True)
class BayOrder:
    """What is done at one bay before the hand goes on. A bay comes twice where another must be opened in between."""

    bay: int
    steps: tuple[Step, ...]
    jumpers: Jumpers


@dataclass(frozen=True)
class Order:
    """The way from the old wiring to the new one; jacks and bays are those of the new room."""

    old: Room
    new: Room
    bays: tuple[BayOrder, ...]
    jumpers: Jumpers  # of all bays
    retest: tuple[Jacks, ...]  # what was changed, and its neighbours
    refused: tuple[Changed, ...]  # in bays whose normals are fixed
    gone: tuple[str, ...]  # addresses of the old room that the new one has not

    @cached_property
    def normals_of_bay(self) -> Counter[int]:
        """How many normals start in each bay of the new room."""
        return Counter(bay_of(self.new, top) for top, _ in kinds_of(self.new))

    @property
    def steps(self) -> list[Step]:
        """All steps, in the order of the hand."""
        return [step for bay in self.bays for step in bay.steps]


def first_wiring(room: Room) -> Room:
    """The same room before any normal is set."""
    return replace(room, normals=())


def make_order(old: Room, new: Room) -> Order:
    """The order that makes the old room's normals the new one's. Raises :class:`NothingInCommon`."""
    gone = gone_addresses(old, new)
    if len(gone) == len(old.jacks):
        raise NothingInCommon(
            f"{old.name} and {new.name} have no jack in common: there is no way from one to the other"
        )
    changes = changed_pairs(old, new)
    refused = tuple(change for change in changes if new.bays[bay_of(new, change.top)].normalled_by == FIXED)
    todo = [change for change in changes if new.bays[bay_of(new, change.top)].normalled_by != FIXED]
    bays = tuple(_pages(new, todo, refused))
    return Order(
        old,
        new,
        bays,
        _jumpers(new, todo),
        tuple(touched(new, todo)),
        refused,
        tuple(gone),
    )


def _jumpers(room: Room, changes: Iterable[Changed]) -> Jumpers:
    return count_jumpers((room.bays[bay_of(room, change.top)], change.now, change.then) for change in changes)


def _pages(room: Room, changes: Sequence[Changed], refused: Sequence[Changed]) -> Iterator[BayOrder]:
    """The bays in an order, and with passes, in which no state between lets anything meet that must not.

    A bay is done in one pass where that is safe as things stand, in three where only that is; what is left is opened at all
    its bays before anything is set: from there on every state is part of the new one.
    """
    after = set(kinds_of(room))
    before = after - {(change.top, change.bottom) for change in (*changes, *refused)}
    before |= {(change.top, change.bottom) for change in (*changes, *refused) if change.now != NO_NORMAL}
    rest = AtRest(room, before, after)
    left: dict[int, list[Changed]] = {}
    for change in changes:
        left.setdefault(bay_of(room, change.top), []).append(change)
    while (found := _next_safe(room, rest, left)) is not None:
        bay, steps = found
        yield BayOrder(bay, tuple(steps), _jumpers(room, left.pop(bay)))
    for parts in ((TAKE_OUT,), (MOVE, SET)):
        for bay, own in left.items():
            steps = [step for step in _in_three_passes(room, bay, own) if step.part in parts]
            if steps:
                yield BayOrder(bay, tuple(steps), _jumpers(room, (step.pair for step in steps)))


def _next_safe(room: Room, rest: AtRest, left: dict[int, list[Changed]]) -> tuple[int, list[Step]] | None:
    """The first bay that can be done now, in one pass sooner than in three; its steps are done in ``rest``."""
    for plan in (_in_one_pass, _in_three_passes):
        for bay, own in left.items():
            steps = plan(room, bay, own)
            if rest.apply(edits_of(step.pair for step in steps)):
                return bay, steps
    return None


def _in_one_pass(room: Room, bay: int, changes: Sequence[Changed]) -> list[Step]:
    pairs, crosses = _by_hand(room, bay, changes)
    return [Step(CHANGE, change) for change in (*pairs, *crosses)]


def _in_three_passes(room: Room, bay: int, changes: Sequence[Changed]) -> list[Step]:
    return [
        Step(part, change)
        for group in _by_hand(room, bay, changes)
        for part in (TAKE_OUT, MOVE, SET)
        for change in group
        if _part(change) == part
    ]


def _part(change: Changed) -> str:
    return TAKE_OUT if change.then == NO_NORMAL else SET if change.now == NO_NORMAL else MOVE


def _by_hand(room: Room, bay: int, changes: Sequence[Changed]) -> tuple[list[Changed], list[Changed]]:
    """The pairs of columns, then the cross normals, from the hand's left to its right.

    Seen from the rear a bay is mirrored: the highest column is at the left.
    """
    rear = room.bays[bay].reached_from == "rear"
    pairs = sorted((c for c in changes if c.column is not None), key=lambda c: c.column or 0, reverse=rear)
    crosses = sorted((c for c in changes if c.column is None), key=lambda c: room.jacks[c.top].point, reverse=rear)
    return pairs, crosses


def touched(room: Room, changes: Sequence[Changed]) -> list[Jacks]:
    """The pairs to be tested again: those changed, and the columns beside each of their jacks."""
    crosses: list[Jacks] = []
    by_bay: dict[int, set[int]] = {}
    for change in changes:
        if change.column is None:
            crosses.append((change.top, change.bottom))
        for jack in (change.top, change.bottom):
            near = by_bay.setdefault(bay_of(room, jack), set())
            near.update(range(room.jacks[jack].point - 1, room.jacks[jack].point + 2))
    known = set(kinds_of(room)).union((change.top, change.bottom) for change in changes)
    beside = [
        jacks for bay in sorted(by_bay) for column, jacks in enumerate(columns(room, bay), 1) if column in by_bay[bay]
    ]
    return [jacks for jacks in beside if jacks in known] + sorted(crosses)


def as_json(order: Order) -> dict[str, Any]:
    """The object of `order --json`."""
    new = order.new

    def address(jack: int) -> str:
        return new.jacks[jack].address

    def step_json(step: Step) -> dict[str, Any]:
        pair = step.pair
        return {
            "part": step.part,
            "column": pair.column,
            "top": address(pair.top),
            "bottom": address(pair.bottom),
            "now": pair.now,
            "then": pair.then,
            "ends": [
                {"jack": address(pair.top if end.on_top else pair.bottom), "was": end.was, "becomes": end.becomes}
                for end in ends_moved(pair.now, pair.then)
            ],
            "marks": {"was": order.old.marks.get(pair.now), "becomes": new.marks.get(pair.then)},
        }

    return {
        "bays": [
            {
                "bay": new.bays[page.bay].name,
                "steps": [step_json(step) for step in page.steps],
                "jumpers": page.jumpers.as_json(),
            }
            for page in order.bays
        ],
        "jumpers": order.jumpers.as_json(),
        "retest": [[address(top), address(bottom)] for top, bottom in order.retest],
        "refused": [
            {"top": address(pair.top), "bottom": address(pair.bottom), "now": pair.now, "then": pair.then}
            for pair in order.refused
        ],
        "gone": list(order.gone),
    }
