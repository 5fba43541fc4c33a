"""The wiring of one room as frozen data: gear and its ports, bays and their jacks, and what joins them.

A jack has two contacts, each a node of the wiring: its line contact (tip and ring, wired at the rear) is node
``2 * jack``, its normal contact is node ``2 * jack + 1``. Jacks, ports, gear and bays are numbered from 0 in the order in
which the room file names them; the numbers index the tuples of :class:`Room`.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import NamedTuple

from model.room.inside import ALWAYS, Inside, Ways
from model.room.kinds import NORMAL_KINDS, NORMALLED_BY, REACHED_FROM, Kind
from model.text.addresses import split_address

NO_PORT = -1
STRIPS = ("above", "below", "between")  # where a bay's label strips are: over each row, under it, or one for both rows


class Supply(NamedTuple):
    """The phantom supply of a microphone input."""

    volts: float
    feed_ohm: float | None  # each leg; None where none is stated and the volts are of no class: unknown
    switch: str  # the name of the switch that turns it on: shared with others, or the port's own name
    feed_assumed: bool  # the feed resistor is that of its class, not stated by the room file


class Port(NamedTuple):
    """One output or input of a piece of gear."""

    index: int  # type: ignore[assignment]  # hides a tuple's index(), which nothing here calls
    name: str  # full: 'Pre 4 in', or the gear's name alone where it has one port
    own: str  # within the gear: 'in'
    gear: int
    kind: Kind
    ohms: float
    ohms_assumed: bool  # the kind's default, not stated by the room file
    level_dbu: float | None  # nominal level
    max_dbu: float | None  # the level at which it clips
    cable_m: float  # from the bay to the gear
    supply: Supply | None
    line: int  # of the room file
    least_ohm: float | None = None  # of a power amplifier: the least load that it stands
    bridged: bool = False  # of a power amplifier: both its legs are driven, neither may meet a common sleeve
    ears: bool = False  # what comes in here, or leaves here, is heard by people: monitors, headphones, cues
    balanced: bool = True  # False: one leg is the sleeve
    rate_hz: float | None = None  # of a digital port: frames a second
    switched: bool = False  # an insert that the gear itself closes where no plug is in


class Gear(NamedTuple):
    """A piece of gear.

    ``through`` says what passes inside it always: True (each input reaches each output), False, or pairs of port numbers.
    ``ways`` pass signal on a condition.
    """

    index: int  # type: ignore[assignment]  # hides a tuple's index(), which nothing here calls
    name: str
    ports: tuple[int, ...]
    through: bool | tuple[tuple[int, int], ...]
    line: int
    ways: tuple[Ways, ...] = ()


class Mic(NamedTuple):
    """A microphone of the locker."""

    name: str
    ohms: float
    phantom_v: float | None  # what it needs
    draws_ma: float
    harmed: bool  # phantom must not reach it
    line: int
    works_from_v: float | None = None  # the least on the line from which it works, where the room file states it


class Jack(NamedTuple):
    """One hole of a bay. ``port`` is what its rear is wired to, or ``NO_PORT``."""

    index: int  # type: ignore[assignment]  # hides a tuple's index(), which nothing here calls
    address: str  # 'A5'
    row: int
    point: int
    port: int
    line: int


class Row(NamedTuple):
    """One line of jacks: jack number ``first + point - 1``."""

    index: int  # type: ignore[assignment]  # hides a tuple's index(), which nothing here calls
    name: str
    bay: int
    first: int
    points: int


class Bay(NamedTuple):
    """One panel: a top row and, mostly, a bottom row."""

    index: int  # type: ignore[assignment]  # hides a tuple's index(), which nothing here calls
    name: str
    place: str  # a cord joins jacks of one place
    points: int
    rows: tuple[int, ...]
    line: int
    normalled_by: str = NORMALLED_BY[0]
    reached_from: str = REACHED_FROM[0]
    jumper_carries: int = 1  # conductors
    sleeve: str | None = None  # one of SLEEVES; None where the file does not say
    pitch_mm: float | None = None  # from jack to jack
    strip_height_mm: float | None = None
    first_mm: float | None = None  # from the strip's left end to the middle of the first jack
    groups: tuple[tuple[int, float], ...] = ()  # after which column a gap comes, and by how many mm more than the pitch
    strips: str = ""  # one of STRIPS; empty where the file does not say


class Normal(NamedTuple):
    """A connection inside the bay that a plug may break. ``cross`` where the jacks are not one above the other."""

    top: int
    bottom: int
    kind: str
    cross: bool
    line: int


class Tie(NamedTuple):
    """A fixed line between two jacks in different places."""

    name: str
    a: int
    b: int
    metres: float
    line: int
    kind: str = ""  # of TIE_KINDS; empty where the room file does not say


class Mult(NamedTuple):
    """A group of jacks joined together."""

    name: str
    jacks: tuple[int, ...]
    line: int


class JackText(NamedTuple):
    """What is written at a jack beside its address; empty where the room file does not say."""

    strip: str = ""  # its printed short name
    cable: str = ""  # the number on its cable at the rear
    remark: str = ""


class HouseCord(NamedTuple):
    """A cord that belongs in the room at rest."""

    jacks: tuple[int, ...]
    length_cm: float | None
    line: int


class Accepted(NamedTuple):
    """A finding of `check` that the room file accepts: where, which, and why."""

    at: str  # as it is written: jacks, or the name of what the finding is about
    jacks: tuple[str, ...]  # their addresses
    finding: str
    because: str
    line: int


def line_contact(jack: int) -> int:
    """The node of a jack's line contact."""
    return 2 * jack


def normal_contact(jack: int) -> int:
    """The node of a jack's normal contact."""
    return 2 * jack + 1


@dataclass(frozen=True)
class Room:
    """One room as its file describes it. Tables derived from it are made when first asked for, and kept."""

    name: str
    gear: tuple[Gear, ...] = ()
    ports: tuple[Port, ...] = ()
    bays: tuple[Bay, ...] = ()
    rows: tuple[Row, ...] = ()
    jacks: tuple[Jack, ...] = ()
    normals: tuple[Normal, ...] = ()
    ties: tuple[Tie, ...] = ()
    mults: tuple[Mult, ...] = ()
    mics: tuple[Mic, ...] = ()
    cords: Mapping[int, int] | None = None  # length in cm: how many; None where the file does not say
    house_patch: tuple[HouseCord, ...] = ()
    marks: Mapping[str, str] = field(default_factory=dict)  # kind of normal: the room's own mark
    priors: Mapping[str, float] = field(default_factory=dict)  # cause of a fault: how likely, to any one scale
    accepted: tuple[Accepted, ...] = ()  # findings of `check` that are meant to be
    feet: bool = False  # lengths of cords are in feet: one that is typed states its unit
    jack_texts: Mapping[int, JackText] = field(default_factory=dict)  # by jack; jacks without any are not in it

    @cached_property
    def jacks_of_port(self) -> tuple[tuple[int, ...], ...]:
        """The jacks to which each port is wired; several are joined always."""
        wired: list[tuple[int, ...]] = [()] * len(self.ports)
        for jack in self.jacks:
            if jack.port != NO_PORT:
                wired[jack.port] += (jack.index,)
        return tuple(wired)

    @cached_property
    def wires(self) -> list[tuple[int, ...]]:
        """For each node, the nodes that a fixed wire joins to it: normals' wires, ties, mults, ports at two jacks."""
        wires: list[tuple[int, ...]] = [()] * (2 * len(self.jacks))

        def join(a: int, b: int) -> None:
            if a != b and b not in wires[a]:
                wires[a] += (b,)
                wires[b] += (a,)

        def chain(jacks: Iterable[int]) -> None:
            previous = None
            for jack in jacks:
                if previous is not None:
                    join(line_contact(previous), line_contact(jack))
                previous = jack

        for normal in self.normals:
            join(*self.ends_of_normal(normal))
        for tie in self.ties:
            join(line_contact(tie.a), line_contact(tie.b))
        for mult in self.mults:
            chain(mult.jacks)
        for jacks in self.jacks_of_port:
            if len(jacks) > 1:
                chain(jacks)
        return wires

    @staticmethod
    def ends_of_normal(normal: Normal) -> tuple[int, int]:
        """The two nodes that a normal's wire joins."""
        kind = NORMAL_KINDS[normal.kind]
        return 2 * normal.top + kind.top_at_normal, 2 * normal.bottom + kind.bottom_at_normal

    @cached_property
    def port_at(self) -> list[int]:
        """The port wired to each jack, or ``NO_PORT``."""
        return [jack.port for jack in self.jacks]

    @cached_property
    def ties_at(self) -> dict[int, tuple[Tie, ...]]:
        """The ties that end at a jack; jacks without a tie are not in it."""
        at: dict[int, tuple[Tie, ...]] = {}
        for tie in self.ties:
            for jack in {tie.a, tie.b}:
                at[jack] = (*at.get(jack, ()), tie)
        return at

    @cached_property
    def normals_at(self) -> dict[int, tuple[Normal, ...]]:
        """The normals that take a contact of a jack; jacks without a normal are not in it."""
        at: dict[int, tuple[Normal, ...]] = {}
        for normal in self.normals:
            for jack in {normal.top, normal.bottom}:
                at[jack] = (*at.get(jack, ()), normal)
        return at

    @cached_property
    def mult_at(self) -> dict[int, Mult]:
        """The mult to which a jack belongs."""
        return {jack: mult for mult in self.mults for jack in mult.jacks}

    @cached_property
    def row_named(self) -> dict[str, Row]:
        """Rows by their name in lower case."""
        return {row.name.lower(): row for row in self.rows}

    @cached_property
    def port_named(self) -> dict[str, Port]:
        """Ports by their full name as the room file writes it."""
        return {port.name: port for port in self.ports}

    @cached_property
    def mic_named(self) -> dict[str, Mic]:
        """Microphones by their name as the room file writes it."""
        return {mic.name: mic for mic in self.mics}

    @cached_property
    def ports_of_switch(self) -> dict[str, tuple[int, ...]]:
        """The microphone inputs whose phantom supply each switch turns on."""
        of: dict[str, tuple[int, ...]] = {}
        for port in self.ports:
            if port.supply is not None:
                of[port.supply.switch] = (*of.get(port.supply.switch, ()), port.index)
        return of

    def jack_at(self, row: str, point: int) -> Jack | None:
        """The jack at a row's point, in any case of letters, or None where the room has none."""
        found = self.row_named.get(row.lower())
        if found is None or not 1 <= point <= found.points:
            return None
        return self.jacks[found.first + point - 1]

    def jack_of(self, address: str) -> int | None:
        """The number of the jack at an address, in any case of letters; None where the room has none.

        Everything that goes from an address to a jack goes this way.
        """
        place = split_address(address)
        found = None if place is None else self.jack_at(*place)
        return None if found is None else found.index

    def cord_words(self, jacks: Iterable[int]) -> str:
        """A cord in words: the addresses at which its plugs are, 'A5 > B19'."""
        return " > ".join(self.jacks[jack].address for jack in jacks)

    def place_of(self, jack: int) -> str:
        """The place in which a jack's bay stands."""
        return self.bays[self.rows[self.jacks[jack].row].bay].place

    # Inside gear

    @cached_property
    def _inside(self) -> dict[int, Inside]:
        return {}  # by gear, filled as it is asked for

    def inside(self, gear: int) -> Inside:
        """The ways inside a piece of gear whose room file says more than yes or no."""
        found = self._inside.get(gear)
        if found is None:
            through = self.gear[gear].through
            found = self._inside[gear] = Inside(() if isinstance(through, bool) else through, self.gear[gear].ways)
        return found

    def carried(self, port: int) -> tuple[int, ...]:
        """The outputs of the same gear that an input's signal reaches inside it, on whatever condition."""
        gear = self.gear[self.ports[port].gear]
        if gear.through is True:
            return tuple(p for p in gear.ports if self.ports[p].kind.is_output)
        if gear.through or gear.ways:
            return self.inside(gear.index).carried(port)
        return ()

    def carried_from(self, port: int) -> tuple[int, ...]:
        """The inputs of the same gear whose signal reaches an output inside it, on whatever condition."""
        gear = self.gear[self.ports[port].gear]
        if gear.through is True:
            return tuple(p for p in gear.ports if not self.ports[p].kind.is_output)
        if gear.through or gear.ways:
            return self.inside(gear.index).carried_from(port)
        return ()

    def condition(self, into: int, out: int) -> str | None:
        """The condition of the way inside gear from an input to an output.

        '' where it always passes, else one of the conditions of :mod:`model.room.inside`; None where there is no way.
        """
        gear = self.gear[self.ports[into].gear]
        if self.ports[out].gear != gear.index or self.ports[into].kind.is_output or not self.ports[out].kind.is_output:
            return None
        if gear.through is True:
            return ALWAYS
        return self.inside(gear.index).condition(into, out) if gear.through or gear.ways else None
