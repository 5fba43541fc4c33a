"""Every published or calculated number that the formulas of ``model.electric`` must give, each with its source.

A figure must come out right to the digits shown: within half a unit of the last one.
"""

from __future__ import annotations

import doctest
import math
from decimal import Decimal
from typing import NamedTuple

import pytest

from model import electric
from model.electric import (
    corner_hz,
    dbu_from_dbv,
    level_db,
    level_with_others_db,
    lowpass_loss_db,
    opposed_current_ma,
    parallel_ohm,
    phantom_circulating_ma,
    phantom_feed_ohm,
    phantom_line_v,
    quarter_wave_m,
    reflection,
    return_loss_db,
    volt_from_dbu,
)
from model.room.kinds import FEED_OHM, KINDS, PHANTOM_CLASSES


class Row(NamedTuple):
    """A line of the table: what it is, what the program says, the number as its source shows it, and that source."""

    name: str
    computed: float
    expected: str
    source: str


# Sources. "Arithmetic" is exact to the digits shown; "ngspice": a circuit simulator gave the same figure.
OHM = "arithmetic on Ohm's law"
OHM_SPICE = "arithmetic on Ohm's law, also by ngspice"
P48 = "feed of IEC 61938 (EN 61938:1997, second-hand, unverified), arithmetic"
P48_SPICE = "feed of IEC 61938 (EN 61938:1997, second-hand, unverified), arithmetic, also by ngspice"
P24 = "feed of IEC 61938, second-hand, unverified; its tolerance of 4 V and its 10 mA from memory"
P12 = "feed and 15 mA of IEC 61938, second-hand, unverified; its tolerance of 1 V from memory"
MIC_RATED = "IEC 60268-4, 10.2 and 10.3, example of rated impedance and rated minimum load, second-hand, unverified"
DBU = "arithmetic on the definitions of dBu and dBV"
R68 = "EBU R68, second-hand, unverified"
RP155 = "SMPTE RP 155, second-hand, unverified"
WAVE = "arithmetic on the reflection of a line, also by ngspice and scikit-rf"
WAVE_RF = "arithmetic on the reflection of a line, also by scikit-rf"
AES3 = "AES3-4: Handbook for Sound Engineers, 4th ed., ch. 39, p. 1470"
AES3_EDGE = (
    "AES3-4, 110 ohm +-20 %: Handbook for Sound Engineers, 4th ed., ch. 39, p. 1470; arithmetic, also by scikit-rf"
)
AES3_ID = "AES-3id (SMPTE 276M), second-hand, unverified"
IEC_60958_3 = "IEC 60958-3, second-hand, unverified"
QUARTER = "AES3-4, up to 128 x frame rate (Handbook, p. 1470), 48 kHz; 2e8 m/s; arithmetic"
CABLE = "arithmetic on the first order low pass; 100 pF/m is common practice, no source"
COMMON = "common practice, no source"

KNOWN = {known.name: known for known in PHANTOM_CLASSES}
ONE = [(48.0, 6800.0)]
TWO = ONE * 2


def cable_farad(metres: float) -> float:
    """Analogue cable at 100 pF/m."""
    return metres * 100e-12


def cable_loss_db(ohm: float, metres: float) -> float:
    """Loss at 20 kHz."""
    return lowpass_loss_db(20_000, corner_hz(ohm, cable_farad(metres)))


ROWS = [
    # Phantom
    Row("P48 feed, each leg, ohm", FEED_OHM[48.0], "6800", P48),
    Row("P24 feed, each leg, ohm", FEED_OHM[24.0], "1200", P24),
    Row("P12 feed, each leg, ohm", FEED_OHM[12.0], "680", P12),
    Row("P48, most, V", KNOWN["P48"].volts + KNOWN["P48"].tolerance_v, "52", P48),
    Row("P48, least, V", KNOWN["P48"].least_v, "44", P48),
    Row("P24, least, V", KNOWN["P24"].least_v, "20", P24),
    Row("P12, least, V", KNOWN["P12"].least_v, "11", P12),
    Row("P48 feed of a line, ohm", phantom_feed_ohm([6800]), "3400", P48),
    Row("two P48 feeds of a line, ohm", phantom_feed_ohm([6800, 6800]), "1700", P48),
    Row("48 V, 1 mA, V", phantom_line_v(ONE, 1), "44.6", P48_SPICE),
    Row("48 V, 2 mA, V", phantom_line_v(ONE, 2), "41.2", P48_SPICE),
    Row("48 V, 3 mA, V", phantom_line_v(ONE, 3), "37.8", P48_SPICE),
    Row("48 V, 4 mA, V", phantom_line_v(ONE, 4), "34.4", P48_SPICE),
    Row("48 V, 5 mA, V", phantom_line_v(ONE, 5), "31.0", P48_SPICE),
    Row("48 V, 7 mA, V", phantom_line_v(ONE, 7), "24.2", P48_SPICE),
    Row("48 V, 10 mA (the most P48 allows), V", phantom_line_v(ONE, 10), "14.0", P48_SPICE),
    Row("two at 48 V, 1 mA, V", phantom_line_v(TWO, 1), "46.3", P48_SPICE),
    Row("two at 48 V, 2 mA, V", phantom_line_v(TWO, 2), "44.6", P48_SPICE),
    Row("two at 48 V, 3 mA, V", phantom_line_v(TWO, 3), "42.9", P48_SPICE),
    Row("two at 48 V, 4 mA, V", phantom_line_v(TWO, 4), "41.2", P48_SPICE),
    Row("two at 48 V, 5 mA, V", phantom_line_v(TWO, 5), "39.5", P48_SPICE),
    Row("two at 48 V, 7 mA, V", phantom_line_v(TWO, 7), "36.1", P48_SPICE),
    Row("two at 48 V, 10 mA, V", phantom_line_v(TWO, 10), "31.0", P48_SPICE),
    Row("52 V and 44 V (P48's tolerance), V", phantom_line_v([(52, 6800), (44, 6800)], 0), "48.0", P48_SPICE),
    Row("52 V and 44 V, circulating, mA", phantom_circulating_ma([(52, 6800), (44, 6800)]), "1.176", P48_SPICE),
    # The program takes a supply that is off for open, hence as not there. Were it to pull its feed to ground:
    Row("48 V and a pull to ground, V", phantom_line_v([(48, 6800), (0, 6800)], 0), "24.0", P48_SPICE),
    Row("48 V and a pull to ground, 5 mA, V", phantom_line_v([(48, 6800), (0, 6800)], 5), "15.5", P48_SPICE),
    # Loading
    Row("load = source, dB", level_db(1, 1), "-6.021", OHM),
    Row("load = 5 x source, dB", level_db(1, 5), "-1.584", OHM),
    Row("load = 10 x source, dB", level_db(1, 10), "-0.828", OHM),
    Row("load = 20 x source, dB", level_db(1, 20), "-0.424", OHM),
    Row("load = 100 x source, dB", level_db(1, 100), "-0.086", OHM),
    Row("150 ohm into 1.5 k, dB", level_db(150, 1500), "-0.828", OHM),
    Row("150 ohm into two of 1.5 k, dB", level_db(150, parallel_ohm([1500] * 2)), "-1.584", OHM),
    Row("150 ohm into three of 1.5 k, dB", level_db(150, parallel_ohm([1500] * 3)), "-2.279", OHM),
    Row("150 ohm into its rated least load of 1 k, dB", level_db(150, 1000), "-1.214", MIC_RATED),
    Row("200 ohm into 1.5 k, dB", level_db(200, 1500), "-1.087", OHM_SPICE),
    Row("200 ohm into two of 1.5 k, dB", level_db(200, parallel_ohm([1500] * 2)), "-2.053", OHM_SPICE),
    Row("200 ohm into three of 1.5 k, dB", level_db(200, parallel_ohm([1500] * 3)), "-2.923", OHM_SPICE),
    Row("300 ohm into 1.5 k, dB", level_db(300, 1500), "-1.584", OHM),
    Row("300 ohm into two of 1.5 k, dB", level_db(300, parallel_ohm([1500] * 2)), "-2.923", OHM),
    Row("100 ohm into 10 k, dB", level_db(100, 10_000), "-0.086", OHM),
    Row("100 ohm into two of 10 k, dB", level_db(100, parallel_ohm([10_000] * 2)), "-0.172", OHM),
    Row("100 ohm into five of 10 k, dB", level_db(100, parallel_ohm([10_000] * 5)), "-0.424", OHM),
    Row("100 ohm into ten of 10 k, dB", level_db(100, parallel_ohm([10_000] * 10)), "-0.828", OHM),
    Row("600 ohm into 600, dB", level_db(600, 600), "-6.021", OHM),
    # Joined outputs
    Row("two of 50 ohm joined on 10 k, dB", level_with_others_db(50, 10_000, [50]), "-6.04", OHM_SPICE),
    Row("in opposition at +4 dBu, mA", opposed_current_ma(4, 50, 4, 50), "24.55", OHM_SPICE),
    Row("in opposition at +24 dBu, mA", opposed_current_ma(24, 50, 24, 50), "245.5", OHM_SPICE),
    # Levels
    Row("0 dBu, V", volt_from_dbu(0), "0.774597", DBU),
    Row("+4 dBu, V", volt_from_dbu(4), "1.22765", DBU),
    Row("-10 dBV, V", volt_from_dbu(dbu_from_dbv(-10)), "0.316228", DBU),
    Row("+4 dBu less -10 dBV, dB", 4 - dbu_from_dbv(-10), "11.7815", DBU),
    Row("0 dBFS of EBU R68 (+18 dBu), V", volt_from_dbu(18), "6.153", R68),
    Row("0 dBFS of SMPTE RP 155 (+24 dBu), V", volt_from_dbu(24), "12.277", RP155),
    # Digital lines
    Row("AES3 output, ohm", KINDS["aes3 out"].ohms, "110", AES3),
    Row("AES3 input, ohm", KINDS["aes3 in"].ohms, "110", AES3),
    Row("AES3 line, ohm", KINDS["aes3 out"].line_ohms or 0, "110", AES3),
    Row("coaxial output, ohm", KINDS["coax out"].ohms, "75", AES3_ID),
    Row("coaxial input, ohm", KINDS["coax in"].ohms, "75", IEC_60958_3),
    Row("coaxial line, ohm", KINDS["coax out"].line_ohms or 0, "75", AES3_ID),
    Row("word clock line, ohm", KINDS["clock out"].line_ohms or 0, "75", COMMON + "; AES11 annex B, informative"),
    Row("two receivers of 110, ohm", parallel_ohm([110] * 2), "55", WAVE),
    Row("three receivers of 110, ohm", parallel_ohm([110] * 3), "36.67", WAVE),
    Row("110 into 55, reflection", reflection(55, 110), "-0.3333", WAVE),
    Row("110 into 36.67, reflection", reflection(110 / 3, 110), "-0.5000", WAVE),
    Row("110 into 55, return loss, dB", return_loss_db(reflection(55, 110)), "9.54", WAVE),
    Row("110 into 36.67, return loss, dB", return_loss_db(reflection(110 / 3, 110)), "6.02", WAVE),
    Row("110 into 55 against 110, dB", level_db(110, 55) - level_db(110, 110), "-3.52", WAVE),
    Row("110 into 36.67 against 110, dB", level_db(110, 110 / 3) - level_db(110, 110), "-6.02", WAVE),
    Row("110 into 75, reflection", reflection(75, 110), "-0.1892", WAVE_RF),
    Row("75 into 110, reflection", reflection(110, 75), "0.1892", WAVE_RF),
    Row("110 into 75, return loss, dB", return_loss_db(reflection(75, 110)), "14.46", WAVE_RF),
    Row("75 into 110, return loss, dB", return_loss_db(reflection(110, 75)), "14.46", WAVE_RF),
    Row("110 into 88, reflection", reflection(110 * 0.8, 110), "-0.1111", AES3_EDGE),
    Row("110 into 132, reflection", reflection(110 * 1.2, 110), "0.0909", AES3_EDGE),
    Row("quarter wave at 6.144 MHz, m", quarter_wave_m(128 * 48_000), "8.1", QUARTER),
    # Cable
    Row("200 ohm, 100 m, corner, kHz", corner_hz(200, cable_farad(100)) / 1000, "79.58", CABLE),
    Row("200 ohm, 100 m, loss at 20 kHz, dB", cable_loss_db(200, 100), "0.266", CABLE),
    Row("with 1.5 k across, kHz", corner_hz(parallel_ohm([200, 1500]), cable_farad(100)) / 1000, "90.19", CABLE),
    Row("with 1.5 k across, dB", cable_loss_db(parallel_ohm([200, 1500]), 100), "0.208", CABLE),
    Row("600 ohm, 100 m, corner, kHz", corner_hz(600, cable_farad(100)) / 1000, "26.53", CABLE),
    Row("600 ohm, 100 m, loss at 20 kHz, dB", cable_loss_db(600, 100), "1.955", CABLE),
    Row("10 k, 6 m, corner, kHz", corner_hz(10_000, cable_farad(6)) / 1000, "26.53", CABLE),
    Row("10 k, 6 m, loss at 20 kHz, dB", cable_loss_db(10_000, 6), "1.955", CABLE),
    Row("200 ohm, 300 m, corner, kHz", corner_hz(200, cable_farad(300)) / 1000, "26.53", CABLE),
    Row("200 ohm, 300 m, loss at 20 kHz, dB", cable_loss_db(200, 300), "1.955", CABLE),
]


def half_of_last_digit(shown: str) -> float:
    """Half a unit of the last digit shown.

    >>> half_of_last_digit("44.6"), half_of_last_digit("110")
    (0.05, 0.5)
    """
    exponent = Decimal(shown).as_tuple().exponent
    assert isinstance(exponent, int)
    return 0.5 * 10.0**exponent


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row.name)
def test_number(row: Row) -> None:
    """The program's figure rounds to what the source shows."""
    bound = half_of_last_digit(row.expected) * (1 + 1e-9)
    assert abs(row.computed - float(row.expected)) <= bound, f"{row.computed!r}; {row.source}"


def test_default_microphone_input_is_over_the_smallest_phantom_input() -> None:
    """1 k: IEC 61938, second-hand, unverified."""
    assert KINDS["mic in"].ohms >= 1000


# What the formulas give at their edges: one line each, by the limit of the formula.
@pytest.mark.parametrize(
    ("computed", "expected"),
    [
        pytest.param(parallel_ohm([]), math.inf, id="nothing across the line is open"),
        pytest.param(parallel_ohm([math.inf, math.inf]), math.inf, id="open loads are open"),
        pytest.param(parallel_ohm([math.inf, 50]), 50, id="an open load counts for nothing"),
        pytest.param(parallel_ohm([1500, 0]), 0, id="a short shorts all"),
        pytest.param(level_db(200, math.inf), 0, id="no load, no loss"),
        pytest.param(level_db(0, 8), 0, id="no source impedance, no loss"),
        pytest.param(level_db(200, 0), -math.inf, id="a short leaves nothing"),
        pytest.param(level_with_others_db(200, 1500, []), level_db(200, 1500), id="no others"),
        pytest.param(opposed_current_ma(4, 0, 4, 0), math.inf, id="no impedance, no bound on opposed current"),
        pytest.param(phantom_line_v([], 0), 0, id="no supply, no phantom"),
        pytest.param(phantom_line_v([(48, 6800)], 20), 0, id="phantom is pulled down to 0 V and no further"),
        pytest.param(phantom_feed_ohm([]), math.inf, id="no supply feeds nothing"),
        pytest.param(phantom_circulating_ma([(44, 6800)] * 2), 0, id="like supplies drive nothing between them"),
        pytest.param(reflection(110, 110), 0, id="a match reflects nothing"),
        pytest.param(reflection(math.inf, 110), 1, id="an open end reflects all"),
        pytest.param(reflection(0, 110), -1, id="a short reflects all, turned over"),
        pytest.param(return_loss_db(0), math.inf, id="nothing comes back"),
        pytest.param(return_loss_db(-1), 0, id="all comes back"),
        pytest.param(corner_hz(200, 0), math.inf, id="no cable, no corner"),
        pytest.param(lowpass_loss_db(20_000, math.inf), 0, id="no corner, no loss"),
        pytest.param(lowpass_loss_db(20_000, 20_000), 10 * math.log10(2), id="half the power at the corner"),
    ],
)
def test_edge(computed: float, expected: float) -> None:
    """Exact: these are limits, not measurements."""
    assert computed == expected
    assert math.copysign(1, computed) == math.copysign(1, expected), "a screen would show -0"


@pytest.mark.parametrize("dbu", [-60.0, -10.0, 0.0, 4.0, 24.0])
def test_levels_there_and_back(dbu: float) -> None:
    """dBu to volts, and those volts as dBV to dBu."""
    assert dbu_from_dbv(20 * math.log10(volt_from_dbu(dbu))) == pytest.approx(dbu, abs=1e-12)


def test_examples_in_the_docstrings_run() -> None:
    """Each public formula has an example, and each example gives what it says."""
    formulas = [
        value for name, value in vars(electric).items() if callable(value) and value.__module__ == "model.electric"
    ]
    assert len(formulas) > 12
    assert [formula.__name__ for formula in formulas if ">>>" not in (formula.__doc__ or "")] == []
    result = doctest.testmod(electric)
    assert result.attempted > len(formulas)
    assert result.failed == 0
