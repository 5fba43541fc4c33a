"""Rooms of any size, made of one studio repeated: the wiring as data, and the same wiring as a room file's text.

The studio is two bays of 48 points with everything that costs the engine something: microphone lines full-normalled to
preamplifiers (some of which share a phantom switch), half normals on to the recorder and back to desk channels that
carry their signal through inserts, half normals broken at the top, parallel jacks, cross normals, ports wired twice,
digital and clock feeds, mults, spare jacks, and tie lines to the next studio. Invented throughout.
"""

from __future__ import annotations

import random
from typing import NamedTuple

from model.room.kinds import FEED_OHM, KINDS
from model.room.wiring import NO_PORT, Bay, Gear, HouseCord, Jack, Mic, Mult, Normal, Port, Room, Row, Supply, Tie

POINTS = 48
ROWS = ("A", "B", "C", "D")  # A over B, C over D
JACKS_A_STUDIO = POINTS * len(ROWS)
TIE_METRES = 30.0
NOWHERE = 0  # the line of what stands in no file


def numbers(first: int, last: int) -> tuple[str, ...]:
    """Labels of a range of gear: '1', '2' and so on."""
    return tuple(str(number) for number in range(first, last + 1))


LEFT_RIGHT = ("L", "R")


class PortPlan(NamedTuple):
    """One port of each piece of a group; of the choices each studio takes one."""

    own: str  # '' where the gear has one port
    kind: str
    ohms: tuple[float, ...] = ()
    cable_m: tuple[float, ...] = ()
    phantom_v: float | None = None
    switch: str | None = None


class GearPlan(NamedTuple):
    """Like pieces of gear: 'Pre' with the labels 1 to 8 is eight of them."""

    name: str
    labels: tuple[str, ...]
    ports: tuple[PortPlan, ...]
    through: bool | tuple[tuple[str, str], ...] = True


class Run(NamedTuple):
    """Jacks side by side in one row, from ``first`` on, wired to one port of each piece of a group."""

    row: str
    first: int
    name: str
    labels: tuple[str, ...]
    own: str = ""


class NormalRun(NamedTuple):
    """Normals of one kind between two rows, at the same points."""

    top: str
    bottom: str
    first: int
    last: int
    kind: str


def one(kind: str) -> tuple[PortPlan, ...]:
    """The plan of gear with one port."""
    return (PortPlan("", kind),)


def pre_ports(switch: str | None) -> tuple[PortPlan, ...]:
    """A preamplifier's ports."""
    return (
        PortPlan("in", "mic in", ohms=(1200.0, 1500.0, 2400.0), phantom_v=48.0, switch=switch),
        PortPlan("out", "line out", ohms=(50.0, 60.0, 100.0)),
    )


IN_AND_OUT = (PortPlan("in", "line in"), PortPlan("out", "line out"))
CHANNEL = tuple(
    PortPlan(own, kind)
    for own, kind in (
        ("line in", "line in"),
        ("insert send", "line out"),
        ("insert return", "line in"),
        ("direct out", "line out"),
    )
)

GEAR = (
    GearPlan("Live", numbers(1, 12), (PortPlan("", "mic line", cable_m=(10.0, 20.0, 35.0)),)),
    GearPlan("Pre", numbers(1, 8), pre_ports(None)),
    GearPlan("Pre", numbers(9, 12), pre_ports("Group")),
    GearPlan("Tape", numbers(1, 12), IN_AND_OUT, through=False),
    GearPlan("Desk", numbers(1, 12), CHANNEL, (("line in", "insert send"), ("insert return", "direct out"))),
    GearPlan("Mix", LEFT_RIGHT, one("line out")),
    GearPlan("Monitor", LEFT_RIGHT, one("line in")),
    GearPlan("Deck", LEFT_RIGHT, one("line in")),
    GearPlan("Squash", numbers(1, 8), IN_AND_OUT),
    GearPlan("Send", numbers(1, 4), one("line out")),
    GearPlan("Echo", numbers(1, 4), IN_AND_OUT),
    GearPlan("Return", numbers(1, 4), one("line in")),
    GearPlan("Cue", numbers(1, 4), one("line out")),
    GearPlan("Phones", numbers(1, 4), one("line in")),
    GearPlan("Meter", numbers(1, 4), one("line in")),
    GearPlan("Guitar", numbers(1, 4), one("instrument out")),
    GearPlan("Amp", numbers(1, 4), one("instrument in")),
    GearPlan("Converter", ("1",), (PortPlan("digital", "aes3 out"), PortPlan("clock", "clock out")), through=False),
    GearPlan("Store", ("1",), (PortPlan("digital", "aes3 in"), PortPlan("clock", "clock in")), through=False),
)

RUNS = (
    Run("A", 1, "Live", numbers(1, 12)),
    Run("A", 13, "Pre", numbers(1, 12), "out"),
    Run("A", 25, "Tape", numbers(1, 12), "out"),
    Run("A", 37, "Desk", numbers(1, 8), "insert send"),
    Run("A", 45, "Mix", LEFT_RIGHT),
    Run("A", 47, "Converter", ("1",), "digital"),
    Run("A", 48, "Converter", ("1",), "clock"),
    Run("B", 1, "Pre", numbers(1, 12), "in"),
    Run("B", 13, "Tape", numbers(1, 12), "in"),
    Run("B", 25, "Desk", numbers(1, 12), "line in"),
    Run("B", 37, "Desk", numbers(1, 8), "insert return"),
    Run("B", 45, "Monitor", LEFT_RIGHT),
    Run("B", 47, "Store", ("1",), "digital"),
    Run("B", 48, "Store", ("1",), "clock"),
    Run("C", 1, "Squash", numbers(1, 8), "out"),
    Run("C", 9, "Desk", numbers(9, 12), "insert send"),
    Run("C", 13, "Send", numbers(1, 4)),
    Run("C", 17, "Echo", numbers(1, 4), "out"),
    Run("C", 21, "Cue", numbers(1, 4)),
    Run("C", 25, "Desk", numbers(1, 4), "direct out"),
    Run("C", 41, "Guitar", numbers(1, 4)),
    Run("C", 45, "Mix", LEFT_RIGHT),  # the same outputs as at A45
    Run("D", 1, "Squash", numbers(1, 8), "in"),
    Run("D", 9, "Desk", numbers(9, 12), "insert return"),
    Run("D", 13, "Echo", numbers(1, 4), "in"),
    Run("D", 17, "Return", numbers(1, 4)),
    Run("D", 21, "Phones", numbers(1, 4)),
    Run("D", 25, "Meter", numbers(1, 4)),
    Run("D", 41, "Amp", numbers(1, 4)),
    Run("D", 45, "Deck", LEFT_RIGHT),
)

NORMALS = (
    NormalRun("A", "B", 1, 12, "full"),
    NormalRun("A", "B", 13, 46, "half"),
    NormalRun("A", "B", 47, 48, "full"),
    NormalRun("C", "D", 9, 20, "half"),
    NormalRun("C", "D", 21, 24, "half top"),
    NormalRun("C", "D", 25, 28, "parallel"),
)
CROSS_NORMALS = (NormalRun("A", "D", 45, 46, "half"),)
TIE_POINTS = range(29, 37)  # from row C to row D of the next studio
MULTS = (("C", 37, 40), ("D", 37, 40))
HOUSE_PATCH = ((("A", 13), ("D", 1)), (("C", 1), ("B", 13)))
MICS = (
    Mic("dynamic", 200.0, None, 0.0, False, NOWHERE),
    Mic("condenser", 150.0, 48.0, 4.0, False, NOWHERE),
    Mic("ribbon", 300.0, None, 0.0, True, NOWHERE),
)
CORDS = {30: 2, 60: 1}  # for each studio

# What one studio's choices are: ohms (None: the kind's default) and metres of cable.
Choices = dict[PortPlan, tuple[float | None, float]]


class Studio(NamedTuple):
    """One of the studios of which a room is made."""

    number: int  # from 1
    next_number: int  # where its tie lines go
    choices: Choices

    def name(self, what: str, label: str = "") -> str:
        """The name of something of this studio."""
        return f"S{self.number} {what} {label}".rstrip()

    def address(self, row: str, point: int | str) -> str:
        """A jack's address."""
        return f"S{self.number}{row}{point}"


def studios(jacks: int, seed: int) -> list[Studio]:
    """As many studios as fit into a number of jacks."""
    rng = random.Random(seed)
    count = jacks // JACKS_A_STUDIO
    ring = list(range(1, count + 1))
    rng.shuffle(ring)
    following = {number: ring[(place + 1) % count] for place, number in enumerate(ring)}
    plans = {port for gear in GEAR for port in gear.ports}
    ordered = sorted(plans, key=str)
    return [
        Studio(
            number,
            following[number],
            {
                plan: (rng.choice(plan.ohms) if plan.ohms else None, rng.choice(plan.cable_m) if plan.cable_m else 0.0)
                for plan in ordered
            },
        )
        for number in range(1, count + 1)
    ]


def spare_points(jacks: int) -> int:
    """The points of the bay of spare jacks that makes a room's number of jacks exact."""
    if jacks < JACKS_A_STUDIO or jacks % 2:
        raise ValueError(f"a generated room has an even number of jacks, {JACKS_A_STUDIO} or more, not {jacks}")
    return jacks % JACKS_A_STUDIO // 2


def room_name(jacks: int) -> str:
    """The name of a generated room."""
    return f"Generated, {jacks} jacks"


class _Builder:
    def __init__(self) -> None:
        self.gear: list[Gear] = []
        self.ports: list[Port] = []
        self.bays: list[Bay] = []
        self.rows: list[Row] = []
        self.jacks: list[Jack] = []
        self.normals: list[Normal] = []
        self.cross_normals: list[Normal] = []
        self.ties: list[Tie] = []
        self.mults: list[Mult] = []
        self.house_patch: list[HouseCord] = []

    def add_gear(self, studio: Studio) -> dict[tuple[str, str, str], int]:
        """The studio's gear; answers the number of the port of each (name, label, own)."""
        of: dict[tuple[str, str, str], int] = {}
        for plan in GEAR:
            for label in plan.labels:
                name = studio.name(plan.name, label)
                first = len(self.ports)
                for port in plan.ports:
                    of[plan.name, label, port.own] = len(self.ports)
                    self.ports.append(self._port(studio, port, name))
                through: bool | tuple[tuple[int, int], ...]
                if isinstance(plan.through, bool):
                    through = plan.through
                else:
                    through = tuple(
                        (of[plan.name, label, into], of[plan.name, label, out]) for into, out in plan.through
                    )
                self.gear.append(Gear(len(self.gear), name, tuple(range(first, len(self.ports))), through, NOWHERE))
        return of

    def _port(self, studio: Studio, plan: PortPlan, gear: str) -> Port:
        name = f"{gear} {plan.own}".rstrip()
        kind = KINDS[plan.kind]
        ohms, cable_m = studio.choices[plan]
        supply = None
        if plan.phantom_v is not None:
            switch = studio.name(plan.switch) if plan.switch else name
            supply = Supply(plan.phantom_v, FEED_OHM[plan.phantom_v], switch, True)
        return Port(
            len(self.ports),
            name,
            plan.own,
            len(self.gear),
            kind,
            kind.ohms if ohms is None else ohms,
            ohms is None,
            None,
            None,
            cable_m,
            supply,
            NOWHERE,
        )

    def add_bay(self, name: str, place: str, points: int, rows: dict[str, dict[int, int]]) -> None:
        """A bay with its rows: by name, the port at each point that has one."""
        numbers_of_rows = tuple(range(len(self.rows), len(self.rows) + len(rows)))
        for row, ports in rows.items():
            index, first = len(self.rows), len(self.jacks)
            self.jacks += [
                Jack(first + point - 1, f"{row}{point}", index, point, ports.get(point, NO_PORT), NOWHERE)
                for point in range(1, points + 1)
            ]
            self.rows.append(Row(index, row, len(self.bays), first, points))
        self.bays.append(Bay(len(self.bays), name, place, points, numbers_of_rows, NOWHERE))

    def add_studio(self, studio: Studio) -> None:
        """One studio: its gear, its two bays and what joins their jacks."""
        of = self.add_gear(studio)
        wired: dict[str, dict[int, int]] = {row: {} for row in ROWS}
        for run in RUNS:
            for step, label in enumerate(run.labels):
                wired[run.row][run.first + step] = of[run.name, label, run.own]
        for bay, rows in bays_of(studio):
            self.add_bay(bay, place_of(studio), POINTS, {studio.address(row, ""): wired[row] for row in rows})
        for runs, into, cross in ((NORMALS, self.normals, False), (CROSS_NORMALS, self.cross_normals, True)):
            into += [
                Normal(jack(studio, run.top, point), jack(studio, run.bottom, point), run.kind, cross, NOWHERE)
                for run in runs
                for point in range(run.first, run.last + 1)
            ]
        self.mults += [
            Mult(
                studio.name("Mult", str(number)),
                tuple(jack(studio, row, point) for point in range(first, last + 1)),
                NOWHERE,
            )
            for number, (row, first, last) in enumerate(MULTS, 1)
        ]
        self.house_patch += [
            HouseCord(tuple(jack(studio, row, point) for row, point in cord), None, NOWHERE) for cord in HOUSE_PATCH
        ]
        if studio.next_number != studio.number:
            following = studio._replace(number=studio.next_number)
            self.ties += [
                Tie(
                    studio.name("Tie", str(number)),
                    jack(studio, "C", point),
                    jack(following, "D", point),
                    TIE_METRES,
                    NOWHERE,
                )
                for number, point in enumerate(TIE_POINTS, 1)
            ]


def jack(studio: Studio, row: str, point: int) -> int:
    """The number of a studio's jack."""
    return (studio.number - 1) * JACKS_A_STUDIO + ROWS.index(row) * POINTS + point - 1


def bays_of(studio: Studio) -> tuple[tuple[str, tuple[str, str]], ...]:
    """A studio's bays: their names and their rows."""
    return ((studio.name("main bay"), ("A", "B")), (studio.name("second bay"), ("C", "D")))


def place_of(studio: Studio) -> str:
    """The place in which a studio's bays stand."""
    return f"Studio {studio.number}"


SPARE_BAY, SPARE_ROWS, SPARE_PLACE = "Spare bay", ("XA", "XB"), "Store room"


def generated_room(jacks: int, seed: int = 1) -> Room:
    """A room of exactly so many jacks; ValueError where that is odd or less than one studio."""
    spare = spare_points(jacks)
    builder = _Builder()
    made = studios(jacks, seed)
    for studio in made:
        builder.add_studio(studio)
    if spare:
        builder.add_bay(SPARE_BAY, SPARE_PLACE, spare, {row: {} for row in SPARE_ROWS})
    return Room(
        name=room_name(jacks),
        gear=tuple(builder.gear),
        ports=tuple(builder.ports),
        bays=tuple(builder.bays),
        rows=tuple(builder.rows),
        jacks=tuple(builder.jacks),
        normals=(*builder.normals, *builder.cross_normals),
        ties=tuple(builder.ties),
        mults=tuple(builder.mults),
        mics=MICS,
        cords={length: count * len(made) for length, count in CORDS.items()},
        house_patch=tuple(builder.house_patch),
    )
