"""Figures of nets against ngspice, from the room file's text on: 60 random rooms in one run of ngspice, two seconds.

The netlists are drawn from the text by :mod:`tests.netlists`, which uses nothing of the program.
"""

from __future__ import annotations

import math
import random
from itertools import combinations
from typing import Any, NamedTuple

import pytest

from model.room.file import parse_room
from model.session import Session
from tests import netlists
from tests.netlists import Deck, Net, Typed

ROOMS = 60

pytestmark = pytest.mark.skipif(netlists.NGSPICE is None, reason="ngspice is not installed (a Debian package)")


class Room(NamedTuple):
    """A room file's text, and what is typed in it."""

    text: str
    typed: Typed

    @property
    def entries(self) -> list[str]:
        """The same as the program's user types it."""
        cords = [
            f"{jacks[0]} > {' and '.join(jacks[1:])}{f' with {cm:g} cm' if cm else ''}"
            for jacks, cm in self.typed.cords
        ]
        mics = [f"put {mic} on {line}" for line, mic in self.typed.mics.items()]
        return [*cords, *mics, *(f"phantom {name} on" for name in sorted(self.typed.on))]


def random_room(seed: int) -> Room:
    """Two rows of jacks with normals, a mult, a tie line, cords and phantom; every impedance stated."""
    rng = random.Random(seed)
    columns = 6
    gear, rows = [], {"A": {}, "B": {}}  # type: ignore[var-annotated]
    lines, supplied = [], []
    for row, kinds in (
        ("A", ("mic line", "mic line", "line out", "instrument out")),
        ("B", ("mic in", "mic in", "line in")),
    ):
        for n in range(1, columns + 1):
            if rng.random() < 0.15:
                continue
            kind = rng.choice(kinds)
            name = f"{'Out' if row == 'A' else 'In'} {n}"
            said = [f"is: {kind}", f"ohms: {10 ** rng.uniform(1.3, 3.5) * (1 if row == 'A' else 10):.6g}"]
            if rng.random() < 0.7:
                said.append(f"level: {rng.uniform(-50, 24):.2f} dBu")
            if rng.random() < 0.5:
                said.append(f"cable: {rng.uniform(1, 200):.1f}")
            if kind == "mic in" and rng.random() < 0.8:
                volts = rng.choice((48, 24, 12))
                feed = {48: 6800, 24: 1200, 12: 680}[volts] * rng.uniform(0.9, 1.1)
                said += [f"phantom: {volts + rng.uniform(-1, 1):.3f}", f"feed: {feed:.5g}"]
                supplied.append(name)
            if kind == "mic line":
                lines.append(name)
            gear.append(f"  {name}: {{{', '.join(said)}}}\n")
            rows[row][n] = name
    mics = "".join(
        f"  mic {n}: {{ohms: {rng.uniform(50, 600):.4g}, phantom: 48, draws: {rng.uniform(0.5, 9):.3g}}}\n"
        for n in range(4)
    )
    normals = ", ".join(f"{n}: {kind}" for n in range(1, columns + 1) if (kind := rng.choice(("full", "half", ""))))
    wired = "".join(
        f"      {row}: {{{', '.join(f'{n}: {name}' for n, name in jacks.items())}}}\n" for row, jacks in rows.items()
    )
    jacks = [f"{row}{n}" for row in rows for n in range(1, columns + 1)]
    mult = sorted(rng.sample(jacks, rng.choice((2, 3))))
    text = (
        f"bayhand: 1\nroom: Fernhill\ngear:\n{''.join(gear)}mics:\n{mics}bays:\n  - bay: Bay\n    columns: {columns}\n"
        f"    rows:\n{wired}    normals: {{{normals}}}\n"
        f"  - {{bay: Wall, columns: 1, rows: {{W: {{}}}}}}\n"
        f'mults:\n  - {{name: Mult 1, jacks: "{", ".join(mult)}"}}\n'
        f"ties:\n  - {{name: Tie 1, from: {rng.choice(jacks)}, to: W1, metres: {rng.uniform(5, 90):.1f}}}\n"
    )
    rng.shuffle(jacks)
    cords = []
    for _ in range(rng.randint(1, 3)):
        ends = tuple(jacks.pop() for _ in range(rng.choice((2, 2, 3))))
        cords.append((ends, rng.choice((None, 30.0, 300.0))))
    put = {line: f"mic {n}" for n, line in enumerate(rng.sample(lines, min(len(lines), rng.randint(0, 3))))}
    return Room(text, Typed(tuple(cords), put, frozenset(name for name in supplied if rng.random() < 0.6)))


def near(expected: float) -> Any:
    """To 1e-6 relative; differences of levels to 1e-8 dB."""
    return pytest.approx(expected, rel=1e-6, abs=1e-8)


class Judged(NamedTuple):
    """One figure of the program, and the circuits whose solution it must be."""

    what: str
    figure: float
    circuits: tuple[int, ...]
    read: Any  # from those circuits' dc voltages and magnitudes at 20 kHz to the figure


def db(volt: float) -> float:
    """A voltage against 1 V, in dB."""
    return 20 * math.log10(volt)


def judged(room: Room, deck: Deck) -> list[Judged]:
    """All figures of the nets of a room's plugged jacks, each with its circuit in the deck."""
    session = Session(parse_room(room.text))
    for entry in room.entries:
        outcome = session.enter(entry)
        assert outcome.ok, (entry, outcome.error)
    mics = netlists.read(room.text)[0]["mics"]
    found: list[Judged] = []
    for address in dict.fromkeys(jacks[0] for jacks, _ in room.typed.cords):
        told = session.enter(f"figures {address}").answer.extra["figures_of"]
        net = netlists.net_at(room.text, room.typed, address)
        assert {s["port"] for s in told["sources"]} == {p.name for p in net.outputs}
        assert {p["port"] for p in told["loads"]} == {p.name for p in net.inputs}
        found += of_net(room, net, told, mics, deck)
    return found


def of_net(room: Room, net: Net, told: dict[str, Any], mics: dict[str, Any], deck: Deck) -> list[Judged]:
    """The figures of one net."""
    ohm = {
        p.name: float(mics[room.typed.mics[p.name]]["ohms"]) if p.name in room.typed.mics else p.ohms
        for p in net.outputs
    }
    loads = [p.ohms for p in net.inputs]
    farad = net.metres * netlists.FARAD_PER_M
    found: list[Judged] = []
    for source in told["sources"]:
        own = ohm[source["port"]]
        others = [o for name, o in ohm.items() if name != source["port"]]
        alone, joined = deck.add(netlists.level([own], loads)), deck.add(netlists.level([own, *others], loads))
        found.append(Judged("loss_db", source["loss_db"], (alone,), lambda dc, ac, a: -db(dc[a])))
        if others:
            found.append(
                Judged(
                    "joined_loss_db", source["joined_loss_db"], (alone, joined), lambda dc, ac, a, j: db(dc[a] / dc[j])
                )
            )
        if source["level_dbu"] is not None:
            told_level = source["level_dbu"]
            found.append(
                Judged(
                    "level_on_line_dbu",
                    source["level_on_line_dbu"],
                    (joined,),
                    lambda dc, ac, j, level=told_level: level + db(dc[j]),
                )
            )
    if told["sources"] and farad:
        first = told["sources"][0]["port"]
        both = [ohm[first], *(o for name, o in ohm.items() if name != first)]
        dull = deck.add(netlists.level(both, loads, farad))
        found.append(Judged("loss_20k_db", told["cable"]["loss_20k_db"], (dull,), lambda dc, ac, d: db(dc[d] / ac[d])))
    supplies = [
        (float(p.volts), float(p.leg_ohm)) for p in net.inputs if p.name in room.typed.on and p.volts and p.leg_ohm
    ]
    if supplies:
        draw = sum(float(mics[mic]["draws"]) for line, mic in room.typed.mics.items() if line in ohm)
        line = deck.add(netlists.phantom(supplies, draw))
        found.append(Judged("line_v", told["phantom"]["line_v"], (line,), lambda dc, ac, n: max(0.0, dc[n])))
        if len(supplies) > 1:
            each = tuple(deck.add(netlists.circulating(supplies, of)) for of in range(len(supplies)))
            found.append(
                Judged(
                    "circulating_ma",
                    told["phantom"]["circulating_ma"],
                    each,
                    lambda dc, ac, *n: 1000 * max(abs(dc[i]) for i in n),
                )
            )
    stated = [p for p in net.outputs if p.level_dbu is not None]
    for warning in told["warnings"]:
        if warning["rule"] == "joined-outputs" and len(stated) > 1:
            pairs = tuple(
                deck.add(
                    netlists.opposed(
                        netlists.volt_of_dbu(a.level_dbu or 0.0),
                        ohm[a.name],
                        netlists.volt_of_dbu(b.level_dbu or 0.0),
                        ohm[b.name],
                    )
                )
                for a, b in combinations(stated, 2)
            )
            found.append(
                Judged(
                    "current_ma",
                    warning["figures"]["current_ma"],
                    pairs,
                    lambda dc, ac, *n: 1000 * max(dc[i] for i in n),
                )
            )
        if warning["rule"] == "heavy-load":
            (lone,) = ohm.values()
            circuit = deck.add(netlists.level([lone], loads))
            found.append(
                Judged("ratio", warning["figures"]["ratio"], (circuit,), lambda dc, ac, c: dc[c] / (1 - dc[c]))
            )
    return found


def test_figures_against_ngspice_from_the_room_file_on() -> None:
    """Every figure of every net that a cord is in, in one run; and none of the names is missing from the run."""
    deck = Deck()
    every = [one for seed in range(ROOMS) for one in judged(random_room(seed), deck)]
    dc, ac = deck.solve()
    volts, magnitudes = dict(enumerate(dc, start=1)), dict(enumerate(ac, start=1))
    for one in every:
        assert one.figure == near(one.read(volts, magnitudes, *one.circuits)), one.what
    names = [one.what for one in every]
    judged_names = (
        "loss_db",
        "joined_loss_db",
        "level_on_line_dbu",
        "loss_20k_db",
        "line_v",
        "circulating_ma",
        "current_ma",
    )
    assert all(names.count(name) >= 5 for name in judged_names), {name: names.count(name) for name in set(names)}


def test_the_netlist_judge_finds_a_wrong_figure() -> None:
    """200 ohm into 1500 is -1.0872 dB by the voltage divider, and not 1 % beside it."""
    deck = Deck()
    deck.add(netlists.level([200.0], [1500.0]))
    (volt,), _ = deck.solve()
    assert db(volt) == near(20 * math.log10(1500 / 1700))
    assert db(volt) != near(1.01 * 20 * math.log10(1500 / 1700))
