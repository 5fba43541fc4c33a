"""Where the bays stand: how far apart two jacks are for a cord, and which wires lead from one place to another."""

from __future__ import annotations

from collections import defaultdict
from functools import cached_property

from model.room import Room


class Places:
    """The places of one room. Tables are made when first asked for."""

    def __init__(self, room: Room) -> None:
        self.room = room

    @cached_property
    def place_of_row(self) -> list[str]:
        """The place of each row."""
        return [self.room.bays[row.bay].place for row in self.room.rows]

    @cached_property
    def order_in_place(self) -> list[int]:
        """Each row's place among the rows of its place, in the order of the room file."""
        count: dict[str, int] = defaultdict(int)
        order = []
        for place in self.place_of_row:
            order.append(count[place])
            count[place] += 1
        return order

    def place_of(self, jack: int) -> str:
        """The place in which a jack's bay stands."""
        return self.place_of_row[self.room.jacks[jack].row]

    def reach(self, a: int, b: int) -> int:
        """How far apart two jacks of one place are: points along the row, and rows up or down."""
        jacks, order = self.room.jacks, self.order_in_place
        one, other = jacks[a], jacks[b]
        return abs(one.point - other.point) + abs(order[one.row] - order[other.row])

    @cached_property
    def wired_in(self) -> dict[str, tuple[int, ...]]:
        """By place, the jacks whose line contact a wire of the bay takes on to another jack."""
        found: dict[str, list[int]] = defaultdict(list)
        wires = self.room.wires
        for jack in self.room.jacks:
            if wires[2 * jack.index]:
                found[self.place_of_row[jack.row]].append(jack.index)
        return {place: tuple(jacks) for place, jacks in found.items()}

    @cached_property
    def leading_out(self) -> tuple[int, ...]:
        """One contact of each wire that leads from a place to another."""
        wires, place_of = self.room.wires, self.place_of
        if len(set(self.place_of_row)) < 2:
            return ()
        return tuple(
            here
            for here, theres in enumerate(wires)
            for there in theres
            if here < there and place_of(here >> 1) != place_of(there >> 1)
        )
