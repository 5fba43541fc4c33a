"""Random rooms as a room file can state them, with everything that one can state, and names that try the writers."""

from __future__ import annotations

from dataclasses import replace
from random import Random
from typing import Any

from model.bench.written.room_writer import write_room
from model.electric import dbu_from_dbv
from model.room.file import parse_room
from model.room.inside import SELECTED
from model.room.kinds import NORMALLED_BY, REACHED_FROM, SLEEVES
from model.room.wiring import STRIPS, Accepted, Gear, HouseCord, JackText, Port, Room
from tests.random_rooms import random_room

# What stands in place of 'Box' in names: signs that mean something to YAML, to spreadsheets, to HTML.
STEMS = (
    "Box", "Stage box", "=Sum", "+Box", "-Box", "@Box", "'Box", "Bo#x", "Box: red", "&Box", "*Box", "no", "12:30", "Flügel",
    "箱", "<b Box", "Box & co", "[Box]", "!Box", "|Box", "1", "~", "null", "Box;x", "%Box", "`Box", "Box\\", "0x1F", "1e3",
)  # fmt: skip

TEXTS = (JackText("HALL 1"), JackText("HALL 2", "=101"), JackText("", "102"), JackText("#", "", "it's loose: <b>"))


ACCEPTED = (
    Accepted("A1-2, B1", ("A1", "A2", "B1"), "half-normalled-mic", "it's meant: so, #1", 0),
    Accepted("cords", (), "short-of-cords", "=1", 0),
)


def writable_room(rng: Random, points: int = 6, bays: int = 2) -> Room:
    """A random room, as it is when it was written to a file and read from it."""
    room = random_room(rng, points, bays)
    stem = rng.choice(STEMS)
    ports = list(room.ports)
    gear = []
    for machine in room.gear:
        name = machine.name.replace("Box", stem)
        ways = tuple(each for each in machine.ways if each.condition != SELECTED or len(each.inputs) > 1)
        gear.append(machine._replace(name=name, ways=ways))
        for number in machine.ports:
            port = ports[number]
            if port.name == port.own:  # gear whose ports bear their own names alone
                continue
            own = port.own if len(machine.ports) > 1 or rng.random() < 0.5 else ""
            full = f"{name} {own}" if len(machine.ports) > 1 else name
            supply = port.supply
            if supply is not None and supply.switch != "bank":
                supply = supply._replace(switch=full)
            level = dbu_from_dbv(-10.0) if port.level_dbu == -7.78 else port.level_dbu
            top = rng.choice((None, 24.0))
            ports[number] = port._replace(
                name=full, own=own, supply=supply, level_dbu=level, max_dbu=top, **_manner(rng, port)
            )
    normals, joined = [], set()
    for normal in room.normals:
        pair = frozenset((normal.top, normal.bottom))
        if pair not in joined:
            joined.add(pair)
            normals.append(normal)
    ties = [
        tie for number, tie in enumerate(room.ties) if {tie.a, tie.b} not in [{t.a, t.b} for t in room.ties[:number]]
    ]
    jacks = list(range(len(room.jacks)))
    rng.shuffle(jacks)
    house = tuple(
        HouseCord((jacks[2 * n], jacks[2 * n + 1]), rng.choice((None, 60.0, 62.5)), 0) for n in range(rng.randrange(3))
    )
    return as_read(
        replace(
            room,
            name=rng.choice(("Saltmarsh, Studio B", "=1+1", "{odd} [name]", "yes")),
            gear=tuple(gear),
            ports=tuple(ports),
            normals=tuple(normals),
            ties=tuple(ties),
            bays=tuple(
                bay._replace(place=rng.choice(("", "Hall", "Gate {1-2}")), **_keys(rng, points)) for bay in room.bays
            ),
            jack_texts={jack: rng.choice(TEXTS) for jack in sorted(jacks[:7])},
            cords=rng.choice((None, {}, {60: 2, 100: 1})),
            house_patch=house,
            marks=rng.choice(({}, {"full": "white", "half top": "#1: red"})),
            mics=tuple(
                mic._replace(works_from_v=rng.choice((None, 11.5))) if mic.phantom_v is not None else mic
                for mic in room.mics
            ),
            accepted=rng.choice(((), ACCEPTED)),
            priors=rng.choice(({}, {"cord": 10.0, "normal contact": 1e-06})),
        )
    )


def _manner(rng: Random, port: Port) -> dict[str, Any]:
    """What a port of its kind may state beside its figures."""
    said = {key: rng.random() < 0.1 for key in ("ears", "switched")}
    amplifier = port.kind.name == "speaker out"
    return {
        **said,
        "balanced": rng.random() < 0.9,
        "least_ohm": rng.choice((None, 4.0)) if amplifier else None,
        "bridged": amplifier and rng.random() < 0.5,
        "rate_hz": rng.choice((None, 44_100.0, 48_000.0, 176_400.0, 44_055.9)) if port.kind.digital else None,
    }


def _keys(rng: Random, points: int) -> dict[str, Any]:
    return {
        "normalled_by": rng.choice(NORMALLED_BY),
        "reached_from": rng.choice(REACHED_FROM),
        "jumper_carries": rng.choice((1, 2)),
        "sleeve": rng.choice((None, *SLEEVES)),
        "pitch_mm": rng.choice((None, 9.0, 16.25)),
        "strip_height_mm": rng.choice((None, 8.5)),
        "first_mm": rng.choice((None, 0.0, 12.0)),
        "groups": rng.choice(((), ((points // 2, 3.5),))),
        "strips": rng.choice(("", *STRIPS)),
    }


def _inside(machine: Gear) -> dict[str, Any]:
    """What passes inside gear as pairs in one order, and those on a condition with it."""
    ways = {(into, out, each.condition) for each in machine.ways for into in each.inputs for out in each.outputs}
    always = machine.through if isinstance(machine.through, bool) else tuple(sorted(machine.through))
    return {"through": (always or ()) if ways else always, "ways": tuple(sorted(ways))}


def as_read(room: Room) -> Room:
    """The room as its file is read."""
    return parse_room(write_room(room))


def without_lines(room: Room) -> Room:
    """The room without the lines of its file, and its normals, ties and mults in one order: what it means."""

    def bare(members: Any) -> Any:
        return tuple(member._replace(line=0) for member in members)

    gear = tuple(machine._replace(**_inside(machine)) for machine in bare(room.gear))
    return replace(
        room,
        gear=gear,
        **{name: bare(getattr(room, name)) for name in ("ports", "bays", "jacks", "mics", "house_patch", "accepted")},
        normals=tuple(sorted(bare(room.normals), key=lambda n: (n.cross, n.top, n.bottom))),
        ties=tuple(
            sorted((t._replace(a=min(t.a, t.b), b=max(t.a, t.b)) for t in bare(room.ties)), key=lambda t: t.name)
        ),
        mults=tuple(sorted((m._replace(jacks=tuple(sorted(m.jacks))) for m in bare(room.mults)), key=lambda m: m.name)),
    )
