"""Digital and clock lines: what splits them, their open branches, their length. AES3-4, AES-3id, IEC 60958, AES11.

Audio (AES3 and coaxial) has one transmitter and one receiver: two receivers are always warned of. A word clock line may
pass several inputs of which one is terminated, so there the reflection decides.
"""

from __future__ import annotations

from model import electric
from model.room.kinds import TIE_KINDS
from model.room.wiring import Port
from model.signal.branches import open_branch_m
from model.signal.circuit import Circuit, names
from model.signal.rules.making import reaches, warn
from model.signal.warning import NOTE, WARNING, Alert, figure_words
from model.text.listing import list_words

# AES3-4 (IEC 60958-4-4): the impedance of driver and receiver may be 20 % off the line's. For the 75 ohm lines the same
# is taken: common practice, no source.
TOLERANCE = 0.2
FRAMES_TO_HZ = 128  # a frame is 64 bits of biphase mark: its highest frequency is 128 times the frame rate (AES3-4)
ASSUMED_RATE_HZ = 48_000.0
TENTH_OF_A_WAVE = 0.4  # of a quarter wave: from there on a branch is no longer short (common practice, no source)
AES3_GUIDANCE_M = 100.0  # IEC 60958-4-4, scope: 100 m without equalization


def reflection_bounds(line_ohm: float) -> tuple[float, float]:
    """The reflections of a load at either end of the tolerance."""
    return (
        electric.reflection(line_ohm * (1 - TOLERANCE), line_ohm),
        electric.reflection(line_ohm * (1 + TOLERANCE), line_ohm),
    )


def digital_split(circuit: Circuit) -> Alert | None:
    """Digital audio goes to two receivers, or a clock line does not end in its own impedance."""
    if not circuit.digital or not circuit.inputs or not circuit.outputs:
        return None
    for source in circuit.outputs:
        line_ohm, reflected = source.kind.line_ohms, circuit.reflection(source)
        receivers = [p for p in circuit.inputs if p.kind.family == source.kind.family]
        if line_ohm is None or reflected is None or not receivers:
            continue
        clock = source.kind.family == "clock"
        if clock:
            low, high = reflection_bounds(line_ohm)
            if low - 1e-9 <= reflected <= high + 1e-9 or (len(receivers) == 1 and len(circuit.outputs) > 1):
                continue
        elif len(receivers) < 2:
            continue
        loss = circuit.split_loss_db(source)
        text, fix = _clock_words(source, receivers, reflected) if clock else _audio_words(source, receivers)
        return warn(
            circuit,
            "digital-split",
            WARNING,
            [*(p for p in circuit.outputs if p.kind.family == source.kind.family), *receivers],
            {
                "load_ohm": circuit.load_ohm,
                "reflection": reflected,
                "return_loss_db": electric.return_loss_db(reflected),
                "split_loss_db": loss,
            },
            f"{text}: it sees {figure_words('load_ohm', circuit.load_ohm)}, reflects "
            f"{figure_words('reflection', reflected)} and is {level_words(loss or 0.0)}.",
            fix,
            [source, *circuit.inputs],
        )
    return None


def _audio_words(source: Port, receivers: list[Port]) -> tuple[str, str]:
    return (
        f"{source.name} feeds {len(receivers)} receivers, {list_words(names(receivers))}",
        "Leave it on one receiver; use a distribution amplifier for more.",
    )


def _clock_words(source: Port, receivers: list[Port], reflected: float) -> tuple[str, str]:
    told = list_words(names(receivers))
    if reflected > 0:
        return (
            f"{source.name} ends in no termination at {told}",
            "Terminate the line at its last input, and there alone; else its edges ring and receivers may mistake them.",
        )
    return (
        f"{source.name} is terminated too low at {told}",
        "Terminate at the last input alone and switch it off at the others, or use a distribution amplifier.",
    )


def level_words(loss_db: float) -> str:
    """How a line's level compares with that of a matched one."""
    if abs(loss_db) < 0.005:  # 0.00 dB, rounded for the eye
        return "at its level into a matched line"
    return f"{figure_words('split_loss_db', abs(loss_db))} {'under' if loss_db >= 0 else 'over'} its level into a matched line"


def top_hz(circuit: Circuit) -> float:
    """The highest frequency of a line's digital audio, Hz: of the fastest rate that one of its ports states, else of 48 kHz."""
    return FRAMES_TO_HZ * max((p.rate_hz for p in circuit.ports if p.rate_hz is not None), default=ASSUMED_RATE_HZ)


def digital_branch(circuit: Circuit) -> Alert | None:
    """A digital audio line has an open branch: at a quarter of a wave it is a short. Of a clock's edge nothing is said."""
    if not circuit.digital or not circuit.cable_m or not circuit.inputs:
        return None
    sources = [p for p in circuit.outputs if p.kind.digital and p.kind.family != "clock"]
    if not sources:
        return None
    branch, quarter = open_branch_m(circuit), electric.quarter_wave_m(top_hz(circuit))
    if not reaches(branch, TENTH_OF_A_WAVE * quarter):
        return None
    short = reaches(branch, quarter)
    rate = top_hz(circuit) / FRAMES_TO_HZ
    stated = "" if any(p.rate_hz for p in circuit.ports) else ", assumed"
    return warn(
        circuit,
        "digital-branch",
        WARNING if short else NOTE,
        circuit.ports,
        {"branch_m": branch, "quarter_wave_m": quarter},
        f"An open branch of {figure_words('branch_m', branch)} hangs on the line of {list_words(names(sources))}. A quarter of "
        f"a wave is {figure_words('quarter_wave_m', quarter)} (at {figure_words('rate_hz', rate)}{stated}): "
        f"{'a branch of that length shorts the line' if short else 'beside that it is no longer short'}.",
        "Take the branch off the line: what hangs on a digital line is its one receiver.",
    )


def long_digital(circuit: Circuit) -> Alert | None:
    """AES3 over more cable than the standard's own guidance, 100 m without equalization."""
    if not circuit.digital or circuit.cable_m <= AES3_GUIDANCE_M:
        return None
    if not any(p.kind.family == "aes3" for p in circuit.outputs) or not circuit.inputs:
        return None
    return warn(
        circuit,
        "long-digital",
        NOTE,
        circuit.ports,
        {"cable_m": circuit.cable_m},
        f"{list_words(names(circuit.outputs))} drives {figure_words('cable_m', circuit.cable_m)} of cable: AES3 is made for "
        f"{figure_words('cable_m', AES3_GUIDANCE_M)} without equalization.",
        "Use a shorter way, 75 Ω coaxial cable through transformers, or a repeater.",
    )


def digital_tie(circuit: Circuit) -> Alert | None:
    """Digital audio or clock over a tie line that the room file says is of another kind: mostly analogue cable."""
    ties_at = circuit.state.room.ties_at
    if not ties_at or not circuit.digital or not circuit.inputs or not circuit.outputs:
        return None
    jacks = {node >> 1 for node in circuit.nodes if not node & 1}
    families = {p.kind.family for p in circuit.outputs if p.kind.digital}
    ties = sorted(
        {
            f"{tie.name} ({tie.kind})"
            for jack in jacks & ties_at.keys()
            for tie in ties_at[jack]
            if tie.kind and not TIE_KINDS[tie.kind].issuperset(families)
        }
    )
    if not ties:
        return None
    return warn(
        circuit,
        "digital-tie",
        NOTE,
        circuit.ports,
        {},
        f"{list_words(names(circuit.outputs))} runs over {list_words(ties, most=6)}, whose cable is made for something else "
        "and mostly not of the impedance that a digital line needs.",
        "Use a line of 110 Ω for AES3, of 75 Ω for coaxial audio and clock.",
    )
