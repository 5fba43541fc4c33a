"""Figures on demand: the whole circuit of a net, and how close each figure is to the bound of its rule.

Every figure is computed by :class:`~model.signal.circuit.Circuit`, as the rules' are.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from typing import Any, NamedTuple

from model.room.wiring import Port
from model.signal import electric, rules
from model.signal.circuit import Circuit
from model.signal.warning import figure_words

# AES3-4 (IEC 60958-4-4): the impedance of driver and receiver may be 20 % off the line's. For the 75 ohm lines the same
# is taken: common practice, no source.
DIGITAL_TOLERANCE = 0.2


class Bound(NamedTuple):
    """A figure of a net beside the bound that its rule has for it.

    `digital-split` is raised by the number of receivers; the bound of its reflection is what one receiver alone may reflect.
    """

    rule: str
    figure: str
    value: float
    bound: float
    raised: str  # 'over' the bound, 'under' it, or 'at' it and over
    of: str  # the port it is about

    @property
    def beyond(self) -> bool:
        """Whether the figure is past its bound."""
        return _BEYOND[self.raised](self.value, self.bound)


_BEYOND: dict[str, Callable[[float, float], bool]] = {
    "over": lambda value, bound: value > bound,
    "under": rules.under,
    "at": rules.reaches,
}
_SIDE = {"over": "at most", "under": "at least", "at": "under"}  # where the figure should be
_SAID = {
    "ratio": "load over source impedance",
    "loss_20k_db": "loss by cable at 20 kHz",
    "step_db": "step of levels",
    "reflection": "reflection",
}


def bounds(circuit: Circuit) -> Iterator[Bound]:
    """How close the figures of a net are to what its rules allow."""
    analogue = [port for port in circuit.outputs if not port.kind.digital]
    # where `double-load` stands, it says more than `heavy-load` would
    alone = circuit.inputs and len(circuit.outputs) == 1 and rules.double_load(circuit) is None
    for source in analogue if alone else ():
        yield Bound("heavy-load", "ratio", circuit.ratio(source), rules.lowest_ratio(source), "under", source.name)
    if circuit.outputs and not circuit.digital:
        yield Bound("dull-line", "loss_20k_db", circuit.loss_20k_db, rules.DULL_DB, "over", circuit.outputs[0].name)
    for source in circuit.outputs:
        for load in circuit.inputs:
            step = circuit.step_db(source, load)
            if step is not None:
                yield Bound(
                    "level-mismatch",
                    "step_db",
                    abs(step),
                    rules.LEVEL_MISMATCH_DB,
                    "at",
                    f"{source.name} > {load.name}",
                )
        reflected = circuit.reflection(source)
        if reflected is not None:
            ohms = source.kind.line_ohms or math.nan
            edge = electric.reflection(ohms * (1 - DIGITAL_TOLERANCE if reflected < 0 else 1 + DIGITAL_TOLERANCE), ohms)
            yield Bound("digital-split", "reflection", abs(reflected), abs(edge), "over", source.name)


def circuit_json(circuit: Circuit) -> dict[str, Any]:
    """A net's circuit as plain data; figures carry their unit in their name. A figure that has no value is null."""
    room = circuit.state.room
    return {
        "jacks": sorted(room.jacks[node >> 1].address for node in circuit.nodes if not node & 1),
        "sources": [_source(circuit, port) for port in circuit.outputs],
        "loads": [_load(circuit, port) for port in circuit.inputs],
        "load_ohm": _finite(circuit.load_ohm),
        "phantom": _phantom(circuit),
        "cable": {
            "cable_m": circuit.cable_m,
            "corner_hz": _finite(circuit.corner_hz) if circuit.outputs or circuit.inputs else None,
            "loss_20k_db": circuit.loss_20k_db if circuit.outputs or circuit.inputs else None,
        },
        "bounds": [
            {**bound._asdict(), "value": _finite(bound.value), "beyond": bound.beyond} for bound in bounds(circuit)
        ],
        "warnings": [warning.as_json() for rule in rules.RULES if (warning := rule.finds(circuit)) is not None],
    }


def _finite(value: float | None) -> float | None:
    return value if value is not None and math.isfinite(value) else None


def _source(circuit: Circuit, port: Port) -> dict[str, Any]:
    mic = circuit.mic_on(port)
    reflected = circuit.reflection(port)
    on_line = circuit.level_on_line_dbu(port)
    return {
        "port": port.name,
        "kind": port.kind.name,
        "source_ohm": circuit.source_ohm(port),
        "assumed": circuit.assumed(port),
        "microphone": None if mic is None else mic.name,
        "level_dbu": port.level_dbu,
        "loss_db": circuit.loss_joined_db(port),
        "level_on_line_dbu": on_line,
        "max_dbu": port.max_dbu,
        "headroom_db": _difference(port.max_dbu, port.level_dbu),
        "ratio": _finite(circuit.ratio(port)),
        "reflection": reflected,
        "return_loss_db": None if reflected is None else _finite(electric.return_loss_db(reflected)),
    }


def _load(circuit: Circuit, port: Port) -> dict[str, Any]:
    levels = [
        {
            "source": source.name,
            "level_dbu": (level := circuit.level_on_line_dbu(source)),
            "headroom_db": _difference(port.max_dbu, level),
            "step_db": circuit.step_db(source, port),
        }
        for source in circuit.outputs
    ]
    return {
        "port": port.name,
        "kind": port.kind.name,
        "load_ohm": port.ohms,
        "assumed": port.ohms_assumed,
        "level_dbu": port.level_dbu,
        "max_dbu": port.max_dbu,
        "levels": levels,
    }


def _phantom(circuit: Circuit) -> dict[str, Any] | None:
    able = [port for port in circuit.inputs if port.supply is not None]
    if not able:
        return None
    return {
        "supplies": [
            {
                "port": port.name,
                "supply_v": port.supply.volts,
                "feed_ohm": port.supply.feed_ohm,
                "assumed": port.supply.feed_assumed,
                "on": circuit.state.is_on(port.supply.switch),
            }
            for port in able
            if port.supply is not None
        ],
        "line_v": circuit.line_v,
        "feed_ohm": _finite(circuit.feed_ohm),
        "draw_ma": circuit.draw_ma,
    }


def _difference(a: float | None, b: float | None) -> float | None:
    return None if a is None or b is None else a - b


ASSUMED = "assumed"


def words(found: dict[str, Any]) -> list[str]:
    """A net's circuit to read. What rests on a kind's default is marked as assumed."""
    lines = [f"joined now: {', '.join(found['jacks'])}"]
    for source in found["sources"]:
        mic = f", the {source['microphone']} on it" if source["microphone"] else ""
        parts = [f"source {source['port']} ({source['kind']}{mic}): {_ohm(source['source_ohm'], source['assumed'])}"]
        if found["loads"] or len(found["sources"]) > 1:
            parts.append(f"loses {figure_words('loss_db', source['loss_db'])} here")
        if source["ratio"] is not None:
            parts.append(f"loads are {figure_words('ratio', source['ratio'])} times its impedance")
        parts += _said(
            source,
            (
                ("level_dbu", "level"),
                ("headroom_db", "headroom"),
                ("reflection", "reflects"),
                ("return_loss_db", "return loss"),
            ),
        )
        lines.append("; ".join(parts))
    for load in found["loads"]:
        parts = [f"load {load['port']} ({load['kind']}): {_ohm(load['load_ohm'], load['assumed'])}"]
        for level in load["levels"]:
            if level["level_dbu"] is not None:
                told = f"{_dbu(level['level_dbu'])} from {level['source']}"
                if level["headroom_db"] is not None:
                    told += f", {figure_words('headroom_db', level['headroom_db'])} of headroom"
                parts.append(told)
        lines.append("; ".join(parts))
    if not found["sources"]:
        lines.append("no source: nothing feeds this")
    if not found["loads"]:
        lines.append("no load: it feeds nothing")
    elif len(found["loads"]) > 1:
        lines.append(f"all loads in parallel: {figure_words('load_ohm', found['load_ohm'])}")
    lines += _phantom_words(found["phantom"])
    cable = found["cable"]
    if cable["cable_m"]:
        told = f"cable {figure_words('cable_m', cable['cable_m'])}"
        if cable["loss_20k_db"] is not None:  # a bare tie line has cable, and nothing that drives it
            told += (
                f": corner at {figure_words('corner_hz', cable['corner_hz'] or math.inf)}, "
                f"{figure_words('loss_20k_db', cable['loss_20k_db'])} down at 20 kHz"
            )
        lines.append(told)
    for bound in found["bounds"]:
        value = math.inf if bound["value"] is None else bound["value"]
        side = _SIDE[bound["raised"]]
        lines.append(
            f"{'BEYOND' if bound['beyond'] else 'within'} {bound['rule']}: {bound['of']}, {_SAID[bound['figure']]} "
            f"{figure_words(bound['figure'], value)}, should be {side} {figure_words(bound['figure'], bound['bound'])}"
        )
    return lines


def _ohm(value: float, assumed: bool) -> str:
    return f"{figure_words('x_ohm', value)}{f' ({ASSUMED})' if assumed else ''}"


def _dbu(value: float) -> str:
    return f"{value:+.1f} dBu"


def _said(values: dict[str, Any], told: tuple[tuple[str, str], ...]) -> list[str]:
    return [
        f"{word} {_dbu(values[key]) if key.endswith('_dbu') else figure_words(key, values[key])}"
        for key, word in told
        if values[key] is not None
    ]


def _phantom_words(phantom: dict[str, Any] | None) -> list[str]:
    if phantom is None:
        return []
    lines = []
    for supply in phantom["supplies"]:
        state = "on" if supply["on"] else "off (counted as open)"
        lines.append(
            f"phantom at {supply['port']}: {figure_words('x_v', supply['supply_v'])} through "
            f"{_ohm(supply['feed_ohm'], supply['assumed'])} each leg, {state}"
        )
    if any(supply["on"] for supply in phantom["supplies"]):
        lines.append(
            f"the line stands at {figure_words('line_v', phantom['line_v'])}, microphones draw "
            f"{figure_words('draw_ma', phantom['draw_ma'])}"
        )
    return lines
