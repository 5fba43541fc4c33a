"""What a normal is at the back: which contacts of its two jacks its jumpers join, and what moves from kind to kind.

Each conductor of each jack has a line contact and a normal contact (common practice; it follows from which plug breaks
which kind). A jumper end sits on one of them, or on none.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

from model.room.kinds import NO_NORMAL, NORMAL_KINDS
from model.room.wiring import Bay

LINE, NORMAL = "line", "normal"

# What may be plugged while a pair is tested or used: nothing, a plug on top, a plug at the bottom.
REST, TOP, BOTTOM = "both empty", "plug on top", "plug at the bottom"
STATES = (REST, TOP, BOTTOM)


class Joined(NamedTuple):
    """The contacts that a kind joins: one of the top jack, one of the bottom jack; None where there is no normal."""

    top: str | None
    bottom: str | None


class End(NamedTuple):
    """An end of a pair's jumpers that changes: the contact that it sits on before and after, None for none."""

    on_top: bool  # of the pair's two jacks
    was: str | None
    becomes: str | None


class Jumpers(NamedTuple):
    """How many jumpers come out and go in; what is left over afterwards, and what must be brought."""

    out: int = 0
    into: int = 0

    @property
    def left(self) -> int:
        """Jumpers left over."""
        return max(0, self.out - self.into)

    @property
    def bring(self) -> int:
        """Jumpers to bring."""
        return max(0, self.into - self.out)

    def as_json(self) -> dict[str, int]:
        """As `order --json` prints them."""
        return {"out": self.out, "in": self.into, "left": self.left, "bring": self.bring}


def joined_contacts(kind: str) -> Joined:
    """The contacts that a kind of normal joins.

    >>> joined_contacts("half")
    Joined(top='line', bottom='normal')
    """
    if kind == NO_NORMAL:
        return Joined(None, None)
    normal = NORMAL_KINDS[kind]
    return Joined(NORMAL if normal.top_at_normal else LINE, NORMAL if normal.bottom_at_normal else LINE)


def ends_moved(now: str, then: str) -> tuple[End, ...]:
    """The ends of a pair's jumpers that change from kind to kind; an end that stays is not among them.

    >>> ends_moved("half", "full")
    (End(on_top=True, was='line', becomes='normal'),)
    """
    was, becomes = joined_contacts(now), joined_contacts(then)
    ends = (End(True, was.top, becomes.top), End(False, was.bottom, becomes.bottom))
    return tuple(end for end in ends if end.was != end.becomes)


def closed(kind: str, state: str) -> bool:
    """Whether a normal joins its pair in one of the three states: a plug opens it where it sits on that normal contact."""
    joined = joined_contacts(kind)
    return joined.top is not None and not (
        (state == TOP and joined.top == NORMAL) or (state == BOTTOM and joined.bottom == NORMAL)
    )


# The kind by what the three states show; 'none' is also what a dead contact or jumper shows.
KIND_OF_PATTERN = {tuple(closed(kind, state) for state in STATES): kind for kind in (*NORMAL_KINDS, NO_NORMAL)}


def conductors(bay: Bay) -> int:
    """How many conductors each of a bay's normals has: tip and ring, and the sleeve where it is carried."""
    return 3 if bay.sleeve == "carried" else 2


def jumpers_a_normal(bay: Bay) -> int:
    """How many jumpers one of a bay's normals takes; none where its normals are switches, or fixed."""
    if bay.normalled_by not in ("jumpers", "solder"):
        return 0
    return -(-conductors(bay) // bay.jumper_carries)


def count_jumpers(changes: Iterable[tuple[Bay, str, str]]) -> Jumpers:
    """The jumpers that changes need and free: for each the bay, the kind now and the kind then."""
    out = into = 0
    for bay, now, then in changes:
        if now == NO_NORMAL != then:
            into += jumpers_a_normal(bay)
        elif then == NO_NORMAL != now:
            out += jumpers_a_normal(bay)
    return Jumpers(out, into)
