"""What a typed name means in this room: a jack, a port, a tie line, a mult, a supply, a microphone.

Nothing is guessed: what fits several things is refused with them all, what fits none with the nearest.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from functools import cached_property
from types import MappingProxyType
from typing import NamedTuple

from model.bay.refusals import Ambiguous, Malformed, NotNow, UnknownName
from model.bay.state import State
from model.language.nameindex import Found, NameIndex, words_of
from model.room.wiring import Mic, Port, Room
from model.text.addresses import split_address
from model.text.suggest import listed

OUT, IN = "out", "in"
MAX_NAMED = 6  # candidates in a refusal


class Named(NamedTuple):
    """Something with a name that comes up on the bay."""

    name: str
    way: str  # 'out', 'in', or '' where it goes both ways
    jacks: tuple[int, ...]
    port: Port | None = None
    alike: bool = False  # its jacks are all the same to a cord that is to go in: a mult's


class NameIndexes:
    """The indexes over the names of one room, made when first asked for."""

    def __init__(self, room: Room) -> None:
        self.room = room

    @cached_property
    def entries(self) -> list[Named]:
        """Ports, tie lines and mults, in the order of the room file."""
        room = self.room
        ports = [Named(p.name, p.kind.way, room.jacks_of_port[p.index], p) for p in room.ports]
        ties = [Named(tie.name, "", (tie.a, tie.b)) for tie in room.ties]
        return [*ports, *ties, *(Named(mult.name, "", mult.jacks, alike=True) for mult in room.mults)]

    @cached_property
    def index(self) -> NameIndex:
        """The index over :attr:`entries`. A port that bears its gear's name alone is also met by its own."""
        aliases = [e.port.own if e.port is not None and e.name != e.port.own else "" for e in self.entries]
        aliases = ["" if e.name.endswith(f" {a}") else a for e, a in zip(self.entries, aliases, strict=True)]
        return NameIndex([entry.name for entry in self.entries], aliases)

    @cached_property
    def switches(self) -> NameIndex:
        """The index over phantom switches."""
        return NameIndex(list(self.room.ports_of_switch))

    @cached_property
    def mics(self) -> NameIndex:
        """The index over the locker."""
        return NameIndex([mic.name for mic in self.room.mics])

    @cached_property
    def gear(self) -> NameIndex:
        """The index over gear."""
        return NameIndex([gear.name for gear in self.room.gear])

    def warm(self) -> None:
        """Make the indexes that a first keystroke would otherwise wait for."""
        for index in (self.index, self.switches, self.mics):
            index.matching("a")


class Names:
    """The names of one room, and the state of the bay that decides between jacks that hold a plug and jacks that do not."""

    def __init__(
        self, state: State, indexes: NameIndexes | None = None, labels: Mapping[str, str] = MappingProxyType({})
    ) -> None:
        """``labels``: tonight's names, each with the full name of its port."""
        self.state = state
        self.labels = labels
        self.room: Room = state.room
        self.indexes = NameIndexes(state.room) if indexes is None else indexes

    def at(self, state: State) -> Names:
        """The same names in another state of the bay."""
        return Names(state, self.indexes, self.labels)

    @property
    def entries(self) -> list[Named]:
        """Ports, tie lines and mults, in the order of the room file."""
        return self.indexes.entries

    @property
    def index(self) -> NameIndex:
        """The index over :attr:`entries`."""
        return self.indexes.index

    @property
    def switches(self) -> NameIndex:
        """The index over phantom switches."""
        return self.indexes.switches

    @property
    def mics(self) -> NameIndex:
        """The index over the locker."""
        return self.indexes.mics

    @property
    def gear(self) -> NameIndex:
        """The index over gear."""
        return self.indexes.gear

    # Jacks, by address

    def jack_by_address(self, text: str) -> int | None:
        """The jack at an address; None where the text is no address in a row of this room."""
        place = split_address(text.strip())
        if place is None:
            return None
        row = self.room.row_named.get(place[0].lower())
        if row is None:
            return None
        jack = self.room.jack_at(*place)
        if jack is None:
            last = f"{row.name}{min(max(place[1], 1), row.points)}"
            raise UnknownName(f"row {row.name} has points 1 to {row.points}, not {place[1]}", text, [last])
        return jack.index

    def jack_by_address_or_none(self, text: str) -> int | None:
        """The jack at an address; None where the room has no such jack."""
        try:
            return self.jack_by_address(text)
        except UnknownName:
            return None

    def address(self, jack: int) -> str:
        """A jack's address."""
        return self.room.jacks[jack].address

    # Ends of cords

    def jack(self, text: str, way: str = "", held: bool | None = None) -> int:
        """The jack that a text means: an address, or the name of what is wired there.

        ``way`` decides between an output and an input that fit equally well. ``held`` says whether the jack is one
        that holds a plug (to be unplugged), or one that is to take it: among several it decides, where it leaves one.
        """
        text = _asked_for(text, "a jack or a name")
        jack = self.jack_by_address(text)
        if jack is not None:
            return jack
        return self.jack_of(self.entry(text, way, held), held, text)

    def entry(self, text: str, way: str = "", held: bool | None = None) -> Named:
        """The port, tie line or mult that a text means."""
        entries = self.entries
        labelled = self.labelled(text)
        if labelled is not None:
            return entries[labelled.index]

        def narrowed(found: list[int]) -> list[int]:
            if held:
                found = [e for e in found if any(j in self.state.plugs for j in entries[e].jacks)] or found
            return ([e for e in found if entries[e].way in (way, "")] or found) if way else found

        return entries[self._one(self.index, text, "the room", narrowed)]

    def port(self, text: str, wanted: Callable[[Port], bool] = lambda port: True, way: str = "") -> Port:
        """The port that a text means; ``wanted`` decides between several."""
        text = _asked_for(text, "a name")
        jack = self.jack_by_address(text)
        if jack is not None:
            at = self.room.port_at[jack]
            if at < 0:
                raise NotNow(f"nothing is wired to {self.address(jack)}", text)
            return self.room.ports[at]
        labelled = self.labelled(text)
        if labelled is not None:
            return labelled

        def narrowed(found: list[int]) -> list[int]:
            ports = [e for e in found if self.entries[e].port is not None]
            fitting = [e for e in ports if (port := self.entries[e].port) is not None and wanted(port)] or ports
            return ([e for e in fitting if self.entries[e].way == way] or fitting) if way else fitting

        port = self.entries[self._one(self.index, text, "the room", narrowed)].port
        assert port is not None  # narrowed leaves ports alone
        return port

    def labelled(self, text: str) -> Port | None:
        """The port that bears a text as its label."""
        if not self.labels:
            return None
        typed = words_of(text)
        name = next((port for label, port in self.labels.items() if words_of(label) == typed), None)
        return None if name is None else self.room.port_named[name]

    def supply(self, text: str) -> Port:
        """The microphone input whose phantom switch a text means: by its port's name or by its switch's."""
        text = _asked_for(text, "whose phantom it is")
        switches, ports = self.switches.matching(text), self.index.matching(text)
        better = bool(switches) and (not ports or switches[0].fit < ports[0].fit)
        if better and len(switches[0].entries) == 1 and self.jack_by_address_or_none(text) is None:
            switch = self.switches.names[switches[0].entries[0]]
            return self.room.ports[self.room.ports_of_switch[switch][0]]
        return self.port(text, lambda port: port.supply is not None, IN)

    def mic(self, text: str) -> Mic:
        """The microphone of the locker that a text means."""
        text = _asked_for(text, "a microphone")
        typed = len(words_of(text))

        def narrowed(found: list[int]) -> list[int]:
            """'cond' is the condenser sooner than the small condenser: all of its name is begun."""
            return [mic for mic in found if len(words_of(self.mics.names[mic])) == typed] or found

        try:
            return self.room.mics[self._one(self.mics, text, "the locker", narrowed)]
        except UnknownName as unknown:
            raise UnknownName(unknown.reason, text, self.mics.nearest(text) or self.mics.names[:MAX_NAMED]) from None

    def mic_line(self, text: str) -> Port:
        """The microphone line that a text means."""
        return self.port(_asked_for(text, "a microphone line"), lambda port: port.kind.is_mic_line, OUT)

    def cord(self, text: str) -> int | None:
        """The number of '#7'; None where the text is no cord's number."""
        text = text.strip()
        if not text.startswith("#"):
            return None
        digits = text[1:].strip()
        if not digits.isdigit() or not digits.isascii() or len(digits) > 6:
            raise Malformed(f"a cord is written # and its number, such as #7, not '{text}'", text)
        return int(digits)

    def cord_in(self, jack: int, text: str) -> int:
        """The number of the cord in a jack. Raises NotNow where it is empty."""
        number = self.state.plugs.get(jack)
        if number is None:
            raise NotNow(f"{self.address(jack)} is empty", text)
        return number

    def cord_meant(self, text: str) -> int:
        """The number of the cord that a text means: '#7', or a jack that holds one of its plugs."""
        number = self.cord(text)
        return self.cord_in(self.jack(text, held=True), text) if number is None else number

    def jack_of(self, entry: Named, held: bool | None, text: str) -> int:
        """The one jack of something: of several, by ``held``, as :meth:`jack` says."""
        jacks: Sequence[int] = entry.jacks
        if not jacks:
            raise NotNow(f"{entry.name} comes up at no jack of the bay", text)
        if held is not None:
            jacks = [j for j in jacks if (j in self.state.plugs) == held] or jacks
        if len(jacks) > 1 and (not entry.alike or (held and jacks[0] in self.state.plugs)):
            addresses = [self.address(jack) for jack in jacks]
            raise Ambiguous(
                f"{entry.name} comes up at several jacks: {listed(addresses, 'or', MAX_NAMED)}?", text, addresses
            )
        return jacks[0]

    def _one(
        self,
        index: NameIndex,
        text: str,
        where: str,
        narrowed: Callable[[list[int]], list[int]] = lambda found: found,
    ) -> int:
        """The one entry that a text means, or a refusal that says why not."""
        matching: list[Found] = index.matching(text)
        for group in matching:
            left = narrowed(group.entries)
            if len(left) == 1:
                return left[0]
            if left:
                names = [index.names[entry] for entry in left]
                raise Ambiguous(f"'{text}' fits {len(names)} names: {listed(names, 'or', MAX_NAMED)}?", text, names)
        raise UnknownName(f"{where} has nothing called '{text}'", text)

    def means_something(self, text: str) -> bool:
        """Whether a text is a jack's address or meets a name."""
        return self.jack_by_address_or_none(text) is not None or bool(self.index.matching(text))

    def nearest(self, text: str) -> list[str]:
        """Names that an unknown one might have meant."""
        return self.index.nearest(text)


def shadowed(label: str, indexes: NameIndexes) -> str:
    """What a text already means in a room, so that it can be no label; empty where it means nothing."""
    place = split_address(label.strip())
    if place is not None and place[0].lower() in indexes.room.row_named:
        return "a jack's address"
    for index in (indexes.index, indexes.switches, indexes.mics, indexes.gear):
        found = index.matching(label)
        if found:
            return index.names[found[0].entries[0]]
    return ""


def _asked_for(text: str, what: str) -> str:
    text = text.strip()
    if not text:
        raise Malformed(f"{what} is missing")
    return text
