"""The entries that change wiring on paper: `normal LIST KIND` and `cross JACK > JACK KIND`."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import NamedTuple

from model.bay.refusals import Malformed, NotNow, Refusal
from model.bench.order import FIXED
from model.bench.pairs import Jacks, bay_of, column_of
from model.language.names import OUT, Names
from model.room.kinds import NO_NORMAL, NORMAL_KINDS
from model.room.wiring import Room
from model.text.listing import counted
from model.text.ranges import stretch
from model.text.suggest import did_you_mean, listed, nearest

KINDS = (*NORMAL_KINDS, NO_NORMAL)
NORMAL, CROSS = "normal", "cross"
_USAGE = {NORMAL: "normal C1-16 half, or normal C5 none", CROSS: "cross A9 > B11 half, or cross A9 to B11 half"}
_BETWEEN = re.compile(r"\s*(?:->|>|\bto\b)\s*", re.IGNORECASE)
_NUMBERS = re.compile(r"(\d+)(?:\s*-\s*(\d+))?", re.ASCII)
_RUN_OF_NAMES = re.compile(r"(.*?)(\d+)\s*-\s*(\d+)(.*)", re.ASCII | re.DOTALL)
MAX_NAMES = 10_000


class Wanted(NamedTuple):
    """A normal as an entry wants it."""

    jacks: Jacks
    kind: str


def is_plan_entry(typed: str) -> bool:
    """Whether an entry begins as one that changes wiring does."""
    words = typed.split()
    return bool(words) and words[0].casefold() in _USAGE


def read_plan_entry(typed: str, names: Names) -> list[Wanted]:
    """The normals that an entry wants. Raises a :class:`~model.bay.refusals.Refusal` that says why it cannot be read."""
    command, _, rest = typed.strip().partition(" ")
    command = command.casefold()
    jacks_text, kind = _split_kind(rest, command)
    wanted = (_normals if command == NORMAL else _crosses)(jacks_text, kind, names)
    for jacks, _ in wanted:
        bay = names.room.bays[bay_of(names.room, jacks[0])]
        if bay.normalled_by == FIXED:
            raise NotNow(f"the normals of {bay.name} are fixed, says its 'normalled by': they cannot be changed", typed)
    return wanted


def _split_kind(text: str, command: str) -> tuple[str, str]:
    """An entry's jacks and the kind at its end."""
    words = text.split()
    for count in (2, 1):
        kind = " ".join(words[-count:]).casefold()
        if kind in KINDS and len(words) > count:
            return " ".join(words[:-count]), kind
    if not words:
        raise Malformed(f"say which and what: {_USAGE[command]}", text)
    known = nearest(words[-1].casefold(), KINDS)
    meant = did_you_mean(known) or f": the kinds are {listed(KINDS)}, such as {_USAGE[command]}"
    raise Malformed(f"the kind of normal is missing at the end of '{text.strip()}'{meant}", text)


def _normals(text: str, kind: str, names: Names) -> list[Wanted]:
    wanted: dict[Jacks, Wanted] = {}
    for jack in read_jacks(text, names):
        jacks = pair_of(names.room, jack)
        wanted[jacks] = Wanted(jacks, kind)
    return list(wanted.values())


def pair_of(room: Room, jack: int) -> Jacks:
    """The pair of the column in which a jack stands. Raises :class:`NotNow` where its bay has one row."""
    here = room.jacks[jack]
    bay = room.bays[room.rows[here.row].bay]
    if len(bay.rows) < 2:
        raise NotNow(
            f"{bay.name} has one row: a normal from {here.address} is a cross normal: cross {here.address} > ..."
        )
    top, bottom = (room.rows[row].first + here.point - 1 for row in bay.rows)
    return top, bottom


def _crosses(text: str, kind: str, names: Names) -> list[Wanted]:
    ends = _BETWEEN.split(text)
    if len(ends) != 2 or not all(ends):
        raise Malformed(f"a cross normal joins two: {_USAGE[CROSS]}", text)
    tops, bottoms = (read_jacks(end, names) for end in ends)
    if len(tops) != len(bottoms):
        raise Malformed(f"'{ends[0]}' is {counted(len(tops), 'jack')}, '{ends[1]}' is {len(bottoms)}", text)
    wanted = []
    for top, bottom in zip(tops, bottoms, strict=True):
        if top == bottom:
            raise Malformed(f"a normal cannot join jack {names.address(top)} to itself", text)
        if column_of(names.room, bottom, top) is not None:
            column = f"normal {names.address(bottom)} KIND"
            raise Malformed(f"{names.address(bottom)} stands over {names.address(top)}: say {column}", text)
        wanted.append(Wanted((top, bottom), kind))
    return wanted


def read_jacks(text: str, names: Names) -> list[int]:
    """The jacks of a list: addresses, names, ranges of both, and numbers that continue what came before them.

    A name is that of a source where an output and an input bear it, as at the start of a cord.
    """
    jacks: list[int] = []
    stem: tuple[str, str] | None = None  # what stood before and after the last number
    for item in (part.strip() for part in text.split(",")):
        if not item:
            raise Malformed(f"a place is empty in '{text}'", text)
        only_numbers = _NUMBERS.fullmatch(item)
        if only_numbers is not None and stem is not None:
            item = f"{stem[0]}{item}{stem[1]}"
        found, stem = _item(item, names)
        jacks += found
    twice = next((jack for jack in jacks if jacks.count(jack) > 1), None) if len(jacks) < MAX_NAMES else None
    if twice is not None:
        raise Malformed(f"{names.address(twice)} is named twice in '{text}'", text)
    return jacks


def _item(item: str, names: Names) -> tuple[list[int], tuple[str, str] | None]:
    if len(item) > 2 and item[0] == item[-1] == '"':
        return [names.jack(item[1:-1], OUT)], None  # quotes settle what is a name
    place = stretch(item)
    if place is not None and place.row.lower() in names.room.row_named:
        if place.last < place.first:
            raise Malformed(f"the range runs backwards: did you mean {place.row}{place.last}-{place.first}?", item)
        addresses = [f"{place.row}{number}" for number in (place.first, place.last)]
        ends = [names.jack(address) for address in addresses]
        return list(range(ends[0], ends[1] + 1)), (place.row, "")
    run = _RUN_OF_NAMES.fullmatch(item)
    if run is None:
        jack = names.jack(item, OUT)
        number = list(_NUMBERS.finditer(item))
        return [jack], (item[: number[-1].start()], item[number[-1].end() :]) if number else None
    before, first, last, after = run[1], int(run[2][:9]), int(run[3][:9]), run[4]
    if last < first or last - first >= MAX_NAMES:
        raise Malformed(f"'{item}' is no range: the second number comes after the first", item)
    return [names.jack(f"{before}{number}{after}", OUT) for number in range(first, last + 1)], (before, after)


def written(room: Room, wanted: Sequence[Wanted]) -> str:
    """What an entry wants, as it is shown: 'C1 over D1: half'."""
    first = wanted[0]
    both = " and ".join(room.jacks[jack].address for jack in first.jacks)
    more = f" and {len(wanted) - 1} more" if len(wanted) > 1 else ""
    return f"{both}{more}: {first.kind}"


__all__ = ["KINDS", "Refusal", "Wanted", "is_plan_entry", "read_jacks", "read_plan_entry", "written"]
