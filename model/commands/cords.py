"""New cords: one, several from lists, with three plugs, or a chain through gear."""

from __future__ import annotations

import re
from collections.abc import Sequence
from itertools import product
from typing import NamedTuple

from model.bay.actions import Action, Plug, PlugLooseEnd, together
from model.bay.refusals import Malformed, NotNow
from model.entry.entry import AtBay
from model.language.ends import Ends, Side
from model.language.nameindex import words_of
from model.language.names import IN, OUT, Named, Names
from model.language.pairs import gear_joints, insert_joints
from model.language.quotes import Quotes
from model.language.readings import Readings
from model.language.signs import cuts, ends_of
from model.room.cord_length import split_length
from model.room.wiring import Port, Room

_TAG = re.compile(r"\s+as\s+#\s*(\d{1,7})(?:\s*-\s*#?(\d{1,7}))?$", re.IGNORECASE | re.ASCII)
_FEET = re.compile(r"(?:ft|in)$", re.IGNORECASE)
_AND = re.compile(r"\s+and\s+", re.IGNORECASE)
_ON = re.compile(r"\s+on\s+", re.IGNORECASE)


class Tail(NamedTuple):
    """What an entry says of its cords at the end: their length in cm, and the numbers on their tags."""

    length: float | None = None
    numbers: tuple[int, ...] = ()

    def number(self, at: int, count: int, text: str) -> int | None:
        """The number of one of several cords."""
        if not self.numbers:
            return None
        if len(self.numbers) != count:
            raise Malformed(f"it makes {count} cords, and {len(self.numbers)} numbers are given", text)
        return self.numbers[at]


def split_tail(text: str, room: Room) -> tuple[str, Tail]:
    """An entry without what it says of its cords at the end, in either order."""
    length: float | None = None
    numbers: tuple[int, ...] = ()
    while True:
        try:
            shorter, found = split_length(text, room.feet)
        except ValueError as why:
            raise Malformed(str(why), text) from None
        tag = None if found is not None else _TAG.search(text)
        if found is None and tag is None:
            return text, Tail(length, numbers)
        if (length is not None) if found is not None else bool(numbers):
            raise Malformed(f"a cord has one {'length' if found is not None else 'number'}, and two are given", text)
        if found is not None:
            text, length = shorter, _of_stock(found, text, room)
        elif tag is not None:
            first, last = int(tag[1]), int(tag[2] or tag[1])
            if not 0 <= last - first < 1000:
                raise Malformed(f"the numbers run from a lower to a higher one, not from {first} to {last}", text)
            text, numbers = text[: tag.start()], tuple(range(first, last + 1))


def _of_stock(length: float, text: str, room: Room) -> float:
    """A length in feet or inches as the room's stock has it: 24 in are the cords of 60 cm."""
    if not _FEET.search(text):
        return length
    return next((float(stock) for stock in room.cords or () if abs(stock - length) <= 1), length)


class Cords:
    """The readings of one entry that makes cords."""

    def __init__(self, text: str, names: Names) -> None:
        self.text = text
        self.quotes = Quotes(text)
        self.ends = Ends(names, self.quotes)
        self.names = names
        self.readings: Readings[AtBay] = Readings()

    def one(self) -> AtBay:
        """The one reading."""
        return self.readings.one(self.text)

    def read(self) -> Cords:
        """'X > Y' and all that it may be."""
        body, tail = split_tail(self.quotes.text, self.names.room)
        for ends in ends_of(body):
            if "" in ends:
                missing = "a jack or a name is missing" if len(ends) == 1 else "a name is missing beside '>'"
                self.readings.refusals.append(Malformed(missing, self.text))
            elif ends[0].startswith("#"):
                self.readings.attempt(lambda ends=ends: self._loose_end(ends, tail))  # type: ignore[misc]
            elif ends[-1].startswith("#") and len(ends) > 1:
                self.readings.refusals.append(Malformed(f"the cord comes first: {ends[-1]} > {ends[0]}", self.text))
            elif len(ends) > 2:
                self._chain(ends, tail)
            else:
                for others in cuts(ends[-1], _AND) if len(ends) == 2 else [[ends[-1]]]:
                    self._lists([*ends[:-1], *others], tail)
        return self

    def read_insert(self) -> Cords:
        """'G on X'."""
        body, tail = split_tail(self.quotes.text, self.names.room)
        found = False
        for parts in cuts(body, _ON):
            if len(parts) == 2:
                found = True
                self._chain([parts[1].strip(), parts[0].strip(), parts[1].strip()], tail)
        if not found:
            self.readings.refusals.append(Malformed("say which gear on what: insert X on Y", self.text))
        return self

    def _loose_end(self, ends: list[str], tail: Tail) -> AtBay:
        names = self.names
        cord = names.cord(ends[0])
        assert cord is not None
        if len(ends) != 2:
            raise Malformed(f"say where the loose end of cord {cord} goes: #{cord} > X", self.text)
        if tail != Tail():
            raise Malformed(f"cord {cord} has its number and its length already", self.text)
        known = names.state.cords.get(cord)
        there = () if known is None else tuple((jack,) for jack in known.plugs)
        way = IN if known is None else self.ends.other_way(there)
        jacks = self.ends.together((*there, self.ends.end(ends[1], way, False)), ends[1])
        return AtBay(PlugLooseEnd(cord, self.ends.address(jacks[-1])))

    # Lists

    def _lists(self, texts: list[str], tail: Tail) -> None:
        for left in self.ends.sides(texts[0], OUT, self.readings):
            way = self.ends.other_way(left) if len(texts) == 2 else IN
            others = [self.ends.sides(text, way, self.readings) for text in texts[1:]]
            for sides in product([left], *others):
                self.readings.attempt(lambda sides=sides: self._plugs(texts, sides, tail))  # type: ignore[misc]

    def _plugs(self, texts: list[str], sides: Sequence[Side], tail: Tail) -> AtBay:
        if len({len(side) for side in sides}) > 1:
            counts = " and ".join(
                f"'{self.quotes.plain(text)}' is {len(side)}" for text, side in zip(texts, sides, strict=True)
            )
            raise Malformed(f"both sides must be as many: {counts}", self.text)
        actions: list[Action] = []
        for at, ends in enumerate(zip(*sides, strict=True)):
            which = next((text for text, end in zip(texts, ends, strict=True) if len(end) > 1), "")
            jacks = self.ends.together(ends, self.quotes.plain(which))
            number = tail.number(at, len(sides[0]), self.text)
            actions.append(Plug(tuple(map(self.ends.address, jacks)), number, tail.length))
        return AtBay(together(actions))

    # Chains

    def _chain(self, texts: list[str], tail: Tail) -> None:
        """Each text of an end or of gear between them, in all its forms."""
        if any(_AND.search(text) for text in texts[1:]):
            self.readings.refusals.append(
                Malformed("'and' stands after the only '>' of a cord; a list is written with commas", self.text)
            )
        each = [self.ends.forms(text, self.readings) for text in texts]
        for chosen in product(*each):
            if len({len(one) for one in chosen}) == 1:
                self.readings.attempt(lambda chosen=chosen: self._through(chosen, tail))  # type: ignore[misc]

    def _through(self, chosen: Sequence[tuple[str, ...]], tail: Tail) -> AtBay:
        ways: list[list[int]] = []
        for texts in zip(*chosen, strict=True):
            ways += self._ways([self.quotes.bare(text) for text in texts])
        cords = [(way[at], way[at + 1]) for way in ways for at in range(0, len(way), 2)]
        actions: list[Action] = [
            Plug(tuple(map(self.ends.address, jacks)), tail.number(at, len(cords), self.text), tail.length)
            for at, jacks in enumerate(cords)
        ]
        return AtBay(together(actions))

    def _ways(self, texts: list[str]) -> list[list[int]]:
        """The jacks of one chain in their order; of two where all its parts are pairs."""
        names = self.names
        middles = [gear_joints(text, names) for text in texts[1:-1]]
        first, *_, last = texts
        if words_of(first) == words_of(last):
            gear = " > ".join(texts[1:-1])
            ends = insert_joints(first, names, lambda name: f"insert {gear} on {name}")
            counts = {len(ends), *map(len, middles)}
            starts, stops = [self._free(a) for a, _ in ends], [self._free(b) for _, b in ends]
        else:
            counts = {1, *map(len, middles)}
            starts, stops = [names.jack(first, OUT, held=False)], [names.jack(last, IN, held=False)]
        if len(counts) > 1:
            raise NotNow(f"'{first}' and '{texts[1]}' are not alike: one of them is a pair", self.text)
        ways = []
        for at, (start, stop) in enumerate(zip(starts, stops, strict=True)):
            inside = [self._free(port) for middle in middles for port in middle[at]]
            ways.append([start, *inside, stop])
        return ways

    def _free(self, port: Port) -> int:
        entry = Named(port.name, port.kind.way, self.names.room.jacks_of_port[port.index], port)
        return self.names.jack_of(entry, False, self.text)


def read_plug(text: str, names: Names) -> AtBay:
    """'X > Y', lists of them, 'X' for a loose end, '#7 > Y' for the loose end of a cord, 'X > Y and Z', 'X > GEAR > Y'."""
    return Cords(text, names).read().one()


def read_insert(text: str, names: Names) -> AtBay:
    """'GEAR on X'."""
    return Cords(text, names).read_insert().one()
