"""The standing rules: each a small function from a net's circuit to a warning or None. ``RULES`` is their table.

A rule reads the circuit only; figures come from its circuit and from :mod:`model.signal.electric`. Bounds that are
common practice have no source; the others name it. Not modelled: transformers, inductive
pickups, a stub in a digital line, a supply that is off but pulls to ground (it counts as open).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from itertools import combinations
from typing import NamedTuple

from model.room.wiring import Port
from model.signal import electric
from model.signal.circuit import Circuit, names
from model.signal.warning import DANGER, NOTE, WARNING, Alert, figure_words, list_words

LEVEL_MISMATCH_DB = 6.0
HEAVY_RATIO = 5.0  # five to ten times the source's impedance is the usual floor (Self, Small Signal Audio Design)
LIGHT_RATIO = 10.0
DULL_DB = 1.0


class RuleWords(NamedTuple):
    """What a reader must know of a rule: its name, how bad it is at its worst, when it is raised, and its figures."""

    name: str
    severity: str
    says: str
    figures: tuple[str, ...] = ()


class Rule(NamedTuple):
    """A rule about a net: its words, and the function that finds it in the net's circuit."""

    words: RuleWords
    finds: Callable[[Circuit], Alert | None]


def _warn(
    circuit: Circuit,
    rule: str,
    severity: str,
    ports: Iterable[Port],
    figures: Mapping[str, float],
    text: str,
    fix: str,
    impedances: Iterable[Port] = (),
    feeds: Iterable[Port] = (),
) -> Alert:
    """A warning of a net. ``impedances``, ``feeds``: the ports on whose impedance, on whose feed its figures rest.

    What of these is a default and not stated by the room file is said at the end of the text.
    """
    defaults = names(p for p in impedances if circuit.assumed(p))
    default_feeds = names(p for p in feeds if p.supply is not None and p.supply.feed_assumed)
    told = [
        f"{what} of {list_words(some, most=3)}"
        for what, some in (("impedance", defaults), ("feed resistors", default_feeds))
        if some
    ]
    return Alert(
        rule,
        severity,
        names(ports),
        figures,
        f"{text} Assumed: {' and '.join(told)}." if told else text,
        fix,
        assumed=tuple(sorted({*defaults, *default_feeds})),
        node=min(circuit.nodes),
    )


def double_load(circuit: Circuit) -> Alert | None:
    """A microphone line feeds two or more microphone inputs, which load it together.

    Not modelled: transformers, whose load depends on what is behind them.
    """
    if len(circuit.inputs) < 2 or not circuit.outputs:
        return None
    lines = [p for p in circuit.outputs if p.kind.is_mic_line]
    mic_ins = [p for p in circuit.inputs if p.kind.is_mic_in]
    if not lines or len(mic_ins) < 2:
        return None
    extra = max(circuit.extra_loss_db(line) for line in lines)
    figures = {"load_ohm": circuit.load_ohm, "extra_loss_db": extra}
    return _warn(
        circuit,
        "double-load",
        WARNING,
        [*lines, *mic_ins],
        figures,
        f"{list_words(names(lines))} feeds {len(mic_ins)} microphone inputs at once, {list_words(names(mic_ins))}: "
        f"together they load it with {figure_words('load_ohm', circuit.load_ohm)}, and it loses up to "
        f"{figure_words('extra_loss_db', extra)} more than into one of them.",
        "Leave the microphone on one of them; split its signal after the preamplifier.",
        [*lines, *circuit.inputs],
    )


def shared_phantom(circuit: Circuit) -> Alert | None:
    """Two or more phantom supplies are on: they feed one line together, and each other where they differ.

    Not modelled: a supply that is off but pulls to ground; off counts as open.
    """
    supplies = circuit.supplies
    if len(supplies) < 2:
        return None
    figures = {"supplies": len(supplies), "line_v": circuit.line_v, "feed_ohm": circuit.feed_ohm}
    return _warn(
        circuit,
        "shared-phantom",
        DANGER,
        supplies,
        figures,
        f"{len(supplies)} phantom supplies feed one line, {list_words(names(supplies))}: "
        f"it stands at {figure_words('line_v', circuit.line_v)}.",
        "Switch phantom off on all but one of them, with the monitors down.",
        feeds=supplies,
    )


def stray_phantom(circuit: Circuit) -> Alert | None:
    """Phantom reaches what must not see it: an output, a microphone it harms, or an input whose own supply is off.

    Not modelled: transformers, which may keep it out, and a supply that is off but pulls to ground; off counts as open.
    """
    supplies = circuit.supplies
    if not supplies:
        return None
    victims: list[Port] = [p for p in circuit.outputs if not p.kind.is_mic_line]
    harmed = [p for p in circuit.outputs if (mic := circuit.mic_on(p)) is not None and mic.harmed]
    unsupplied = [p for p in circuit.inputs if p.kind.is_mic_in and p not in supplies]
    who = [*victims, *harmed, *unsupplied]
    if not who:
        return None
    told = [
        *names(victims),
        *(f"the {circuit.mic_on(p).name} on {p.name}" for p in harmed),  # type: ignore[union-attr]
        *(f"{p.name}, {'whose own supply is off' if p.supply else 'which has no supply'}" for p in unsupplied),
    ]
    return _warn(
        circuit,
        "stray-phantom",
        DANGER,
        [*supplies, *who],
        {"line_v": circuit.line_v},
        f"Phantom from {list_words(names(supplies))} puts {figure_words('line_v', circuit.line_v)} on {list_words(told)}.",
        f"Monitors down, then switch phantom off at {list_words(names(supplies))}, wait half a minute, "
        "and only then pull the cord.",
        feeds=supplies,
    )


def no_phantom(circuit: Circuit) -> Alert | None:
    """A microphone that needs phantom stands on a line without a supply that is on."""
    mics = circuit.state.mics
    if not mics or circuit.supplies:
        return None
    needing = [p for p in circuit.outputs if p.index in mics and mics[p.index].phantom_v is not None]
    if not needing:
        return None
    mic_ins = names(p for p in circuit.inputs if p.supply is not None)
    told = [f"the {mics[p.index].name} on {p.name}" for p in needing]
    return _warn(
        circuit,
        "no-phantom",
        NOTE,
        needing,
        {},
        f"No phantom reaches {list_words(told)}, which cannot work without it.",
        f"Monitors down, then switch phantom on at {mic_ins[0]}."
        if mic_ins
        else "Take the line to a preamplifier with phantom.",
    )


def digital_split(circuit: Circuit) -> Alert | None:
    """One digital or clock output feeds two or more inputs of its kind. AES3-4: one transmitter to one receiver.

    Not modelled: the length of the stubs. A patch cord is short against a quarter wave; a tie line may not be.
    """
    if len(circuit.inputs) < 2 or not circuit.digital or not circuit.outputs:
        return None
    for source in circuit.outputs:
        reflected = circuit.reflection(source)
        receivers = [p for p in circuit.inputs if p.kind.family == source.kind.family]
        if reflected is None or len(receivers) < 2:
            continue
        loss = circuit.extra_loss_db(source, receivers)
        figures = {
            "load_ohm": circuit.load_ohm,
            "reflection": reflected,
            "return_loss_db": electric.return_loss_db(reflected),
            "loss_db": loss,
        }
        return _warn(
            circuit,
            "digital-split",
            WARNING,
            [*(p for p in circuit.outputs if p.kind.family == source.kind.family), *receivers],
            figures,
            f"{source.name} feeds {len(receivers)} receivers, {list_words(names(receivers))}: it sees "
            f"{figure_words('load_ohm', circuit.load_ohm)}, reflects {figure_words('reflection', reflected)} "
            f"and loses {figure_words('loss_db', loss)}.",
            "Leave it on one receiver; use a distribution amplifier for more.",
            [source, *circuit.inputs],
        )
    return None


def joined_outputs(circuit: Circuit) -> Alert | None:
    """Two or more outputs meet, and each drives the other (Bohn, "Why Not Wye?", RaneNote; common practice)."""
    outputs = circuit.outputs
    if len(outputs) < 2:
        return None
    loss = max(circuit.loss_joined_db(port) - circuit.loss_alone_db(port) for port in outputs)
    figures = {"loss_db": loss}
    currents = [
        electric.opposed_current_ma(a.level_dbu, circuit.source_ohm(a), b.level_dbu, circuit.source_ohm(b))
        for a, b in combinations(outputs, 2)
        if a.level_dbu is not None and b.level_dbu is not None
    ]
    if currents:
        figures["current_ma"] = max(currents)
    drive = f", and drives up to {figure_words('current_ma', max(currents))} into the other" if currents else ""
    return _warn(
        circuit,
        "joined-outputs",
        DANGER,
        outputs,
        figures,
        f"{len(outputs)} outputs meet on one line, {list_words(names(outputs))}: "
        f"one loses up to {figure_words('loss_db', loss)}{drive}.",
        "Part them: pull the cord, or break the normal, that joins them. Mix signals in the console.",
        [*outputs, *circuit.inputs],
    )


def type_mismatch(circuit: Circuit) -> Alert | None:
    """Digital meets analogue, 110 ohm meets 75 ohm, clock meets anything else, a speaker output an input of other gear."""
    ports = circuit.ports
    families = {p.kind.family for p in ports}
    if len(families) < 2:
        return None
    digital = [p for p in ports if p.kind.digital]
    clashing: list[Port] = []
    what = ""
    if digital and len(digital) < len(ports):
        clashing, what = ports, "digital meets analogue"
    elif "clock" in families:
        clashing, what = ports, "a clock meets something else"
    elif digital:
        clashing, what = ports, "110 ohm meets 75 ohm"
    elif "speaker" in families:
        amplifiers = [p for p in circuit.outputs if p.kind.family == "speaker"]
        others = [p for p in circuit.inputs if p.kind.family != "speaker"]
        if amplifiers and others:
            clashing, what = [*amplifiers, *others], "a loudspeaker's amplifier drives an input that is no loudspeaker"
    if not clashing:
        return None
    figures: dict[str, float] = {}
    if len(digital) == len(ports) and circuit.outputs:
        reflected = circuit.reflection(circuit.outputs[0])
        if reflected is not None:
            figures["reflection"] = reflected
    reflects = f" It reflects {figure_words('reflection', figures['reflection'])}." if figures else ""
    return _warn(
        circuit,
        "type-mismatch",
        DANGER,
        clashing,
        figures,
        f"Unlike kinds on one line: {what}. They are {list_words([f'{p.name} ({p.kind.name})' for p in sorted(clashing)])}."
        f"{reflects}",
        "Part them, and use a converter or a matching transformer made for it.",
        circuit.inputs if figures else (),
    )


def level_mismatch(circuit: Circuit) -> Alert | None:
    """A source and a load made for levels 6 dB or more apart, a line output into a mic in, a microphone into a line in."""
    if not circuit.outputs or not circuit.inputs:
        return None
    about: set[Port] = set()
    steps: list[float] = []
    for source in circuit.outputs:
        for load in circuit.inputs:
            pair = (source.kind.name, load.kind.name)
            step = circuit.step_db(source, load)
            wide = step is not None and reaches(abs(step), LEVEL_MISMATCH_DB)
            if wide or pair in (("line out", "mic in"), ("mic line", "line in")):
                about |= {source, load}
                if step is not None:
                    steps.append(step)
    if not about:
        return None
    sources, loads = names(p for p in about if p.kind.is_output), names(p for p in about if not p.kind.is_output)
    widest = max(steps, key=abs, default=0.0)
    if reaches(abs(widest), LEVEL_MISMATCH_DB):
        apart = f": {figure_words('step_db', abs(widest))} too {'hot' if widest > 0 else 'low'} for it"
    else:
        apart = ", which is made for another level"
    return _warn(
        circuit,
        "level-mismatch",
        WARNING,
        about,
        {"step_db": widest} if steps else {},
        f"{list_words(sources)} feeds {list_words(loads)}{apart}.",
        "Go through a preamplifier, a pad or a level matcher.",
    )


def under(value: float, bound: float) -> bool:
    """Whether a figure is under a bound. Ten loads of 10 k in parallel are 1 k, whatever the last digit says."""
    return value < bound * (1 - 1e-9)


def reaches(value: float, bound: float) -> bool:
    """Whether a figure is at a bound or over it."""
    return not under(value, bound)


def lowest_ratio(source: Port) -> float:
    """The ratio of load to source impedance under which `heavy-load` is raised."""
    return HEAVY_RATIO if source.kind.is_mic_line else LIGHT_RATIO


def heavy_load(circuit: Circuit) -> Alert | None:
    """One analogue source whose loads together are under ten times its impedance; for a microphone, under five.

    Not modelled: transformers, and the inductance of pickups, which lose treble where this sees a plain resistance.
    """
    if len(circuit.outputs) != 1 or not circuit.inputs:
        return None
    source = circuit.outputs[0]
    if source.kind.digital:
        return None
    ratio, bound = circuit.ratio(source), lowest_ratio(source)
    if not under(ratio, bound) or double_load(circuit) is not None:
        return None
    loss = circuit.loss_alone_db(source)
    return _warn(
        circuit,
        "heavy-load",
        WARNING if under(ratio, HEAVY_RATIO) else NOTE,
        [source, *circuit.inputs],
        {"ratio": ratio, "loss_db": loss},
        f"{list_words(names(circuit.inputs))} load{'s' if len(circuit.inputs) == 1 else ''} {source.name} heavily: "
        f"{figure_words('ratio', ratio)} times its impedance, it loses {figure_words('loss_db', loss)}.",
        f"Feed fewer inputs from it, or go through a buffer; {bound:g} times and more is usual.",
        [source, *circuit.inputs],
    )


def dull_line(circuit: Circuit) -> Alert | None:
    """The net's cable takes more than 1 dB off the top, at 20 kHz.

    Cable counts with its kind's capacitance. Not modelled: the inductance of pickups, and transformers.
    """
    if not circuit.outputs or circuit.digital or not circuit.cable_m:
        return None
    loss = circuit.loss_20k_db
    if loss <= DULL_DB:
        return None
    figures = {"corner_hz": circuit.corner_hz, "loss_20k_db": loss, "cable_m": circuit.cable_m}
    return _warn(
        circuit,
        "dull-line",
        NOTE,
        circuit.ports,
        figures,
        f"{list_words(names(circuit.outputs))} drives {figure_words('cable_m', circuit.cable_m)} of cable: "
        f"{figure_words('loss_20k_db', loss)} down at 20 kHz (corner at {figure_words('corner_hz', circuit.corner_hz)}).",
        "Use a shorter way, or an output of lower impedance.",
        circuit.ports,
    )


# The rules about a net, each with its function.
RULES: tuple[Rule, ...] = (
    Rule(
        RuleWords(
            "double-load",
            WARNING,
            "a microphone line feeds two or more microphone inputs",
            ("load_ohm", "extra_loss_db"),
        ),
        double_load,
    ),
    Rule(
        RuleWords(
            "shared-phantom",
            DANGER,
            "two or more phantom supplies are on, on one line",
            ("supplies", "line_v", "feed_ohm"),
        ),
        shared_phantom,
    ),
    Rule(
        RuleWords(
            "stray-phantom",
            DANGER,
            "phantom reaches a line, instrument, digital or loudspeaker output, a microphone that it harms, "
            "or a microphone input whose own supply is off",
            ("line_v",),
        ),
        stray_phantom,
    ),
    Rule(RuleWords("no-phantom", NOTE, "a microphone that needs phantom, and no supply on"), no_phantom),
    Rule(
        RuleWords(
            "digital-split",
            WARNING,
            "one digital or clock output feeds two or more inputs of its kind",
            ("load_ohm", "reflection", "return_loss_db", "loss_db"),
        ),
        digital_split,
    ),
    Rule(RuleWords("joined-outputs", DANGER, "two or more outputs meet", ("loss_db", "current_ma")), joined_outputs),
    Rule(
        RuleWords(
            "type-mismatch",
            DANGER,
            "digital meets analogue, 110 ohm meets 75 ohm, clock meets anything else, or a loudspeaker's amplifier "
            "an input that is no loudspeaker",
            ("reflection",),
        ),
        type_mismatch,
    ),
    Rule(
        RuleWords(
            "level-mismatch",
            WARNING,
            "stated levels of a source and a load differ by 6 dB or more; a line output into a microphone input; "
            "a microphone into a line input",
            ("step_db",),
        ),
        level_mismatch,
    ),
    Rule(
        RuleWords(
            "heavy-load",
            WARNING,
            "all loads together are under 5 times the impedance of the one analogue source (a note under 10 times, "
            "microphones left out)",
            ("ratio", "loss_db"),
        ),
        heavy_load,
    ),
    Rule(
        RuleWords(
            "dull-line", NOTE, "the net's cable costs over 1 dB at 20 kHz", ("corner_hz", "loss_20k_db", "cable_m")
        ),
        dull_line,
    ),
)

# The rules that look beyond one net: at the way of the signal, at a cord, at all cords, at the plug itself.
OTHER_RULES: tuple[RuleWords, ...] = (
    RuleWords("feedback-loop", DANGER, "signal can run from an output through nets and gear back to that output"),
    RuleWords("loose-end", NOTE, "a cord has one plug in"),
    RuleWords("short-of-cords", NOTE, "more cords are out than the room owns", ("cords_out", "cords_owned")),
    RuleWords(
        "hot-plug", DANGER, "a caution: a plug enters or leaves a net with phantom on, before or after", ("line_v",)
    ),
)

ALL_RULES: tuple[RuleWords, ...] = (*(rule.words for rule in RULES), *OTHER_RULES)


def broken_by_plug(circuits: tuple[Circuit, Circuit]) -> list[tuple[str, str]]:
    """The connections that a plug keeps apart: between its jack's line contact and its normal contact."""
    line, normal = circuits
    if line.nodes[0] in normal.nodes:
        return []  # they are joined some other way
    pairs = [(a.name, b.name) for x, y in ((line, normal), (normal, line)) for a in x.outputs for b in y.inputs]
    return sorted(pairs)


def loose_end(jack: str, number: int, broken: list[tuple[str, str]]) -> Alert:
    """A cord has one plug in: it joins nothing, and still breaks normals."""
    broke = f"It breaks {list_words([f'{a} > {b}' for a, b in broken])}." if broken else "It breaks nothing."
    return Alert(
        "loose-end",
        NOTE,
        (),
        {},
        f"Cord {number} has one plug in, at {jack}, and its other end is loose. {broke}",
        f"Plug its other end (#{number} > ...), or pull #{number}.",
        jacks=(jack,),
    )


def short_of_cords(out: int, owned: int) -> Alert | None:
    """More cords are out than the room owns."""
    if out <= owned:
        return None
    return Alert(
        "short-of-cords",
        NOTE,
        (),
        {"cords_out": out, "cords_owned": owned},
        f"{out} cords are in the bay and the room owns {owned}.",
        "Pull a cord that is not needed, or mend the room file's stock.",
    )
