"""Figures on demand: the whole circuit of a net, and how close each figure is to the bound of its rule.

Every figure is computed by :class:`~model.signal.circuit.Circuit`, as the rules' are.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Container, Iterator
from typing import Any, NamedTuple

from model import electric
from model.room.wiring import Port
from model.signal import rules
from model.signal.branches import open_branch_m
from model.signal.circuit import Circuit
from model.signal.rules.digital import (
    AES3_GUIDANCE_M,
    TENTH_OF_A_WAVE,
    level_words,
    reflection_bounds,
    top_hz,
)
from model.signal.rules.levels import LEAST_HEADROOM_DB, LEVEL_MISMATCH_DB
from model.signal.rules.loads import DULL_DB, lowest_ratio
from model.signal.rules.loudspeakers import LEAST_OHM
from model.signal.rules.phantom import needs_v
from model.signal.warning import figure_words


class Bound(NamedTuple):
    """A figure of a net beside the bound that its rule has for it; past the bound only where the rule stands."""

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
    "over": lambda value, bound: value > bound + 1e-9,
    "under": rules.under,
    "at": rules.reaches,
}
_SIDE = {"over": "at most", "under": "at least", "at": "under"}  # where the figure should be
_SAID = {
    "ratio": "load over source impedance",
    "loss_20k_db": "loss by cable at 20 kHz",
    "step_db": "step of levels",
    "headroom_db": "headroom over the source's nominal level",
    "reflection": "reflection",
    "load_ohm": "all loads in parallel",
    "line_v": "what the line stands at",
    "branch_m": "open branch",
    "cable_m": "cable",
}


def bounds(circuit: Circuit, standing: Container[str]) -> Iterator[Bound]:
    """How close the figures of a net are to what its rules allow.

    A figure that is past a bound while its rule does not stand is not within that rule's reach, and is left out.
    """
    for bound in _all_bounds(circuit):
        if not bound.beyond or bound.rule in standing:
            yield bound


def _all_bounds(circuit: Circuit) -> Iterator[Bound]:
    yield from _of_loads(circuit)
    yield from _of_levels(circuit)
    if circuit.digital:
        yield from _of_digital(circuit)
    if circuit.supplies and circuit.line_v is not None:
        for port in circuit.outputs:
            mic = circuit.mic_on(port)
            least = None if mic is None else needs_v(mic)
            if least is not None:
                yield Bound("no-phantom", "line_v", circuit.line_v, least, "under", port.name)


def _of_loads(circuit: Circuit) -> Iterator[Bound]:
    for source in circuit.outputs if circuit.inputs else ():
        if not source.kind.digital:
            yield Bound("heavy-load", "ratio", circuit.ratio(source), lowest_ratio(source), "under", source.name)
        if source.kind.family == "speaker":
            least = LEAST_OHM if source.least_ohm is None else source.least_ohm
            yield Bound("amplifier-load", "load_ohm", circuit.load_ohm, least, "under", source.name)
    if circuit.outputs and not circuit.digital:
        yield Bound("dull-line", "loss_20k_db", circuit.loss_20k_db, DULL_DB, "over", circuit.outputs[0].name)


def _of_levels(circuit: Circuit) -> Iterator[Bound]:
    for source in circuit.outputs:
        for load in circuit.inputs:
            of = f"{source.name} > {load.name}"
            step = circuit.step_db(source, load)
            if step is not None:
                yield Bound("level-mismatch", "step_db", abs(step), LEVEL_MISMATCH_DB, "at", of)
            if source.level_dbu is not None and load.max_dbu is not None:
                left = load.max_dbu - source.level_dbu
                yield Bound("low-headroom", "headroom_db", left, LEAST_HEADROOM_DB, "under", of)


def _of_digital(circuit: Circuit) -> Iterator[Bound]:
    for source in circuit.outputs:
        line_ohm, reflected = source.kind.line_ohms, circuit.reflection(source)
        if line_ohm is not None and reflected is not None:
            edge = abs(reflection_bounds(line_ohm)[reflected > 0])
            yield Bound("digital-split", "reflection", abs(reflected), edge, "over", source.name)
        if source.kind.family == "aes3" and circuit.cable_m:
            yield Bound("long-digital", "cable_m", circuit.cable_m, AES3_GUIDANCE_M, "over", source.name)
        if line_ohm is not None and source.kind.family != "clock" and circuit.cable_m and circuit.inputs:
            tenth = TENTH_OF_A_WAVE * electric.quarter_wave_m(top_hz(circuit))
            yield Bound("digital-branch", "branch_m", open_branch_m(circuit), tenth, "at", source.name)


def circuit_json(circuit: Circuit) -> dict[str, Any]:
    """A net's circuit as plain data; figures carry their unit in their name. A figure that has no value is null."""
    room = circuit.state.room
    standing = [warning for rule in rules.RULES if (warning := rule.finds(circuit)) is not None]
    analogue = bool(circuit.ports) and not circuit.digital  # a digital line has no lumped corner
    return {
        "jacks": sorted(room.jacks[node >> 1].address for node in circuit.nodes if not node & 1),
        "sources": [_source(circuit, port) for port in circuit.outputs],
        "loads": [_load(circuit, port) for port in circuit.inputs],
        "load_ohm": _finite(circuit.load_ohm),
        "phantom": _phantom(circuit),
        "cable": {
            "cable_m": circuit.cable_m,
            "corner_hz": _finite(circuit.corner_hz) if analogue else None,
            "loss_20k_db": circuit.loss_20k_db if analogue else None,
        },
        "bounds": [
            {**bound._asdict(), "value": _finite(bound.value), "beyond": bound.beyond}
            for bound in bounds(circuit, {warning.rule for warning in standing})
        ],
        "warnings": [warning.as_json() for warning in standing],
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
        "loss_db": None if port.kind.digital else circuit.loss_db(port),
        "joined_loss_db": circuit.joined_loss_db(port) if len(circuit.outputs) > 1 else None,
        "split_loss_db": circuit.split_loss_db(port),
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
        "ohm": port.ohms,
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
                "leg_ohm": port.supply.feed_ohm,
                "assumed": port.supply.feed_assumed,
                "on": circuit.state.is_on(port.supply.switch),
            }
            for port in able
            if port.supply is not None
        ],
        "line_v": circuit.line_v,
        "feed_ohm": _finite(circuit.feed_ohm),
        "draw_ma": circuit.draw_ma,
        "circulating_ma": circuit.circulating_ma if len(circuit.supplies) > 1 else None,
    }


def _difference(a: float | None, b: float | None) -> float | None:
    return None if a is None or b is None else a - b


ASSUMED = "assumed"
LEAST_TOLD_DB = 0.01  # less than that rounds to nothing


def words(found: dict[str, Any]) -> list[str]:
    """A net's circuit to read. What rests on a kind's default is marked as assumed."""
    lines = [f"joined now: {', '.join(found['jacks'])}"]
    for source in found["sources"]:
        mic = f", the {source['microphone']} on it" if source["microphone"] else ""
        parts = [f"source {source['port']} ({source['kind']}{mic}): {_ohm(source['source_ohm'], source['assumed'])}"]
        if found["loads"] and source["loss_db"] is not None:
            parts.append(f"loses {figure_words('loss_db', source['loss_db'])} into its loads")
        if source["joined_loss_db"] is not None:
            parts.append(f"{figure_words('joined_loss_db', source['joined_loss_db'])} more across the other outputs")
        if source["split_loss_db"] is not None and abs(source["split_loss_db"]) >= LEAST_TOLD_DB:
            parts.append(level_words(source["split_loss_db"]))
        if source["ratio"] is not None and source["split_loss_db"] is None:
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
        parts = [f"load {load['port']} ({load['kind']}): {_ohm(load['ohm'], load['assumed'])}"]
        for level in load["levels"]:
            if level["level_dbu"] is not None:
                told = f"{figure_words('level_dbu', level['level_dbu'])} from {level['source']}"
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


def _ohm(value: float | None, assumed: bool) -> str:
    return f"{figure_words('ohm', value)}{f' ({ASSUMED})' if assumed else ''}"


def _said(values: dict[str, Any], told: tuple[tuple[str, str], ...]) -> list[str]:
    return [f"{word} {figure_words(key, values[key])}" for key, word in told if values[key] is not None]


def _phantom_words(phantom: dict[str, Any] | None) -> list[str]:
    if phantom is None:
        return []
    lines = []
    for supply in phantom["supplies"]:
        state = "on" if supply["on"] else "off (counted as open)"
        lines.append(
            f"phantom at {supply['port']}: {figure_words('supply_v', supply['supply_v'])} through "
            f"{_ohm(supply['leg_ohm'], supply['assumed'])} each leg, {state}"
        )
    if any(supply["on"] for supply in phantom["supplies"]):
        lines.append(
            f"the line stands at {figure_words('line_v', phantom['line_v'])}, microphones draw "
            f"{figure_words('draw_ma', phantom['draw_ma'])}"
        )
    if phantom["circulating_ma"] is not None:
        lines.append(
            f"up to {figure_words('circulating_ma', phantom['circulating_ma'])} runs from one supply to another"
        )
    return lines
