"""Ends of cords as they are typed: each name of a list, and the jacks at which it comes up."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import product
from typing import Any

from model.bay.refusals import Ambiguous, Refusal
from model.language.lists import Texts, forms
from model.language.names import IN, MAX_NAMED, OUT, Named, Names
from model.language.pairs import pair
from model.language.quotes import Quotes
from model.language.readings import Readings
from model.room.wiring import Port
from model.text.suggest import listed

End = tuple[int, ...]  # the jacks that one end can be: several only where it comes up in several places
Side = tuple[End, ...]


class Ends:
    """The ends of one entry."""

    def __init__(self, names: Names, quotes: Quotes) -> None:
        self.names = names
        self.quotes = quotes

    def forms(self, text: str, readings: Readings[Any]) -> list[Texts]:
        """The lists that a text may be; none where it cannot be one."""
        try:
            return forms(text)
        except Refusal as refusal:
            readings.refusals.append(refusal)
            return []

    def entry(self, text: str, way: str, held: bool | None) -> Named:
        """What a name means."""
        return self.names.entry(self.quotes.bare(text), way, held)

    def end(self, text: str, way: str, held: bool) -> End:
        """The jacks that an end can be."""
        names = self.names
        jack = None if self.quotes.name(text) is not None else names.jack_by_address(self.quotes.plain(text))
        if jack is not None:
            return (jack,)
        return self._jacks(self.entry(text, way, held), held, text)

    def _jacks(self, entry: Named, held: bool, text: str) -> End:
        if not held and not entry.alike and entry.port is None:
            free = tuple(jack for jack in entry.jacks if jack not in self.names.state.plugs)
            return free or entry.jacks
        return (self.names.jack_of(entry, held, self.quotes.plain(text)),)

    def sides(self, text: str, way: str, readings: Readings[Any], held: bool = False) -> list[Side]:
        """All that a list can be: by each of its forms, and as a pair. Why it cannot be read is kept where it can be none."""
        found: list[Side] = []
        here: Readings[Any] = Readings()
        for read in (self._pair, self._named):
            found += read(text, way, held, here)
        if not found:
            readings.refusals += here.refusals
        return list(dict.fromkeys(side for side in found if len(set(side)) == len(side)))

    def _pair(self, text: str, way: str, held: bool, readings: Readings[Any]) -> list[Side]:
        if "," in text or not text:
            return []
        try:
            sides = pair(self.quotes.bare(text), self.names, way)
        except Refusal as refusal:
            readings.refusals.append(refusal)
            return []
        return [] if sides is None else [tuple(self._jacks(each, held, text) for each in sides)]

    def _named(self, text: str, way: str, held: bool, readings: Readings[Any]) -> list[Side]:
        found: list[Side] = []
        for texts in self.forms(text, readings):
            try:
                found.append(tuple(self.end(each, way, held) for each in texts))
            except Refusal as refusal:
                readings.refusals.append(refusal)
        return found

    def port_lists(self, text: str, way: str, readings: Readings[Any]) -> list[tuple[Port, ...]]:
        """All lists of ports that a text can be, as :meth:`sides` of jacks."""
        found: list[tuple[Port, ...]] = []
        here: Readings[Any] = Readings()
        try:
            sides = None if "," in text else pair(self.quotes.bare(text), self.names, way)
            found += [tuple(each.port for each in sides if each.port is not None)] if sides is not None else []
        except Refusal as refusal:
            here.refusals.append(refusal)
        for texts in self.forms(text, here):
            try:
                found.append(tuple(self.port(each, way) for each in texts))
            except Refusal as refusal:
                here.refusals.append(refusal)
        if not found:
            readings.refusals += here.refusals
        return list(dict.fromkeys(ports for ports in found if len(set(ports)) == len(ports)))

    def port(self, text: str, way: str) -> Port:
        """The port that a name or a jack means."""
        return self.names.port(self.quotes.bare(text), lambda port: port.kind.way == way, way)

    def other_way(self, side: Side) -> str:
        """Either way round: what a cord that stands at inputs alone is to meet is the output that feeds them."""
        room = self.names.room
        ports = [room.ports[at] for end in side for jack in end if (at := room.port_at[jack]) >= 0]
        return OUT if ports and not any(port.kind.is_output for port in ports) else IN

    def together(self, ends: Sequence[End], text: str) -> tuple[int, ...]:
        """One jack for each end of a cord: of what comes up in several places, the one within reach of the other ends."""
        if all(len(end) == 1 for end in ends):
            return tuple(end[0] for end in ends)
        room = self.names.room
        choices = list(product(*ends))
        within = [jacks for jacks in choices if len({room.place_of(jack) for jack in jacks}) == 1]
        fitting = within or choices
        if len(fitting) > 1:
            several = next(end for end in ends if len(end) > 1)
            addresses = [self.names.address(jack) for jack in several]
            raise Ambiguous(
                f"'{text}' comes up at several jacks: {listed(addresses, 'or', MAX_NAMED)}?", text, addresses
            )
        return fitting[0]

    def address(self, jack: int) -> str:
        """A jack's address."""
        return self.names.address(jack)
