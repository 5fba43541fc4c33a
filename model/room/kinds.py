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


class PhantomClass(NamedTuple):
    """A class of phantom supply: its volts with their tolerance, the feed resistor of each leg, and its largest draw."""

    name: str
    volts: float
    tolerance_v: float
    feed_ohm: float
    most_ma: float

    @property
    def least_v(self) -> float:
        """The least that a supply of the class may stand at with nothing on the line, V."""
        return self.volts - self.tolerance_v


# IEC 61938, known second-hand and so unverified: the volts, the feeds, the draws of P48 and P12, the tolerance of P48. The
# tolerances of P24 (4 V) and P12 (1 V) and the draw of P24 are from memory.
PHANTOM_CLASSES: tuple[PhantomClass, ...] = (
    PhantomClass("P48", 48.0, 4.0, 6800.0, 10.0),
    PhantomClass("P24", 24.0, 4.0, 1200.0, 10.0),
    PhantomClass("P12", 12.0, 1.0, 680.0, 15.0),
)

# Feed resistor of each leg by a class's volts.
FEED_OHM: dict[float, float] = {known.volts: known.feed_ohm for known in PHANTOM_CLASSES}


def phantom_class(volts: float) -> PhantomClass | None:
    """The class within whose tolerance a supply's or a microphone's volts lie; None where they are of no class.

    >>> phantom_class(12.4).name, phantom_class(52).name, phantom_class(36)
    ('P12', 'P48', None)
    """
    return next((known for known in PHANTOM_CLASSES if abs(volts - known.volts) <= known.tolerance_v + 1e-9), None)


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

# Tie lines by the kind that the room file may state: the families of port whose signal a way may take over them. A
# microphone is weak beside what runs on line level ties, and phantom is not expected there; a microphone line is a quiet
# screened pair, and takes line level as well (common practice, no source). AES3 wants 110 ohm, coaxial audio and clocks
# 75 (AES3-4, AES-3id).
TIE_KINDS: dict[str, frozenset[str]] = {
    "mic line": frozenset(("mic", "line", "instrument")),
    "line": frozenset(("line", "instrument")),
    "aes3": frozenset(("aes3", "line")),
    "coax": frozenset(("coax", "clock")),
    "speaker": frozenset(("speaker",)),
}

# How a bay is normalled, the first being the default: what makes its normals, and from where they are reached.
NORMALLED_BY = ("jumpers", "switches", "solder", "fixed")
REACHED_FROM = ("rear", "front")
MAX_CONDUCTORS = 3  # of a normal: tip, ring, and the sleeve where it is carried
# What becomes of the sleeves: a conductor of each normal, joined all along the bay, or each for itself.
SLEEVES = ("carried", "bussed", "isolated")
