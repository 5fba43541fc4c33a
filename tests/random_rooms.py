"""Small random rooms with everything a room can have: every kind of normal, cross normals, ties, mults, ports wired twice."""

from __future__ import annotations

from collections.abc import Sequence
from random import Random

from model.room.inside import ASSIGNED, CONDITIONS, SELECTED, Ways
from model.room.kinds import FEED_OHM, KINDS, NORMAL_KINDS, TIE_KINDS
from model.room.wiring import NO_PORT, Bay, Gear, Jack, Mic, Mult, Normal, Port, Room, Row, Supply, Tie

MICS = (
    Mic("dynamic", 200.0, None, 0.0, False, 0),
    Mic("condenser", 150.0, 48.0, 4.0, False, 0),
    Mic("ribbon", 300.0, None, 0.0, True, 0),
)


def random_ways(
    rng: Random, ins: Sequence[int], outs: Sequence[int], taken: Sequence[tuple[int, int]]
) -> tuple[Ways, ...]:
    """Ways on some condition beside those that always pass: one at most from each input to each output."""
    left = {(i, o) for i in ins for o in outs}.difference(taken)
    ways = []
    for condition in CONDITIONS.values() if rng.random() < 0.5 else ():
        some_ins = tuple(i for i in ins if rng.random() < 0.7)
        some_outs = tuple(o for o in outs if rng.random() < 0.7)
        block = {(i, o) for i in some_ins for o in some_outs}
        if block and block <= left:
            left -= block
            ways.append(Ways(some_ins, some_outs, condition))
    return tuple(ways)


def desk(rng: Random, gear: list[Gear], ports: list[Port]) -> None:
    """A small desk of one piece: channels with two inputs, one of them selected, to busses as assigned, and direct."""
    index = len(gear)
    own: dict[str, list[int]] = {"line in": [], "mic in": [], "line out": [], "bus": []}
    for name, count in (("line in", 3), ("mic in", 2), ("line out", 3), ("bus", 2)):
        for number in range(count):
            kind = KINDS["line out" if name == "bus" else name]
            full = f"Desk {name} {number + 1}"
            port = Port(len(ports), full, full, index, kind, kind.ohms, True, None, None, 0.0, None, index + 1)
            own[name].append(port.index)
            ports.append(port)
    lines, mics, outs, busses = own.values()
    ways = [Ways((line, mic), (out,), SELECTED) for line, mic, out in zip(lines, mics, outs, strict=False)]
    ways.append(Ways((*lines, *mics), tuple(busses), ASSIGNED))
    pairs = ((lines[2], outs[2]),)
    gear.append(Gear(index, "Desk", (*lines, *mics, *outs, *busses), pairs, index + 1, tuple(ways)))


def random_room(
    rng: Random, points: int = 6, bays: int = 2, analogue_only: bool = False, conditions: bool = True
) -> Room:
    """A room of ``bays`` bays of ``points`` points, with gear, normals, ties and mults thrown in at random.

    With ``conditions``, some of what passes inside gear does so only if assigned, selected or armed.
    """
    kinds = [kind for kind in KINDS.values() if not (analogue_only and kind.digital)]
    gear: list[Gear] = []
    ports: list[Port] = []
    for number in range(points * bays):
        name = f"Box {number + 1}"
        own: list[int] = []
        for index in range(rng.choice((1, 2, 2, 3))):
            # most gear is of the common kinds, so that nets of several ports come about
            kind = (
                rng.choice(kinds)
                if rng.random() < 0.3
                else KINDS[rng.choice(("mic line", "mic in", "line out", "line in"))]
            )
            supply = None
            if kind.is_mic_in and rng.random() < 0.7:
                volts = rng.choice((12.0, 24.0, 48.0))
                shared = rng.random() < 0.3
                supply = Supply(volts, FEED_OHM[volts], "bank" if shared else f"{name} p{index}", True)
            stated = rng.random() < 0.5
            ports.append(
                Port(
                    len(ports),
                    f"{name} p{index}",
                    f"p{index}",
                    number,
                    kind,
                    rng.uniform(0.2, 3.0) * kind.ohms if stated else kind.ohms,
                    not stated,
                    rng.choice((None, 4.0, -7.78, 18.0)),
                    None,
                    rng.choice((0.0, 0.0, 5.0, 120.0)),
                    supply,
                    number + 1,
                )
            )
            own.append(len(ports) - 1)
        ins = [p for p in own if not ports[p].kind.is_output]
        outs = [p for p in own if ports[p].kind.is_output]
        pairs = tuple((i, o) for i in ins for o in outs if rng.random() < 0.5)
        through = rng.choice((True, True, False, pairs))
        ways: tuple[Ways, ...] = ()
        if conditions and through is not True:
            ways = random_ways(rng, ins, outs, through or ())
        gear.append(Gear(number, name, tuple(own), through, number + 1, ways))
    if conditions and rng.random() < 0.7:
        desk(rng, gear, ports)
    rows: list[Row] = []
    panels: list[Bay] = []
    jacks: list[Jack] = []
    free = [p.index for p in ports]
    rng.shuffle(free)
    for number in range(bays):
        own_rows = []
        for _ in range(2):
            row = Row(len(rows), "ABCDEFGH"[len(rows)], number, len(jacks), points)
            own_rows.append(row.index)
            rows.append(row)
            for point in range(1, points + 1):
                port = free.pop() if free and rng.random() < 0.75 else NO_PORT
                if port == NO_PORT and rng.random() < 0.05:
                    port = rng.randrange(len(ports))  # a port at two jacks
                jacks.append(Jack(len(jacks), f"{row.name}{point}", row.index, point, port, 0))
        panels.append(Bay(number, f"Bay {number + 1}", "", points, tuple(own_rows), 0))
    every = range(len(jacks))
    normals = [
        Normal(top, top + points, normal, False, 0)
        for bay in panels
        for top in range(rows[bay.rows[0]].first, rows[bay.rows[0]].first + points)
        if (normal := rng.choice([*NORMAL_KINDS, "none"])) != "none"
    ]
    for _ in range(rng.randrange(4)):
        top, bottom = rng.sample(every, 2)
        normals.append(Normal(top, bottom, rng.choice(list(NORMAL_KINDS)), True, 0))
    ties = []
    for number in range(rng.randrange(3)):
        a, b = rng.sample(every, 2)
        ties.append(Tie(f"Tie {number + 1}", a, b, rng.choice((0.0, 30.0)), 0, rng.choice(("", *TIE_KINDS))))
    mults = []
    rest = list(every)
    rng.shuffle(rest)
    for number in range(rng.randrange(3)):
        size = rng.randint(2, 4)
        mults.append(Mult(f"Mult {number + 1}", tuple(rest[:size]), 0))
        del rest[:size]
    return Room(
        "Random",
        tuple(gear),
        tuple(ports),
        tuple(panels),
        tuple(rows),
        tuple(jacks),
        tuple(normals),
        tuple(ties),
        tuple(mults),
        MICS,
        rng.choice((None, {60: 2, 100: 1})),
    )
