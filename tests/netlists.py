"""A netlist judge: a room file's text and what was typed, drawn as netlists and solved by ngspice.

Nothing of the program is here, neither its reading of room files nor its nets or formulas: the text is read by PyYAML, what
touches what is found by scipy, and ngspice solves the circuits. All circuits of a run stand in one netlist, side by side.
"""

from __future__ import annotations

import math
import re
import shutil
import subprocess
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import Any, NamedTuple

import yaml
from scipy.sparse import coo_matrix
from scipy.sparse.csgraph import connected_components

NGSPICE = shutil.which("ngspice")
FARAD_PER_M = 100e-12  # analogue cable: common practice, no source


class Port(NamedTuple):
    """A port as the room file states it."""

    name: str
    output: bool
    ohms: float
    level_dbu: float | None
    cable_m: float
    volts: float | None
    leg_ohm: float | None


@dataclass
class Deck:
    """Circuits that ngspice solves in one run; each has nodes of its own."""

    lines: list[str] = field(default_factory=list)
    asked: list[str] = field(default_factory=list)
    circuits: int = 0

    def add(self, parts: Iterable[str], node: str = "x") -> int:
        """One more circuit, whose node is asked for; 0 is common to all. The answer is its number."""
        self.circuits += 1
        tag = self.circuits
        for number, part in enumerate(parts):
            letter, *rest = part.split()
            ends, value = (rest[:4], rest[4:]) if letter == "G" else (rest[:2], rest[2:])
            named = [end if end == "0" else f"{end}_{tag}" for end in ends]
            self.lines.append(" ".join([f"{letter}{tag}_{number}", *named, *value]))
        self.asked.append(f"{node}_{tag}")
        return tag

    def solve(self) -> tuple[list[float], list[float]]:
        """Each circuit's voltage at dc, and its magnitude at 20 kHz (1 V of every source marked so)."""
        assert NGSPICE is not None
        reads = "\n".join(f"print v({node})" for node in self.asked)
        mags = "\n".join(f"print vm({node})" for node in self.asked)
        text = "\n".join(
            [
                "bayhand's nets",
                *self.lines,
                ".options gmin=1e-18 reltol=1e-9 abstol=1e-15 vntol=1e-12",
                ".control",
                "set numdgt=14",
                "op",
                reads,
                "ac lin 1 20000 20000",
                mags,
                ".endc",
                ".end",
                "",
            ]
        )
        ran = subprocess.run([NGSPICE, "-b"], input=text, capture_output=True, text=True, timeout=120, check=False)
        found = [float(m) for m in re.findall(r"^vm?\([^)]*\) = (\S+)$", ran.stdout, re.MULTILINE)]
        assert len(found) == 2 * len(self.asked), ran.stdout + ran.stderr
        return found[: len(self.asked)], found[len(self.asked) :]


def level(sources: Sequence[float], loads: Sequence[float], farad: float = 0.0) -> list[str]:
    """1 V behind the first source's impedance; the other sources silent, so that each is its impedance to common."""
    parts = ["V s 0 dc 1 ac 1", f"R s x {sources[0]!r}"]
    parts += [f"R x 0 {ohm!r}" for ohm in (*sources[1:], *loads)]
    if farad:
        parts.append(f"C x 0 {farad!r}")
    return parts if len(parts) > 2 else [*parts, "R x 0 1e15"]


def opposed(volt_a: float, ohm_a: float, volt_b: float, ohm_b: float) -> list[str]:
    """Two outputs against each other; a node that stands at the current of the first, 1 V for 1 A."""
    return [
        f"V a 0 dc {volt_a!r}",
        f"R a m {ohm_a!r}",
        f"V b 0 dc {-volt_b!r}",
        f"R b m {ohm_b!r}",
        f"G 0 x a m {1 / ohm_a!r}",
        "R x 0 1",
    ]


def phantom(supplies: Sequence[tuple[float, float]], draw_ma: float) -> list[str]:
    """Each supply through a resistor in either leg; the microphones draw half from each. The node x is the tip."""
    parts = []
    for number, (volts, leg_ohm) in enumerate(supplies):
        parts += [f"V p{number} 0 dc {volts!r}", f"R p{number} x {leg_ohm!r}", f"R p{number} r {leg_ohm!r}"]
    return [*parts, f"I x 0 dc {draw_ma / 2000!r}", f"I r 0 dc {draw_ma / 2000!r}"]


def circulating(supplies: Sequence[tuple[float, float]], of: int) -> list[str]:
    """The supplies alone; a node that stands at the current of one of them through both legs, 1 V for 1 A."""
    leg_ohm = supplies[of][1]
    parts = [part.replace(" x ", " t ") for part in phantom(supplies, 0.0)[:-2]]
    return [*parts, f"G 0 x p{of} t {1 / leg_ohm!r}", f"G 0 x p{of} r {1 / leg_ohm!r}", "R x 0 1"]


def volt_of_dbu(level_dbu: float) -> float:
    """The voltage that drives 1 mW times 10^(dBu/10) into 600 ohm: the definition of the unit."""
    return math.sqrt(0.001 * 10 ** (level_dbu / 10) * 600)


class Typed(NamedTuple):
    """What was typed: cords as addresses and length, microphones on lines, switches that are on."""

    cords: tuple[tuple[tuple[str, ...], float | None], ...]
    mics: dict[str, str]
    on: frozenset[str]


class Net(NamedTuple):
    """The net at a jack, read off the text."""

    outputs: list[Port]
    inputs: list[Port]
    metres: float


def read(text: str) -> tuple[dict[str, Any], dict[str, Port], dict[str, str]]:
    """The room as plain data, its ports by name, and the port at each jack."""
    room = yaml.safe_load(text)
    ports = {}
    for name, table in room["gear"].items():
        level_said = table.get("level")
        ports[name] = Port(
            name,
            table["is"].endswith(("out", "line")),
            float(table["ohms"]),
            None if level_said is None else float(str(level_said).removesuffix(" dBu")),
            float(table.get("cable", 0)),
            table.get("phantom"),
            table.get("feed"),
        )
    at = {f"{row}{n}": name for bay in room["bays"] for row, jacks in bay["rows"].items() for n, name in jacks.items()}
    return room, ports, at


def net_at(text: str, typed: Typed, address: str) -> Net:
    """What touches a jack's line contact: by contacts and wires, as scipy finds them joined."""
    room, ports, at = read(text)
    contacts: dict[str, int] = {}
    edges: list[tuple[int, int]] = []

    def contact(name: str) -> int:
        return contacts.setdefault(name, len(contacts))

    def join(a: str, b: str) -> None:
        edges.append((contact(a), contact(b)))

    held = {jack for jacks, _ in typed.cords for jack in jacks}
    for bay in room["bays"]:
        for row in bay["rows"]:
            for n in range(1, bay["columns"] + 1):
                if f"{row}{n}" not in held:  # an empty jack's line contact rests on its normal contact
                    join(f"{row}{n} line", f"{row}{n} normal")
        for n, kind in bay.get("normals", {}).items():
            top, bottom = list(bay["rows"])
            join(f"{top}{n} {'line' if kind == 'half' else 'normal'}", f"{bottom}{n} normal")
    for mult in room.get("mults", []):
        jacks = mult["jacks"].split(", ")
        for jack in jacks[1:]:
            join(f"{jacks[0]} line", f"{jack} line")
    for tie in room.get("ties", []):
        join(f"{tie['from']} line", f"{tie['to']} line")
    for jacks, _ in typed.cords:
        for jack in jacks[1:]:
            join(f"{jacks[0]} line", f"{jack} line")
    a, b = zip(*edges, strict=True)
    size = len(contacts)
    _, label = connected_components(coo_matrix(([1] * len(a), (a, b)), shape=(size, size)), directed=False)
    here = {name for name, number in contacts.items() if label[number] == label[contacts[f"{address} line"]]}
    found = [ports[name] for jack, name in at.items() if f"{jack} line" in here]
    metres = sum(port.cable_m for port in found)
    metres += sum(tie["metres"] for tie in room.get("ties", []) if f"{tie['from']} line" in here)
    metres += sum((cm or 0) / 100 for jacks, cm in typed.cords if f"{jacks[0]} line" in here)
    return Net([p for p in found if p.output], [p for p in found if not p.output], metres)
