"""What of a room the search for a way asks again and again: how far apart jacks are, and what leads from place to place."""

from __future__ import annotations

from collections import defaultdict
from functools import cached_property
from typing import TYPE_CHECKING

from model.bay.state import State
from model.room.wiring import Room

if TYPE_CHECKING:
    import networkx as nx


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
    def leading_to(self) -> dict[str, dict[str, tuple[int, ...]]]:
        """By place, the places that its wires lead to while no plug is in, and the jacks here at which they begin."""
        found: dict[str, dict[str, list[int]]] = defaultdict(lambda: defaultdict(list))
        if len(set(self.place_of_row)) < 2:
            return {}
        rest, seen = State(self.room), set[int]()
        for here, theres in enumerate(self.room.wires):
            if here in seen or all(self.place_of(here >> 1) == self.place_of(there >> 1) for there in theres):
                continue
            net = rest.nodes_joined_to(here)
            seen.update(net)
            jacks = [node >> 1 for node in net if not node & 1]
            for place in {self.place_of(jack) for jack in jacks}:
                own = [jack for jack in jacks if self.place_of(jack) == place]
                for other in {self.place_of(jack) for jack in jacks} - {place}:
                    found[place][other] += own
        return {place: {other: tuple(jacks) for other, jacks in to.items()} for place, to in found.items()}

    @cached_property
    def graph(self) -> nx.Graph[str]:
        """The places, joined where a wire leads from one to the other."""
        import networkx as nx  # takes a tenth of a second: not before a way leads over several places

        return nx.Graph((place, other) for place, to in self.leading_to.items() for other in to)

    @cached_property
    def gear_of_kinds(self) -> dict[tuple[str, ...], tuple[int, ...]]:
        """Gear by the kinds of its ports."""
        found: dict[tuple[str, ...], list[int]] = defaultdict(list)
        for gear in self.room.gear:
            found[tuple(sorted(self.room.ports[port].kind.name for port in gear.ports))].append(gear.index)
        return {kinds: tuple(gear) for kinds, gear in found.items()}
