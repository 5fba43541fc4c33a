"""Power amplifiers and what they drive."""

from __future__ import annotations

from model.room.wiring import Port
from model.signal.circuit import Circuit, names
from model.signal.rules.making import parting, under, warn
from model.signal.warning import DANGER, WARNING, Alert, figure_words
from model.text.listing import list_words

LEAST_OHM = 4.0  # what a power amplifier stands where its own least load is not stated: common practice, no source


def amplifier_load(circuit: Circuit) -> Alert | None:
    """A power amplifier drives less than its least load, or, where that is not stated, less than 4 ohm."""
    if not circuit.inputs:
        return None
    amplifiers = [p for p in circuit.outputs if p.kind.family == "speaker"]
    if not amplifiers:
        return None
    load = circuit.load_ohm
    over = [p for p in amplifiers if p.least_ohm is not None and under(load, p.least_ohm)]
    if over:
        least = max(p.least_ohm or 0.0 for p in over)
        severity, about = DANGER, over
        of = f"its least load is {figure_words('least_ohm', least)}, and it can overheat or fail"
    else:
        about = [p for p in amplifiers if p.least_ohm is None]
        if not about or not under(load, LEAST_OHM):
            return None
        severity, least = WARNING, None
        of = f"few amplifiers stand less than {figure_words('least_ohm', LEAST_OHM)}, and its least load is not stated"
    return warn(
        circuit,
        "amplifier-load",
        severity,
        [*about, *circuit.inputs],
        {"load_ohm": load, "least_ohm": least},
        f"{list_words(names(about))} drive{'s' if len(about) == 1 else ''} {list_words(names(circuit.inputs))}, together "
        f"{figure_words('load_ohm', load)}: {of}.",
        "Amplifier off first, then leave fewer loudspeakers on it.",
        circuit.inputs,
    )


def bridged_output(circuit: Circuit) -> Alert | None:
    """A bridged amplifier drives both its legs: neither may meet a common sleeve, nor another output."""
    bridged = [p for p in circuit.outputs if p.bridged]
    if not bridged:
        return None
    others = [p for p in circuit.outputs if p is not bridged[0]]
    sleeves = [p for p in circuit.ports if not p.balanced and p not in others and p is not bridged[0]]
    if not others and not sleeves:
        return None
    meets = [*names(others), *(f"{name}, whose return is the common sleeve" for name in names(sleeves))]
    about: list[Port] = [bridged[0], *others, *sleeves]
    return warn(
        circuit,
        "bridged-output",
        DANGER,
        about,
        {},
        f"{bridged[0].name} is bridged, both its legs are driven, and it meets {list_words(meets)}: that shorts the amplifier.",
        f"Amplifier off first, then {parting(circuit)}.",
    )
