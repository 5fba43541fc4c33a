"""The kinds of port and of normal: one table each, which everything else reads.

The ohms are each kind's default, used where a room file states none. They are common practice (no source) unless a
line says otherwise; `bayhand help kinds` gives the reason for each.
"""

from __future__ import annotations

from typing import NamedTuple


class Kind(NamedTuple):
    """What a port is: which way its signal runs, what family it belongs to, and its default impedance.

    ``ohms`` is the port's own impedance; ``line_ohms`` the impedance of the line that a digital or clock port expects
    (AES3-4: 110 ohm balanced; AES-3id and IEC 60958-3: 75 ohm coaxial).

    >>> KINDS["mic in"].ohms
    1500.0
    """

    name: str
    way: str  # 'out' or 'in'
    family: str  # mic, line, instrument, aes3, coax, clock, speaker
    ohms: float
    line_ohms: float | None
    is_output: bool
    digital: bool  # carries a digital or a clock signal
    is_mic_line: bool
    is_mic_in: bool


def _kind(name: str, way: str, family: str, ohms: float, line_ohms: float | None = None) -> Kind:
    output, mic = way == "out", family == "mic"
    return Kind(name, way, family, ohms, line_ohms, output, line_ohms is not None, mic and output, mic and not output)


KINDS: dict[str, Kind] = {
    kind.name: kind
    for kind in (
        _kind("mic line", "out", "mic", 200.0),
        _kind("mic in", "in", "mic", 1500.0),
        _kind("line out", "out", "line", 100.0),
        _kind("line in", "in", "line", 10_000.0),
        _kind("instrument out", "out", "instrument", 10_000.0),
        _kind("instrument in", "in", "instrument", 1_000_000.0),
        _kind("aes3 out", "out", "aes3", 110.0, 110.0),
        _kind("aes3 in", "in", "aes3", 110.0, 110.0),
        _kind("coax out", "out", "coax", 75.0, 75.0),
        _kind("coax in", "in", "coax", 75.0, 75.0),
        _kind("clock out", "out", "clock", 75.0, 75.0),
        _kind("clock in", "in", "clock", 75.0, 75.0),
        _kind("speaker out", "out", "speaker", 0.1),
        _kind("speaker in", "in", "speaker", 8.0),
    )
}

# Feed resistor of each leg by supply voltage (IEC 61938: P48, P24, P12).
FEED_OHM: dict[float, float] = {48.0: 6800.0, 24.0: 1200.0, 12.0: 680.0}

# Capacitance of cable, pF/m: common practice, no source.
ANALOGUE_PF_PER_M = 100.0
DIGITAL_PF_PER_M = 45.0


class NormalKind(NamedTuple):
    """How a normal is wired: which contact of each of its two jacks it takes.

    A jack's normal contact touches its line contact only while the jack is empty; hence what breaks the normal.
    """

    name: str
    top_at_normal: bool
    bottom_at_normal: bool
    words: str


NORMAL_KINDS: dict[str, NormalKind] = {
    kind.name: kind
    for kind in (
        NormalKind("full", True, True, "full normal"),
        NormalKind("half", False, True, "half normal"),
        NormalKind("half top", True, False, "half normal, broken at the top"),
        NormalKind("parallel", False, False, "parallel"),
    )
}
NO_NORMAL = "none"

# How a bay is normalled, the first being the default: what makes its normals, and from where they are reached.
NORMALLED_BY = ("jumpers", "switches", "solder", "fixed")
REACHED_FROM = ("rear", "front")
MAX_CONDUCTORS = 3  # of a normal: tip, ring, and the sleeve where it is carried
# What becomes of the sleeves: a conductor of each normal, joined all along the bay, or each for itself.
SLEEVES = ("carried", "bussed", "isolated")
