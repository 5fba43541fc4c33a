"""How a test of the proof is done, how long it takes, and what tells open from closed: one table."""

from __future__ import annotations

from typing import NamedTuple

# A joint that is well is under 1 ohm; what is open reads the gear's own impedances, tens of ohms at least (50 ohm sources
# are common). Between the two lies a bad joint. Common practice, no source.
CLOSED_OHM = 1.0
OPEN_OHM = 20.0
PROBE_OHM = 6800.0  # from each leg to the screen: the feed resistor of P48 (IEC 61938), so that half the supply remains
LEGS_V = 0.1  # by which the two legs may differ: common practice, no source
PHANTOM_SHARE = 0.1  # of the expected voltage: supply and resistors together; common practice, no source
TERMINATION_OHM = 75.0
TERMINATION_SHARE = 0.1


class Method(NamedTuple):
    """How something is measured: in words, what 'closed' and 'open' look like, and minutes a reading."""

    words: str
    closed: str
    open: str
    minutes: float


METER = "meter"
LOCK = "lock"
TONE = "tone"
LOW_TONE = "low tone"
VOLTMETER = "voltmeter"

METHODS: dict[str, Method] = {
    METER: Method(
        "by meter, all gear off",
        f"under {CLOSED_OHM:g} ohm",
        "far above 1 ohm, never infinite: the gear's own impedances show",
        0.1,
    ),
    LOCK: Method(
        "by lock and error count, never by ohmmeter: a transformer reads as a short",
        "locks, no error in ten seconds",
        "no lock",
        0.4,
    ),
    TONE: Method("by tone", "heard there alone", "not heard", 0.3),
    LOW_TONE: Method("by tone, at low level only", "heard", "not heard", 0.4),
    VOLTMETER: Method(f"{PROBE_OHM / 1000:g} kohm from the leg to the screen, phantom on, by voltmeter", "", "", 0.5),
}

# By which method a normal is tested, by the family of the ports behind it; by meter where none is named.
BY_FAMILY = {"aes3": LOCK, "coax": LOCK, "clock": LOCK, "speaker": LOW_TONE}
