"""The physics of a net, as formulas of numbers: no jack, no room, no state.

Every name carries its unit. Impedances are resistive and 0 or more; an open circuit is ``math.inf`` ohm. Nothing here
checks a sign: the room file refuses a negative impedance before it can come this far.

Not modelled: transformers, the inductance of a pickup, stubs in a digital line, and a phantom supply that is off yet
pulls its feed to ground (a supply that is off counts as open; one that pulls down would be a supply of 0 V here).
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

# 0 dBu is the voltage that gives 1 mW in 600 ohm: sqrt(0.001 W x 600 ohm) = 0.774597 V.
DBU_REFERENCE_VOLT = math.sqrt(0.6)
# What a figure in dBV gains when it is told in dBu: 20 log10(1 V / 0.774597 V) = 2.218 dB.
DBU_OVER_DBV = -20 * math.log10(DBU_REFERENCE_VOLT)


# Impedances and levels


def parallel_ohm(ohms: Iterable[float]) -> float:
    """Impedances across one another let through the sum of their currents: 1/R = sum of 1/Ri.

    In ohm; with nothing across the line it is open (inf), with one short it is shorted (0). Source: Kirchhoff's
    current law and Ohm's law.

    >>> parallel_ohm([1500, 1500])
    750.0
    >>> parallel_ohm([])
    inf
    """
    siemens = 0.0
    for ohm in ohms:
        if ohm == 0:
            return 0.0
        siemens += 1 / ohm
    return 1 / siemens if siemens else math.inf


def level_db(source_ohm: float, load_ohm: float) -> float:
    """A source's impedance and its load divide its voltage: 20 log10(R / (R + Zs)), against the open source.

    In dB, 0 or less; 0 on an open line, -inf on a short. Source: Ohm's law (the voltage divider).

    >>> round(level_db(200, 1500), 3)
    -1.087
    >>> level_db(200, math.inf)
    0.0
    """
    if load_ohm == 0:
        return -math.inf
    # R / (R + Zs) with R divided out, so that an open line (R = inf) needs no case of its own.
    return 20 * math.log10(1 / (1 + source_ohm / load_ohm))


def level_with_others_db(source_ohm: float, load_ohm: float, other_ohms: Iterable[float]) -> float:
    """Other outputs on the line, silent, are further loads on this one, each with its output impedance.

    In dB, 0 or less, against the open source. Source: superposition (an ideal voltage source that is silent is a
    short, which leaves its output impedance to common).

    >>> round(level_with_others_db(50, 10_000, [50]), 2)
    -6.04
    """
    return level_db(source_ohm, parallel_ohm((load_ohm, *other_ohms)))


def opposed_current_ma(dbu_a: float, ohm_a: float, dbu_b: float, ohm_b: float) -> float:
    """Two joined outputs that swing against each other drive one current through both: (V1 + V2) / (Z1 + Z2).

    In mA rms; inf where both impedances are 0. What the loads take is left out: they are large beside two outputs.
    Source: superposition and Kirchhoff's voltage law.

    >>> round(opposed_current_ma(4, 50, 4, 50), 2)
    24.55
    """
    ohm = ohm_a + ohm_b
    return 1000 * (volt_from_dbu(dbu_a) + volt_from_dbu(dbu_b)) / ohm if ohm else math.inf


# Phantom power (IEC 61938): each leg of the line is fed through its own resistor


def phantom_feed_ohm(feed_ohms: Iterable[float]) -> float:
    """A supply feeds a line through both legs at once, half its feed resistor; several supplies are in parallel.

    ``feed_ohms`` are each supply's resistor in one leg. In ohm; inf where there is no supply. Source: IEC 61938 (P48:
    6.8 k in each leg).

    >>> round(phantom_feed_ohm([6800, 6800]), 9)
    1700.0
    """
    return parallel_ohm(feed_ohm / 2 for feed_ohm in feed_ohms)


def phantom_line_v(supplies: Sequence[tuple[float, float]], draw_ma: float) -> float:
    """The line stands where the supplies' currents through their feeds equal what the microphones draw.

    ``supplies`` are (volts, feed resistor in one leg, ohm) of those that are on; ``draw_ma`` the total draw, mA:
    Rth = 1 / sum(2 / Ri), V = Rth sum(2 Vi / Ri) - I Rth. In V; never below 0, for a draw that the supplies cannot
    give pulls the line down to nothing and no further; 0 where no supply is on. Each feed must be over 0 ohm. Source:
    Thevenin's theorem on the feed of IEC 61938.

    >>> round(phantom_line_v([(48, 6800)], 5), 9)
    31.0
    >>> round(phantom_line_v([(48, 6800), (48, 6800)], 5), 9)
    39.5
    """
    if not supplies:
        return 0.0
    siemens = short_ampere = 0.0
    for volts, feed_ohm in supplies:
        siemens += 2 / feed_ohm
        short_ampere += 2 * volts / feed_ohm
    return max(0.0, (short_ampere - draw_ma / 1000) / siemens)


def phantom_circulating_ma(supplies: Sequence[tuple[float, float]]) -> float:
    """Supplies of different voltage drive a current from the higher to the lower through their feeds.

    ``supplies`` are (volts, feed resistor in one leg, ohm) of those that are on. In mA, the largest that runs out of one
    of them or into one, both legs together, with no microphone on the line; 0 for one alone. Source: Ohm's law on the feed of
    IEC 61938, half of each feed resistor as both legs carry it, about the voltage of :func:`phantom_line_v`.

    >>> round(phantom_circulating_ma([(52, 6800), (44, 6800)]), 3)
    1.176
    """
    if len({volts for volts, _ in supplies}) < 2:
        return 0.0
    line_v = phantom_line_v(supplies, 0.0)
    return max((1000 * abs(volts - line_v) / (feed_ohm / 2) for volts, feed_ohm in supplies), default=0.0)


# Lines: digital and clock


def reflection(load_ohm: float, line_ohm: float) -> float:
    """What does not match the line's impedance sends back this share of the wave: (Zl - Z0) / (Zl + Z0).

    Without unit, -1 (a short) to 1 (open); 0 where it matches. Source: transmission line theory; the line's
    impedance by AES3-4 (110 ohm), AES-3id and IEC 60958-3 (75 ohm).

    >>> round(reflection(55, 110), 4)
    -0.3333
    """
    if load_ohm == math.inf:
        return 1.0
    return (load_ohm - line_ohm) / (load_ohm + line_ohm)


def return_loss_db(reflection: float) -> float:
    """How far the wave that comes back lies under the wave sent: -20 log10 |reflection|.

    In dB; inf where nothing comes back. Source: the definition of return loss.

    >>> round(return_loss_db(-1 / 3), 2)
    9.54
    """
    return 20 * math.log10(1 / abs(reflection)) if reflection else math.inf


def quarter_wave_m(freq_hz: float, speed_m_per_s: float = 2e8) -> float:
    """A stub of a quarter of the wavelength is a short to that frequency: speed / (4 f).

    In m. Source: transmission line theory; 2e8 m/s in cable is common practice, no source.

    >>> round(quarter_wave_m(6.144e6), 1)
    8.1
    """
    return speed_m_per_s / (4 * freq_hz)


# Cable


def corner_hz(ohm: float, farad: float) -> float:
    """Cable's capacitance across the line shorts the treble: 3 dB are lost at 1 / (2 pi R C).

    ``ohm`` is source and loads in parallel. In Hz; inf without cable. Source: the first order low pass.

    >>> round(corner_hz(200, 100 * 100e-12))
    79577
    """
    second = ohm * farad
    return 1 / (2 * math.pi * second) if second else math.inf


def lowpass_loss_db(freq_hz: float, corner_hz: float) -> float:
    """Over its corner a first order low pass loses 6 dB an octave: 10 log10(1 + (f / fc)^2).

    In dB, 0 or more, against the same net without cable. Source: the first order low pass.

    >>> round(lowpass_loss_db(20_000, 26_526), 3)
    1.955
    >>> lowpass_loss_db(20_000, math.inf)
    0.0
    """
    return 10 * math.log10(1 + (freq_hz / corner_hz) ** 2)


# Levels as voltages


def volt_from_dbu(level_dbu: float) -> float:
    """0 dBu is sqrt(0.6) V, the voltage of 1 mW in 600 ohm.

    In V rms. Source: the definition of the dBu.

    >>> round(volt_from_dbu(4), 5)
    1.22765
    """
    return DBU_REFERENCE_VOLT * math.pow(10, level_dbu / 20)


def dbu_from_dbv(level_dbv: float) -> float:
    """0 dBV is 1 V, which is 2.218 dBu.

    In dBu. Source: the definitions of the dBu and the dBV.

    >>> round(4 - dbu_from_dbv(-10), 2)
    11.78
    """
    return level_dbv + DBU_OVER_DBV


def dbv_from_dbu(level_dbu: float) -> float:
    """The same voltage told against 1 V: 2.218 less.

    In dBV. Source: the definitions of the dBu and the dBV.

    >>> round(dbv_from_dbu(4), 3)
    1.782
    """
    return level_dbu - DBU_OVER_DBV
