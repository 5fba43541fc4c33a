"""The pairs of a room: two jacks one above the other, or two that a cross normal joins; and how pairs of two rooms differ."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import NamedTuple

from model.room.kinds import NO_NORMAL, NORMAL_KINDS
from model.room.wiring import Room

Jacks = tuple[int, int]

_BY_CONTACTS = {(kind.top_at_normal, kind.bottom_at_normal): kind.name for kind in NORMAL_KINDS.values()}
# The kind of a normal seen from its other end.
TURNED = {NO_NORMAL: NO_NORMAL} | {
    kind.name: _BY_CONTACTS[kind.bottom_at_normal, kind.top_at_normal] for kind in NORMAL_KINDS.values()
}


class Pair(NamedTuple):
    """Two jacks of a room and the kind of normal between them. ``column`` is None where one is not above the other."""

    top: int
    bottom: int
    kind: str
    column: int | None


class Changed(NamedTuple):
    """A pair of the new room whose normal is another than in the old one."""

    top: int
    bottom: int
    now: str
    then: str
    column: int | None


def column_of(room: Room, top: int, bottom: int) -> int | None:
    """The column that two jacks share, the first above the second; None where they are not so."""
    upper, lower = room.jacks[top], room.jacks[bottom]
    over = room.bays[room.rows[upper.row].bay].rows == (upper.row, lower.row)
    return upper.point if over and upper.point == lower.point else None


def bay_of(room: Room, jack: int) -> int:
    """The number of a jack's bay."""
    return room.rows[room.jacks[jack].row].bay


def columns(room: Room, bay: int) -> Iterator[Jacks]:
    """The pairs of a bay's columns, top and bottom, from column 1; none where it has one row."""
    rows = room.bays[bay].rows
    if len(rows) == 2:
        top, bottom = (room.rows[row] for row in rows)
        yield from zip(
            range(top.first, top.first + top.points), range(bottom.first, bottom.first + top.points), strict=True
        )


def kinds_of(room: Room) -> dict[Jacks, str]:
    """The kind of each normal by its two jacks: a column's from top to bottom, a cross normal as the room has it."""
    kinds: dict[Jacks, str] = {}
    for normal in room.normals:
        jacks, kind = (normal.top, normal.bottom), normal.kind
        if column_of(room, normal.bottom, normal.top) is not None:
            jacks, kind = (normal.bottom, normal.top), TURNED[kind]
        kinds[jacks] = kind
    return kinds


def pairs_of(room: Room) -> list[Pair]:
    """Every pair: bay by bay all columns, those without a normal too, then the cross normals that start in the bay."""
    kinds = kinds_of(room)
    crosses: dict[int, list[Pair]] = {}
    for (top, bottom), kind in kinds.items():
        if column_of(room, top, bottom) is None:
            crosses.setdefault(bay_of(room, top), []).append(Pair(top, bottom, kind, None))
    pairs: list[Pair] = []
    for bay in room.bays:
        for column, jacks in enumerate(columns(room, bay.index), 1):
            pairs.append(Pair(*jacks, kinds.get(jacks, NO_NORMAL), column))
        pairs += sorted(crosses.get(bay.index, ()))
    return pairs


def changed_pairs(old: Room, new: Room) -> list[Changed]:
    """The pairs whose normals differ, by their addresses, in the order of the new room; jacks are the new room's.

    Normals of the old room between jacks that the new one has not are left out: :func:`gone_addresses` names them.
    """
    was = dict(_by_address(old, new))
    will = kinds_of(new)
    changed = []
    for jacks in [*will, *(jacks for jacks in was if jacks not in will and jacks[::-1] not in will)]:
        now, then = _kind_between(was, jacks), will.get(jacks, NO_NORMAL)
        if now != then:
            changed.append(Changed(*jacks, now, then, column_of(new, *jacks)))
    return sorted(changed, key=lambda pair: (bay_of(new, pair.top), pair.column is None, pair.top, pair.bottom))


def _kind_between(kinds: Mapping[Jacks, str], jacks: Jacks) -> str:
    """The kind of a pair's normal, seen from its first jack."""
    return kinds[jacks] if jacks in kinds else TURNED[kinds.get(jacks[::-1], NO_NORMAL)]


def _by_address(old: Room, new: Room) -> Iterator[tuple[Jacks, str]]:
    """The old room's normals between jacks of the new room."""
    of_address = jacks_by_address(new)
    for (top, bottom), kind in kinds_of(old).items():
        here = of_address.get(old.jacks[top].address.lower()), of_address.get(old.jacks[bottom].address.lower())
        if here[0] is not None and here[1] is not None:
            jacks = (here[0], here[1])
            turned = column_of(new, here[1], here[0]) is not None
            yield (jacks[::-1], TURNED[kind]) if turned else (jacks, kind)


def jacks_by_address(room: Room) -> dict[str, int]:
    """Jacks by their address in lower case."""
    return {jack.address.lower(): jack.index for jack in room.jacks}


def gone_addresses(old: Room, new: Room) -> list[str]:
    """The addresses of the old room that the new one has not."""
    known = jacks_by_address(new)
    return [jack.address for jack in old.jacks if jack.address.lower() not in known]
