"""The sections ``gear`` and ``mics`` of a room file.

A port's full name is the gear's name and its own ('Tape 4 in'), or the gear's alone where it has one port. With
``own names: yes`` it is the port's own: a desk as one piece of gear has its 'Mix L out', not a 'Desk Mix L out'.
"""

from __future__ import annotations

from collections.abc import Callable, Container
from typing import NamedTuple

from model.room.file.reading import Reading, Said
from model.room.file.through import Through, read_through
from model.room.inside import Ways
from model.room.kinds import KINDS, Kind, phantom_class
from model.room.labels import MAX_CHARACTERS
from model.room.wiring import Gear, Mic, Port, Supply
from model.text.clean import quoted
from model.text.normalized import normalized
from model.text.ranges import MOST, stretch
from model.text.strictyaml import Items, Mark, Node, Table, Text
from model.text.suggest import did_you_mean, listed

PORT_KEYS = frozenset(
    (
        *("is", "ohms", "level", "max", "cable", "phantom", "feed", "switch"),
        *("least ohms", "bridged", "ears", "balanced", "rate", "switched"),
    )
)
GEAR_KEYS = frozenset(("through", "own names"))  # said of gear, where its other keys are ports
SUPPLY_KEYS = ("phantom", "feed", "switch")
MIC_KEYS = frozenset(("ohms", "phantom", "draws", "harmed", "works from"))
_SOME_KIND = "mic in"  # stands in where a kind is unknown, so that the port's name is known all the same
_SUCH_AS = "{is: mic in, ohms: 2400}"


class Manner(NamedTuple):
    """What a port's manner adds to its kind; the last fields of a port, in its order."""

    least_ohm: float | None = None
    bridged: bool = False
    ears: bool = False
    balanced: bool = True
    rate_hz: float | None = None
    switched: bool = False


# What may be said of some kinds alone: for each key the kinds, in words, and how a kind is told to be one of them.
_OF_SOME_KINDS: dict[str, tuple[str, Callable[[Kind], bool]]] = {
    "least ohms": ("a 'speaker out' can state its least load", lambda kind: kind.name == "speaker out"),
    "bridged": ("a 'speaker out' can be bridged", lambda kind: kind.name == "speaker out"),
    "rate": ("a digital port has a frame rate", lambda kind: kind.digital),
}


class Sketch(NamedTuple):
    """A port as the file describes it, before it is known to which of several pieces of gear it belongs."""

    own: str
    kind: Kind
    ohms: float
    ohms_assumed: bool
    level_dbu: float | None
    max_dbu: float | None
    cable_m: float
    volts: float | None
    feed_ohm: float | None
    feed_assumed: bool
    switch: str | None
    line: int
    manner: Manner = Manner()


class GearTables:
    """The gear and the ports read so far, and their names."""

    def __init__(self) -> None:
        self.gear: list[Gear] = []
        self.ports: list[Port] = []
        self.marks: list[Mark] = []  # of each piece of gear
        self.gear_named: dict[str, int] = {}  # by normalized name
        self.port_named: dict[str, int] = {}  # by normalized full name
        self._by_own: dict[str, int] | None = None

    def port(self, name: str) -> int | None:
        """The port of a full name in any case of letters; gear with one port answers to its port's name as well."""
        key = normalized(name)
        found = self.port_named.get(key)
        if found is None:
            if self._by_own is None:
                only = [self.ports[gear.ports[0]] for gear in self.gear if len(gear.ports) == 1]
                self._by_own = {normalized(f"{port.name} {port.own}"): port.index for port in only if port.own}
            found = self._by_own.get(key)
        return found

    def add_line(self, mark: Mark, name: str, kind: Kind, cable_m: float) -> int:
        """Adds gear that is one port, such as the far end of a line; its name is not taken."""
        index, port, line = len(self.gear), len(self.ports), mark.line + 1
        self.gear_named[normalized(name)], self.port_named[normalized(name)] = index, port
        self.ports.append(Port(port, name, "", index, kind, kind.ohms, True, None, None, cable_m, None, line))
        self.gear.append(Gear(index, name, (port,), True, line))
        self.marks.append(mark)
        return port

    def names(self) -> list[str]:
        """The full names of all ports."""
        return [port.name for port in self.ports]

    def meant(self, reading: Reading, name: str) -> str:
        """The end of a message: which ports an unknown name may have meant."""
        gear = self.gear_named.get(normalized(name))
        if gear is not None:
            own = [self.ports[port].name for port in self.gear[gear].ports]
            return did_you_mean(own[:3])
        return reading.meant(name, self.names())


def read_gear(reading: Reading, node: Node) -> GearTables:
    """The section ``gear``: names of gear, and for each the kinds of its ports."""
    tables = GearTables()
    section = reading.table(node, "'gear'", "'Mix {L,R}: line out'")
    if section is None:
        return tables
    for template in list(section.values):
        # Taken out, so that the tree shrinks as the room grows: both whole would take half as much memory again.
        value = section.values.pop(template)
        mark = section.marks[template]
        names = reading.names(template, mark, "gear")
        sketch = _gear(reading, template, value)
        if len(tables.ports) + len(names) * len(sketch.sketches) > MOST:
            reading.error(mark, f"gear {quoted(template)}: with it the room has more than {MOST:,} ports")
        elif sketch.sketches:
            _add(reading, tables, mark, names, sketch)
    return tables


# What one entry of 'gear' describes


class GearSketch(NamedTuple):
    """Gear as the file describes it, before it is known for which names it stands."""

    sketches: list[Sketch]
    through: Through = True
    ways: tuple[Ways, ...] = ()
    own_names: bool = False  # its ports bear their names alone, without the gear's before them


def _gear(reading: Reading, name: str, value: Node) -> GearSketch:
    """Whether signal passes through the gear, and its ports."""
    if isinstance(value, Text) and value.text:
        return GearSketch(_port(reading, "", value, value.mark, Said("gear", name)))
    if not isinstance(value, Table):
        if value is not None:
            such_as = "a kind of port, or a table such as {in: line in, out: line out}"
            reading.error(value.mark, f"gear {quoted(name)} must be {such_as}")
        return GearSketch([])
    if "is" in value.marks:
        return GearSketch(_port(reading, "", value, value.mark, Said("gear", name)))
    sketches: list[Sketch] = []
    places: dict[str, int] = {}
    for key, node in value.values.items():
        if key in GEAR_KEYS:
            continue
        mark = value.marks[key]
        if key in PORT_KEYS and isinstance(node, Text) and node.text not in KINDS:
            reading.error(mark, f"{quoted(key)} of gear {quoted(name)} is said of a port: is 'is: KIND' missing here?")
            continue
        for sketch in _port(reading, key, node, mark, Said("port", name, key)):
            own = normalized(sketch.own)
            if own in places:
                reading.error(mark, f"port {quoted(sketch.own)} of gear {quoted(name)} is named twice")
            else:
                places[own] = len(sketches)
                sketches.append(sketch)
    if not value.values.keys() - GEAR_KEYS:
        reading.missing(value.mark, f"gear {quoted(name)} has no port: it needs one such as 'out: line out'")
    own_names = reading.yes_no(value.values.get("own names"), "'own names'", Said("gear", name)) or False
    through: Through = True
    ways: tuple[Ways, ...] = ()
    if "through" in value.marks:
        through, ways = read_through(reading, value.values["through"], sketches, places, name)
    return GearSketch(sketches, through, ways, own_names)


def _port(reading: Reading, key: str, node: Node, mark: Mark, what: Said) -> list[Sketch]:
    """The ports that one key stands for; all are alike but for their names."""
    owns = reading.names(key, mark, "port") if key else [""]
    line = mark.line + 1
    if isinstance(node, Text):
        kind = _kind(reading, node, what)
        return [Sketch(own, kind, kind.ohms, True, None, None, 0.0, None, 0.0, False, None, line) for own in owns]
    if isinstance(node, Items):
        reading.error(node.mark, f"{what} must be a kind, or a table such as {_SUCH_AS}, not a list")
    if not isinstance(node, Table):
        return []
    reading.keys(node, PORT_KEYS, "of ", what)
    values = node.values
    kind = _kind(reading, reading.required(node, "is", what), what)

    ohms = reading.number(values.get("ohms"), "ohms", what)
    level = reading.level(values.get("level"), "level", what)
    most = reading.level(values.get("max"), "max", what)
    cable = reading.number(values.get("cable"), "cable (metres)", what, zero=True)
    volts = reading.number(values.get("phantom"), "phantom (volts)", what)
    feed = reading.number(values.get("feed"), "feed (ohms)", what)
    switch = reading.label(values.get("switch"), "switch", what, typed=True)
    for stated in () if values.keys().isdisjoint(SUPPLY_KEYS) else SUPPLY_KEYS:
        if stated not in node.marks:
            continue
        if not kind.is_mic_in:
            reading.error(
                node.marks[stated], f"'{stated}' of {what}, which is '{kind.name}': only a 'mic in' can supply phantom"
            )
        elif "phantom" not in node.marks:
            reading.error(node.marks[stated], f"'{stated}' of {what} needs 'phantom', the volts that it can supply")

    assumed, feed_assumed = ohms is None, False
    ohms = kind.ohms if ohms is None else ohms
    if volts is not None and feed is None and (known := phantom_class(volts)) is not None:
        feed, feed_assumed = known.feed_ohm, True
    cable = cable or 0.0
    manner = _manner(reading, node, kind, what)
    return [
        Sketch(own, kind, ohms, assumed, level, most, cable, volts, feed, feed_assumed, switch, line, manner)
        for own in owns
    ]


_PLAIN = Manner()


def _manner(reading: Reading, table: Table, kind: Kind, what: Said) -> Manner:
    """What a port's table states beside its kind and its figures."""
    values = table.values
    if values.keys().isdisjoint(("least ohms", "bridged", "ears", "balanced", "rate", "switched")):
        return _PLAIN
    for key, (only, fits) in _OF_SOME_KINDS.items():
        if key in table.marks and not fits(kind):
            reading.error(table.marks[key], f"'{key}' of {what}, which is '{kind.name}': only {only}")
    balanced = reading.yes_no(values.get("balanced"), "balanced", what)
    return Manner(
        reading.number(values.get("least ohms"), "least ohms", what),
        reading.yes_no(values.get("bridged"), "bridged", what) or False,
        reading.yes_no(values.get("ears"), "ears", what) or False,
        balanced is not False,
        reading.rate(values.get("rate"), "rate", what),
        reading.yes_no(values.get("switched"), "switched", what) or False,
    )


def _kind(reading: Reading, node: Node, what: Said) -> Kind:
    if isinstance(node, Text):
        kind = KINDS.get(node.text)
        if kind is not None:
            return kind
        if node.text:
            known = reading.meant(node.text, KINDS.keys()) or f": the kinds are {listed(KINDS, 'and', 20)}"
            reading.error(node.mark, f"unknown kind {quoted(node.text)} for {what}{known}")
            return KINDS["line out" if node.text.endswith("out") else _SOME_KIND]
    if node is not None:
        reading.error(node.mark, f"{what} needs a kind such as 'mic in' or 'line out'")
    return KINDS[_SOME_KIND]


# From one entry to the gear that it stands for


def _add(reading: Reading, tables: GearTables, mark: Mark, names: list[str], sketch_of_all: GearSketch) -> None:
    sketches, through, own_ways, own_names = sketch_of_all
    ports, port_named, gear_named = tables.ports, tables.port_named, tables.gear_named
    line = mark.line + 1
    alone = len(sketches) == 1
    for name in names:
        key = normalized(name)
        if key in gear_named:
            earlier = tables.gear[gear_named[key]]
            reading.error(mark, f"gear {quoted(name)} is named twice: line {earlier.line} has {quoted(earlier.name)}")
            continue
        gear_named[key] = index = len(tables.gear)
        first = len(ports)
        for sketch in sketches:
            own, kind, ohms, assumed, level, most, cable, volts, feed, feed_assumed, switch, port_line, manner = sketch
            full = own if own_names and own else name
            if not alone and not own_names:
                full = f"{name} {own}"
                if len(full) > MAX_CHARACTERS >= len(name):
                    reading.error(mark, f"port {quoted(full)}: its full name has over {MAX_CHARACTERS} characters")
                    return
            key = normalized(full)
            if key in port_named:
                other = ports[port_named[key]]
                reading.error(mark, f"port {quoted(full)} is named twice: line {other.line} has {quoted(other.name)}")
            number = len(ports)
            port_named[key] = number
            supply = None if volts is None else Supply(volts, feed, switch or full, feed_assumed)
            port = Port(number, full, own, index, kind, ohms, assumed, level, most, cable, supply, port_line, *manner)
            ports.append(port)
        always = through if isinstance(through, bool) else tuple((first + into, first + out) for into, out in through)
        ways = tuple(
            Ways(tuple(first + into for into in inputs), tuple(first + out for out in outputs), condition)
            for inputs, outputs, condition in own_ways
        )
        tables.gear.append(Gear(index, name, tuple(range(first, len(ports))), always, line, ways))
        tables.marks.append(mark)


def check_no_address(reading: Reading, mark: Mark, name: str, row_named: Container[str]) -> None:
    """Refuses a name that cannot be told from a jack's address."""
    place = stretch(name) if name[-1].isdigit() else None
    if place is not None and normalized(place.row) in row_named:
        reading.error(
            mark, f"{quoted(name)} could not be told from a jack of row {quoted(place.row)}: rename one of them"
        )


def check_names(reading: Reading, tables: GearTables, row_named: Container[str]) -> None:
    """Refuses names that cannot be told from a jack's address, and switches told apart by case alone."""
    spelled: dict[str, str] = {}  # switches, by normalized name
    for gear in tables.gear:
        names = {gear.name, *(tables.ports[port].name for port in gear.ports)}
        for name in names:
            check_no_address(reading, tables.marks[gear.index], name, row_named)
        for port in gear.ports:
            supply = tables.ports[port].supply
            if supply is not None:
                known = spelled.setdefault(normalized(supply.switch), supply.switch)
                if known != supply.switch:
                    text = f"switch {quoted(supply.switch)} is written {quoted(known)} elsewhere: use one of the two"
                    reading.error(tables.marks[gear.index], text)


# The locker


def read_mics(reading: Reading, node: Node) -> tuple[Mic, ...]:
    """The section ``mics``: what people put on mic lines."""
    section = reading.table(node, "'mics'", "'ribbon: {ohms: 300, harmed: yes}'")
    mics: dict[str, Mic] = {}
    if section is None:
        return ()
    for template, value in section.values.items():
        mark = section.marks[template]
        table = reading.table(value, f"microphone {quoted(template)}", "{ohms: 200}")
        if table is None:
            continue
        what = Said("microphone", template)
        reading.keys(table, MIC_KEYS, "of ", what)
        values = table.values
        ohms = reading.number(values.get("ohms"), "ohms", what) or KINDS["mic line"].ohms
        volts = reading.number(values.get("phantom"), "phantom (volts)", what)
        draws = reading.number(values.get("draws"), "draws (mA)", what, zero=True) or 0.0
        harmed = reading.yes_no(values.get("harmed"), "harmed", what) or False
        works_from = reading.number(values.get("works from"), "works from (volts)", what)
        if harmed and volts is not None:
            reading.error(mark, f"{what} needs phantom and is harmed by it: take out one of the two")
        if works_from is not None and volts is None and "phantom" not in table.marks:
            reading.error(
                table.marks["works from"], f"'works from' of {what} needs 'phantom', the volts that it is made for"
            )
        for name in reading.names(template, mark, "microphone"):
            known = mics.get(normalized(name))
            if known is None:
                mics[normalized(name)] = Mic(name, ohms, volts, draws, harmed, mark.line + 1, works_from)
            else:
                reading.error(
                    mark, f"microphone {quoted(name)} is named twice: line {known.line} has {quoted(known.name)}"
                )
    return tuple(mics.values())
