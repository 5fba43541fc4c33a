"""Independent judges of a net: lcapy for circuits, scikit-rf for lines. None of the program's formulas is here.

Each function takes plain numbers, draws the net as a netlist, lets the library solve it, and reads off the answer.
lcapy solves in exact fractions by modified nodal analysis, 10 to 30 ms a netlist. It is asked for the s domain directly
(``VS sS 0 s 1``), where a resistive net answers as it does at dc: from a dc source it would first split every voltage
into dc, ac and noise, which takes half as long again. A load of ``math.inf`` ohm is open: the netlist leaves it out.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from typing import Any, NamedTuple

import skrf
import sympy  # type: ignore[import-untyped]
from lcapy import Circuit as Netlist

LINE = "1"  # the node that all sources and loads meet at; 0 is common


def volt_of_dbu(level_dbu: float) -> float:
    """The voltage that drives 1 mW times 10^(dBu/10) into 600 ohm: P = V^2 / R, the definition of the unit."""
    return math.sqrt(0.001 * 10 ** (level_dbu / 10) * 600)


class Cable(NamedTuple):
    """What the cable on a net does to the treble."""

    level_db: float  # of the source on the line where the cable does not count, against its open voltage
    loss_db: float  # at the frequency asked for, against that level
    corner_hz: float


class Bounce(NamedTuple):
    """What comes back from the end of a line."""

    reflection: float
    return_loss_db: float


def _analysis(netlist: Iterable[str]) -> Any:
    """lcapy's modified nodal analysis of a netlist, in the s domain."""
    return Netlist("\n".join(netlist), kind="s").modified_nodal_analysis()


def volt_at(netlist: Iterable[str], node: str = LINE) -> Any:
    """The voltage of a node, as an expression of sympy: a number, or a function of s where a part is reactive."""
    return _analysis(netlist).Vdict[node].expr


def _across(name: str, ohms: Iterable[float]) -> list[str]:
    """Impedances from the line to common: loads, or silent sources (each a short behind its impedance)."""
    return [f"R{name}{i} {LINE} 0 {ohm!r}" for i, ohm in enumerate(ohms) if ohm != math.inf]


def _drive(volt: float, ohm: float, name: str = "S") -> list[str]:
    """A source that drives the line from behind its impedance."""
    return [f"V{name} s{name} 0 s {volt!r}", f"R{name} s{name} {LINE} {ohm!r}"]


def level_db(source_ohm: float, load_ohms: Iterable[float], silent_ohms: Iterable[float] = ()) -> float:
    """The level on the line of one source, other sources silent across it; in dB against its open voltage."""
    return 20 * math.log10(
        float(volt_at([*_drive(1, source_ohm), *_across("L", load_ohms), *_across("O", silent_ohms)]))
    )


def source_current_ma(sources: Sequence[tuple[float, float]], load_ohms: Iterable[float]) -> float:
    """The current out of the first of some joined sources (volt, ohm), mA; one in opposition has a negative voltage."""
    netlist = _across("L", load_ohms)
    for i, (volt, ohm) in enumerate(sources):
        netlist += _drive(volt, ohm, str(i))
    return 1000 * float(_analysis(netlist).Idict["R0"].expr)


def cable(
    source_ohm: float,
    load_ohms: Iterable[float],
    silent_ohms: Iterable[float],
    farad: float,
    freq_hz: float = 20_000.0,
) -> Cable:
    """One source drives the line and its cable's capacitance (over 0 F), other sources silent across it.

    lcapy's transfer function H(s) is read at s = 0, at s = j 2 pi f, and at its pole, which is the corner.
    """
    loads = [*_across("L", load_ohms), *_across("O", silent_ohms)]
    transfer = volt_at([*_drive(1, source_ohm), *loads, f"C1 {LINE} 0 {farad!r}"])
    low = magnitude(transfer, 0)
    (s,) = transfer.free_symbols
    (pole,) = sympy.roots(sympy.fraction(sympy.together(transfer))[1], s)
    return Cable(
        level_db=20 * math.log10(low),
        loss_db=20 * math.log10(low / magnitude(transfer, freq_hz)),
        corner_hz=float(-pole) / (2 * math.pi),
    )


def magnitude(transfer: Any, freq_hz: float) -> float:
    """|H(j 2 pi f)|: how much of the source's voltage stands there at a frequency."""
    (s,) = transfer.free_symbols
    return abs(complex(transfer.subs(s, 2 * sympy.pi * freq_hz * sympy.I)))


def phantom_line_v(supplies: Iterable[tuple[float, float]], draw_ma: float) -> float:
    """Supplies (volts, ohm in each leg), at least one, drawn with both legs; the microphone draws half from each.

    In V, below 0 where the microphone would draw more than the supplies can give.
    """
    netlist = []
    for i, (volts, feed_ohm) in enumerate(supplies):
        netlist += [f"V{i} p{i} 0 s {volts!r}", f"RT{i} p{i} tip {feed_ohm!r}", f"RR{i} p{i} ring {feed_ohm!r}"]
    # lcapy's current source drives its current out at the first node: here, from the leg to common.
    netlist += [f"I{leg} 0 {leg} s {draw_ma / 2000!r}" for leg in ("tip", "ring")]
    return float(volt_at(netlist, "tip"))


def phantom_feed_ohm(feed_ohms: Iterable[float]) -> float:
    """What 1 A into a line, half into each leg, raises it by while its supplies (at least one) stand at 0 V."""
    netlist = ["Itip tip 0 s 0.5", "Iring ring 0 s 0.5"]
    for i, feed_ohm in enumerate(feed_ohms):
        netlist += [f"RT{i} 0 tip {feed_ohm!r}", f"RR{i} 0 ring {feed_ohm!r}"]
    return float(volt_at(netlist, "tip"))


def bounce(load_ohms: Iterable[float], line_ohm: float) -> Bounce:
    """Receivers across the end of a line: each a shunt on the open end, in scikit-rf's own network algebra."""
    line = skrf.media.DefinedGammaZ0(skrf.Frequency(6.144e6, 6.144e6, 1, "hz"), z0=line_ohm)
    end = line.open()
    for ohm in load_ohms:
        end = line.shunt(line.resistor(ohm) ** line.short()) ** end
    return Bounce(float(end.s[0, 0, 0].real), float(-end.s_db[0, 0, 0]))
