"""What is written behind a jack, taken apart: the family of its name, its number within it, its side."""

from __future__ import annotations

import re
from collections import defaultdict
from typing import NamedTuple

from model.room.wiring import NO_PORT, Room

_SIDES = {"l": "L", "r": "R", "left": "L", "right": "R"}
_DIGITS = re.compile(r"\d+")


class Label(NamedTuple):
    """A name such as 'Cue 2 L': its family is 'cue # @', and it is the third of it."""

    name: str
    stem: str
    number: int  # its place in the family, from 0, by number first and side second
    side: str  # 'L', 'R' or ''
    gear: int  # -1 for a tie line


def stem_of(name: str) -> tuple[str, tuple[int, ...], str]:
    """The family of a name, its numbers and its side.

    >>> stem_of("Cue 2 L")
    ('cue # @', (2,), 'L')
    """
    words, numbers, side = [], [], ""
    for word in name.lower().split():
        if word in _SIDES:
            side = _SIDES[word]
            words.append("@")
        else:
            numbers += [int(digits[:15]) for digits in _DIGITS.findall(word)]
            words.append(_DIGITS.sub("#", word))
    return " ".join(words), tuple(numbers), side


class Labels:
    """The labels of a room's jacks: that of the port, else of the only tie line."""

    def __init__(self, room: Room) -> None:
        self._room = room
        self._ports = self._families([(port.name, port.gear) for port in room.ports])
        self._ties = self._families([(tie.name, -1) for tie in room.ties])
        self._tie_at = {jack: ties[0].name for jack, ties in room.ties_at.items() if len(ties) == 1}
        self._gears = {gear.name: stem_of(gear.name) for gear in room.gear}

    @staticmethod
    def _families(names: list[tuple[str, int]]) -> dict[str, Label]:
        of: dict[str, list[tuple[tuple[int, ...], str, str, int]]] = defaultdict(list)
        for name, gear in names:
            stem, numbers, side = stem_of(name)
            of[stem].append((numbers, side, name, gear))
        # 'Line L 12' of a place called L is no left one: sides are those of which a family has both.
        sided = {stem for stem, members in of.items() if {side for _, side, _, _ in members} == {"L", "R"}}
        return {
            name: Label(name, stem, number, side if stem in sided else "", gear)
            for stem, members in of.items()
            for number, (_, side, name, gear) in enumerate(sorted(members))
        }

    def at(self, jack: int) -> Label | None:
        """The label of a jack; None where nothing stands behind it, or a mult."""
        port = self._room.port_at[jack]
        if port != NO_PORT:
            return self._ports[self._room.ports[port].name]
        name = self._tie_at.get(jack)
        return None if name is None else self._ties[name]

    def of_family(self, label: Label) -> list[Label]:
        """All labels of the family of one, in their order."""
        table = self._ties if label.gear < 0 else self._ports
        return sorted((other for other in table.values() if other.stem == label.stem), key=lambda one: one.number)

    def gear_stem(self, label: Label) -> str:
        """The family of the gear that a label's port belongs to; empty for a tie line."""
        return "" if label.gear < 0 else self._gears[self._room.gear[label.gear].name][0]

    def are_one_each(self, label: Label, other: Label) -> bool:
        """Whether each piece of the gear of two labels has one of either: then like numbers belong to one piece."""
        return [one.gear for one in self.of_family(label)] == [one.gear for one in self.of_family(other)] and len(
            {one.gear for one in self.of_family(label)}
        ) == len(self.of_family(label))
