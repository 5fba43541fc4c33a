"""What loads a source, and what its cable costs it. Bounds are common practice unless they name a source.

Not modelled: transformers, whose load depends on what is behind them, and the inductance of pickups, which lose treble
where this sees a plain resistance.
"""

from __future__ import annotations

from model.room.wiring import Port
from model.signal.circuit import Circuit, names
from model.signal.rules.making import under, warn
from model.signal.warning import NOTE, WARNING, Alert, figure_words
from model.text.listing import list_words

HEAVY_RATIO = 5.0  # five to ten times the source's impedance is the usual floor (Self, Small Signal Audio Design)
LIGHT_RATIO = 10.0
DULL_DB = 1.0


def double_load(circuit: Circuit) -> Alert | None:
    """A microphone line feeds two or more microphone inputs, which load it together."""
    if len(circuit.inputs) < 2 or not circuit.outputs:
        return None
    lines = [p for p in circuit.outputs if p.kind.is_mic_line]
    mic_ins = [p for p in circuit.inputs if p.kind.is_mic_in]
    if not lines or len(mic_ins) < 2:
        return None
    extra = max(circuit.extra_loss_db(line) for line in lines)
    return warn(
        circuit,
        "double-load",
        WARNING,
        [*lines, *mic_ins],
        {"load_ohm": circuit.load_ohm, "extra_loss_db": extra},
        f"{list_words(names(lines))} feed{'s' if len(lines) == 1 else ''} {len(mic_ins)} microphone inputs at once, "
        f"{list_words(names(mic_ins))}: together they load it with {figure_words('load_ohm', circuit.load_ohm)}, and it loses "
        f"up to {figure_words('extra_loss_db', extra)} more than into one of them.",
        "Leave the microphone on one of them; split its signal after the preamplifier, or by a transformer.",
        [*lines, *circuit.inputs],
    )


def lowest_ratio(source: Port) -> float:
    """The ratio of load to source impedance under which `heavy-load` is raised."""
    return HEAVY_RATIO if source.kind.is_mic_line else LIGHT_RATIO


def heavy_load(circuit: Circuit) -> Alert | None:
    """One analogue source whose loads together are under ten times its impedance; for a microphone, under five."""
    if len(circuit.outputs) != 1 or not circuit.inputs:
        return None
    source = circuit.outputs[0]
    if source.kind.digital:
        return None
    ratio, bound = circuit.ratio(source), lowest_ratio(source)
    if not under(ratio, bound) or double_load(circuit) is not None:
        return None
    loss = circuit.loss_db(source)
    return warn(
        circuit,
        "heavy-load",
        WARNING if under(ratio, HEAVY_RATIO) else NOTE,
        [source, *circuit.inputs],
        {"ratio": ratio, "loss_db": loss},
        f"{list_words(names(circuit.inputs))} load{'s' if len(circuit.inputs) == 1 else ''} {source.name} heavily: "
        f"at {figure_words('ratio', ratio)} times its impedance it loses {figure_words('loss_db', loss)}.",
        f"Feed fewer inputs from it, or go through a buffer; {bound:g} times and more is usual.",
        [source, *circuit.inputs],
    )


def dull_line(circuit: Circuit) -> Alert | None:
    """The net's cable takes more than 1 dB off the top, at 20 kHz. Cable counts with its kind's capacitance."""
    if not circuit.outputs or circuit.digital or not circuit.cable_m:
        return None
    loss = circuit.loss_20k_db
    if loss <= DULL_DB:
        return None
    return warn(
        circuit,
        "dull-line",
        NOTE,
        circuit.ports,
        {"corner_hz": circuit.corner_hz, "loss_20k_db": loss, "cable_m": circuit.cable_m},
        f"{list_words(names(circuit.outputs))} drives {figure_words('cable_m', circuit.cable_m)} of cable: "
        f"{figure_words('loss_20k_db', loss)} down at 20 kHz (corner at {figure_words('corner_hz', circuit.corner_hz)}).",
        "Use a shorter way, or an output of lower impedance.",
        circuit.ports,
    )
