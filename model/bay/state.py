"""The state of the bay at one moment: cords, switches, microphones; and the nets that follow from them.

The state is four tables. An edit sets one entry of one table, and returns the edit that takes it back.
"""

from __future__ import annotations

from bisect import bisect_left, insort
from typing import Any, NamedTuple

from model.room.wiring import Mic, Room


class Cord(NamedTuple):
    """A patch cord that is in the bay."""

    plugs: tuple[int, ...]  # jacks, in the order in which they were plugged
    ends: int  # how many plugs it has: two, mostly
    length_cm: float | None


class Edit(NamedTuple):
    """One entry of one table of the state set to a value; None takes the entry out."""

    table: str
    key: Any
    value: Any


class State:
    """Which jack holds which cord, which supplies are on, which microphone stands on which line."""

    def __init__(self, room: Room) -> None:
        self.room = room
        self.plugs: dict[int, int] = {}  # jack: number of the cord whose plug it holds
        self.cords: dict[int, Cord] = {}
        self.switches: dict[str, bool] = {}  # phantom switches that are on
        self.mics: dict[int, Mic] = {}  # microphone line (port number): the microphone on it
        self._unused: list[int] = []  # cord numbers below the highest that are free, ascending
        self._highest = 0

    def same_as(self, other: State) -> bool:
        """Whether two states agree in all that they hold."""
        return (self.plugs, self.cords, self.switches, self.mics, self._unused, self._highest) == (
            other.plugs,
            other.cords,
            other.switches,
            other.mics,
            other._unused,
            other._highest,
        )

    def edit(self, edit: Edit) -> Edit:
        """Make one edit; the answer is the edit that takes it back."""
        name, key, value = edit
        table = getattr(self, name)
        old = table.get(key)
        if name == "cords" and (old is None) != (value is None):
            self._count_number(key, value is not None)
        if value is None:
            table.pop(key, None)
        else:
            table[key] = value
        return Edit(name, key, old)

    def lowest_free_number(self) -> int:
        """The number for the next cord."""
        return self._unused[0] if self._unused else self._highest + 1

    def _count_number(self, number: int, used: bool) -> None:
        if used and number > self._highest:
            self._unused.extend(range(self._highest + 1, number))
            self._highest = number
        elif used:
            del self._unused[bisect_left(self._unused, number)]
        elif number < self._highest:
            insort(self._unused, number)
        else:
            self._highest -= 1
            while self._unused and self._unused[-1] == self._highest:
                self._unused.pop()
                self._highest -= 1

    def nodes_joined_to(self, node: int) -> list[int]:
        """All contacts that are joined to one at this moment: a net. Cost follows the net, not the room."""
        wires, plugs, cords = self.room.wires, self.plugs, self.cords
        net = [node]
        seen = {node}
        for here in net:  # grows while it is walked
            for there in wires[here]:
                if there not in seen:
                    seen.add(there)
                    net.append(there)
            number = plugs.get(here >> 1)
            if number is None:
                # an empty jack: its line contact touches its normal contact
                there = here ^ 1
                if there not in seen:
                    seen.add(there)
                    net.append(there)
            elif not here & 1:
                for jack in cords[number].plugs:
                    there = 2 * jack
                    if there not in seen:
                        seen.add(there)
                        net.append(there)
        return net

    def is_on(self, switch: str | None) -> bool:
        """Whether a phantom switch is on."""
        return switch is not None and switch in self.switches
