"""What meets on a line that should not: outputs, unlike kinds, inputs alone."""

from __future__ import annotations

from itertools import combinations
from typing import NamedTuple

from model import electric
from model.room.kinds import NORMAL_KINDS
from model.room.wiring import Port
from model.signal.cautions import MONITORS_DOWN
from model.signal.circuit import Circuit, names
from model.signal.rules.making import parting, warn
from model.signal.warning import DANGER, NOTE, WARNING, Alert, figure_words
from model.text.listing import list_words


class _Harm(NamedTuple):
    """How bad it is that outputs of some families meet, what it does, and what comes first and last in the fix."""

    severity: str
    does: str
    first: str
    instead: str


_AMPLIFIERS = _Harm(
    DANGER,
    " Power amplifiers drive each other through next to nothing: it is the amplifiers that are harmed.",
    "Amplifiers off first, then",
    "One amplifier to a loudspeaker.",
)
_MICROPHONES = _Harm(
    WARNING, "", "To separate them,", "One microphone to an input; mix them after their preamplifiers."
)
_DIGITAL = _Harm(
    WARNING, " No receiver can read two at once.", "To separate them,", "Choose one of them by a router or a switch."
)
_OTHERS = _Harm(DANGER, "", f"{MONITORS_DOWN}, then", "Mix signals in the console.")


def _harm(outputs: list[Port]) -> _Harm:
    families = {p.kind.family for p in outputs}
    if "speaker" in families:
        return _AMPLIFIERS
    if families == {"mic"}:
        return _MICROPHONES
    return _DIGITAL if all(p.kind.digital for p in outputs) else _OTHERS


def joined_outputs(circuit: Circuit) -> Alert | None:
    """Two or more outputs meet, and each drives the other (superposition; that they never meet is common practice)."""
    outputs = circuit.outputs
    if len(outputs) < 2:
        return None
    loss = max(circuit.joined_loss_db(port) for port in outputs)
    currents = [
        electric.opposed_current_ma(a.level_dbu, circuit.source_ohm(a), b.level_dbu, circuit.source_ohm(b))
        for a, b in combinations(outputs, 2)
        if a.level_dbu is not None and b.level_dbu is not None
    ]
    drive = (
        f", and drives up to {figure_words('current_ma', max(currents))} rms into another at nominal level, loads not counted"
        if currents
        else ""
    )
    harm = _harm(outputs)
    return warn(
        circuit,
        "joined-outputs",
        harm.severity,
        outputs,
        {"joined_loss_db": loss, "current_ma": max(currents, default=None)},
        f"{len(outputs)} outputs meet on one line, {list_words(names(outputs))}: "
        f"one loses up to {figure_words('joined_loss_db', loss)}{drive}.{harm.does}",
        f"{harm.first} {parting(circuit)}. {harm.instead}",
        [*outputs, *circuit.inputs],
    )


def type_mismatch(circuit: Circuit) -> Alert | None:
    """Digital meets analogue, 110 ohm meets 75 ohm, clock meets anything else, a loudspeaker's line what is none."""
    ports = circuit.ports
    families = {p.kind.family for p in ports}
    if len(families) < 2:
        return None
    digital = [p for p in ports if p.kind.digital]
    amplifiers = [p for p in circuit.outputs if p.kind.family == "speaker"]
    severity, clashing = WARNING, ports
    fix = "use a converter or a matching transformer made for it"
    if digital and len(digital) < len(ports):
        what = "digital meets analogue"
        if amplifiers:  # its volts are more than a receiver stands
            severity, fix = DANGER, "take the signal before the amplifier"
    elif "clock" in families:
        what, fix = "a clock meets something else", "give clock inputs a clock, and audio inputs audio"
    elif digital:
        what = "110 Ω meets 75 Ω"
    elif amplifiers and (others := [p for p in circuit.inputs if p.kind.family != "speaker"]):
        severity, clashing = DANGER, [*amplifiers, *others]
        what = "a power amplifier drives an input that is no loudspeaker"
        fix = "take the signal before the amplifier"
    else:
        sources = [p for p in circuit.outputs if p.kind.family != "speaker"]
        loudspeakers = [p for p in circuit.inputs if p.kind.family == "speaker"]
        if not sources or not loudspeakers:
            return None
        clashing = [*sources, *loudspeakers]
        what, fix = "an output that is no power amplifier drives a loudspeaker", "put a power amplifier between them"
    reflected = None
    if digital and len(digital) == len(ports) and circuit.outputs:
        reflected = circuit.reflection(circuit.outputs[0])
    reflects = "" if reflected is None else f" It reflects {figure_words('reflection', reflected)}."
    first = "Amplifier off first" if amplifiers else MONITORS_DOWN
    return warn(
        circuit,
        "type-mismatch",
        severity,
        clashing,
        {"reflection": reflected},
        f"Unlike kinds on one line: {what}. They are {list_words([f'{p.name} ({p.kind.name})' for p in sorted(clashing)])}."
        f"{reflects}",
        f"{first}, then {parting(circuit)}; {fix}.",
        () if reflected is None else circuit.inputs,
    )


def input_to_input(circuit: Circuit) -> Alert | None:
    """A cord joins inputs alone and holds normals open: it breaks connections and makes none."""
    if circuit.outputs or len(circuit.inputs) < 2 or not circuit.cords:
        return None
    room, state = circuit.state.room, circuit.state
    opened = sorted(
        jack
        for number in circuit.cords
        for jack in state.cords[number].plugs
        if any(_opens(jack, normal.top, normal.kind) for normal in room.normals_at.get(jack, ()))
    )
    if not opened:
        return None
    at = list_words([room.jacks[jack].address for jack in opened], most=6)
    return warn(
        circuit,
        "input-to-input",
        NOTE,
        circuit.inputs,
        {},
        f"{list_words(names(circuit.inputs))} are joined, all inputs: nothing feeds them, and the plug at {at} holds its "
        "normal open.",
        "Pull the cord, or put its other end where a signal comes out.",
    )


def _opens(jack: int, top: int, kind: str) -> bool:
    """Whether a plug in a jack breaks one of its normals."""
    normal = NORMAL_KINDS[kind]
    return normal.top_at_normal if jack == top else normal.bottom_at_normal
