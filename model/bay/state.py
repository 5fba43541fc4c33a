"""The state of the bay at one moment: cords, switches, microphones; and the nets that follow from them.

A state is a value: it never changes. An action makes another state of it, and the two differ by a few entries of four small
tables. That difference, read backwards, leads back: it is what undo plays and what the record writes.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, MutableMapping
from typing import Any, NamedTuple

from model.bay.large_table import copied
from model.room.wiring import Mic, Room

TABLES = ("plugs", "cords", "switches", "mics")


class Cord(NamedTuple):
    """A patch cord that is in the bay."""

    plugs: tuple[int, ...]  # jacks, in the order in which they were plugged
    ends: int  # how many plugs it has: two, mostly
    length_cm: float | None


class Set(NamedTuple):
    """One entry of one table of the state, before and after; None where it is not there."""

    table: str
    key: Any
    before: Any
    after: Any


Difference = tuple[Set, ...]


def reversed_difference(difference: Difference) -> Difference:
    """The difference that leads back."""
    return tuple(Set(table, key, after, before) for table, key, before, after in reversed(difference))


class State:
    """Which jack holds which cord, which supplies are on, which microphone is on which line. It never changes."""

    __slots__ = ("_free_from", "cords", "mics", "plugs", "room", "switches")

    plugs: Mapping[int, int]  # jack: number of the cord whose plug it holds
    cords: Mapping[int, Cord]
    switches: Mapping[str, bool]  # phantom switches that are on
    mics: Mapping[int, Mic]  # microphone line (port number): the microphone on it

    def __init__(self, room: Room) -> None:
        """The room at rest: no cord, no supply on, no microphone."""
        self.room = room
        self.plugs, self.cords, self.switches, self.mics = {}, {}, {}, {}
        self._free_from = 1  # no cord number below is free

    def __eq__(self, other: object) -> bool:
        return isinstance(other, State) and all(getattr(self, name) == getattr(other, name) for name in TABLES)

    __hash__ = None  # type: ignore[assignment]  # its tables are dictionaries

    def after(self, difference: Iterable[Set]) -> State:
        """The state that a difference leads to. Cost follows the cords that are in the bay, not the room."""
        making = Making(self)
        for table, key, _, value in difference:
            making.set(table, key, value)
        return making.state

    def lowest_free_number(self) -> int:
        """The number for the next cord."""
        number = self._free_from
        while number in self.cords:
            number += 1
        return number

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


class Making:
    """A state in the making: the tables that are set are copied first, so that the state it began with stays as it is."""

    def __init__(self, before: State) -> None:
        self.state = State.__new__(State)
        self.state.room = before.room
        for name in TABLES:
            setattr(self.state, name, getattr(before, name))
        self.state._free_from = before._free_from
        self._own: dict[str, MutableMapping[Any, Any]] = {}
        self._first: dict[tuple[str, Any], Any] = {}  # what each entry that was set was before

    def set(self, table: str, key: Any, value: Any) -> None:
        """Set one entry of one table; None takes it out."""
        own = self._own.get(table)
        if own is None:
            own = self._own[table] = copied(getattr(self.state, table))
            setattr(self.state, table, own)
        self._first.setdefault((table, key), own.get(key))
        if value is None:
            own.pop(key, None)
            if table == "cords" and key < self.state._free_from:
                self.state._free_from = key
        else:
            own[key] = value
            if table == "cords" and key == self.state._free_from:
                self.state._free_from = key + 1

    def difference(self) -> Difference:
        """What differs from the state it began with."""
        return tuple(
            Set(table, key, before, after)
            for (table, key), before in self._first.items()
            if before != (after := self._own[table].get(key))
        )
