"""Every figure of a net's circuit and of its warnings against lcapy and scikit-rf, on nets of random rooms, fixed seeds.

The net is built as a room is: gear at jacks of one mult, cables, a tie line, microphones put on lines, switches on.
"""

from __future__ import annotations

import math
import os
from random import Random
from typing import Any

import pytest

from model.bay.actions import Phantom, Put
from model.live.patch import Patch
from model.room.kinds import FEED_OHM, KINDS
from model.room.wiring import Bay, Gear, Jack, Mic, Mult, Port, Room, Row, Supply, Tie
from model.signal.circuit import Circuit
from model.signal.figures import circuit_json
from tests import judges

NETS = 500
JUDGED = int(os.environ.get("BAYHAND_NETS", "60"))  # the first so many are judged by lcapy; all of them by hand
ANALOGUE_OUT = ("mic line", "line out", "instrument out", "speaker out")
ANALOGUE_IN = ("mic in", "mic in", "line in", "instrument in", "speaker in")


def near(expected: float) -> Any:
    """To 1e-6 relative; the absolute bound is for figures of exactly 0."""
    return pytest.approx(expected, rel=1e-6, abs=1e-12)


def random_net(seed: int) -> tuple[Patch, Circuit]:
    """1 to 4 sources, 1 to 8 loads, up to 4 supplies that are on, cable; analogue, or of one digital kind."""
    rng = Random(seed)
    digital = rng.choice((None, None, None, "aes3", "coax", "clock"))
    outs = [f"{digital} out"] if digital else list(ANALOGUE_OUT)
    ins = [f"{digital} in"] if digital else list(ANALOGUE_IN)
    chosen = [rng.choice(outs) for _ in range(rng.randint(1, 4))] + [rng.choice(ins) for _ in range(rng.randint(1, 8))]
    ports: list[Port] = []
    for number, kind_name in enumerate(chosen):
        kind = KINDS[kind_name]
        stated = rng.random() < 0.7
        volts = rng.choice((48.0, 48.0, 24.0, 12.0))
        name = f"Box {number + 1}"
        supply = Supply(volts + rng.uniform(-1, 1), FEED_OHM[volts], name, True) if kind.is_mic_in else None
        ports.append(
            Port(
                number,
                name,
                "p",
                number,
                kind,
                kind.ohms * 10 ** rng.uniform(-0.5, 0.5) if stated else kind.ohms,
                not stated,
                rng.choice((None, round(rng.uniform(-20, 24), 2))),
                None,
                round(rng.uniform(0.1, 250), 1),
                supply,
                1,
            )
        )
    jacks = tuple(Jack(n, f"A{n + 1}", 0, n + 1, n if n < len(ports) else -1, 1) for n in range(len(ports) + 1))
    mics = tuple(
        Mic(
            f"mic {n}",
            rng.uniform(50, 600),
            rng.choice((None, 48.0)),
            round(rng.uniform(0, 10), 2),
            rng.random() < 0.3,
            1,
        )
        for n in range(3)
    )
    room = Room(
        "Random net",
        tuple(Gear(p.gear, p.name, (p.index,), True, 1) for p in ports),
        tuple(ports),
        (Bay(0, "Bay", "", len(jacks), (0,), 1),),
        (Row(0, "A", 0, 0, len(jacks)),),
        jacks,
        (),
        (Tie("Tie 1", 0, len(jacks) - 1, rng.choice((0.0, 30.0)), 1),),
        (Mult("Mult 1", tuple(j.index for j in jacks[:-1]), 1),),
        mics,
    )
    patch = Patch.of_room(room)
    for port in ports:
        if port.kind.is_mic_line and rng.random() < 0.6:
            patch = patch.do(Put(rng.choice(mics).name, port.name)).patch
    able = [p for p in ports if p.supply is not None]
    for port in able[: rng.randint(0, 4)]:
        patch = patch.do(Phantom(port.name, True)).patch
    return patch, patch.circuit_at(0)


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(min(NETS, JUDGED)))
def test_random_net(seed: int) -> None:
    """The circuit's figures, the `figures` command's, and those of the warnings that stand."""
    patch, circuit = random_net(seed)
    state = patch.state
    source_ohms = [state.mics[p.index].ohms if p.index in state.mics else p.ohms for p in circuit.outputs]
    load_ohms = [p.ohms for p in circuit.inputs]
    supplies = [
        (p.supply.volts, p.supply.feed_ohm)
        for p in circuit.inputs
        if p.supply is not None and p.supply.switch in state.switches and p.supply.feed_ohm is not None
    ]
    draw_ma = sum(mic.draws_ma for mic in state.mics.values())
    metres = sum(p.cable_m for p in circuit.ports) + sum(tie.metres for tie in patch.room.ties)
    farad = metres * (45e-12 if circuit.outputs[0].kind.digital else 100e-12)

    # levels of each source, and the cable, by nodal analysis
    tied_levels = []
    for number, (port, ohm) in enumerate(zip(circuit.outputs, source_ohms, strict=True)):
        others = source_ohms[:number] + source_ohms[number + 1 :]
        if number == 0:
            cable = judges.cable(ohm, load_ohms, others, farad)
            level = cable.level_db
            assert circuit.corner_hz == near(cable.corner_hz)
            # a loss near 0 dB is a small difference of large numbers for the judge: not better than 1e-9 dB
            assert circuit.loss_20k_db == pytest.approx(cable.loss_db, rel=1e-6, abs=1e-9)
        else:
            level = judges.level_db(ohm, load_ohms, others)
        tied_levels.append(level)
        assert -circuit.loss_db(port) - circuit.joined_loss_db(port) == near(level)
        if port.level_dbu is not None:
            assert circuit.level_on_line_dbu(port) == near(port.level_dbu + level)

    found = circuit_json(circuit)
    lone = [judges.level_db(ohm, load_ohms) for ohm in source_ohms]
    digital = circuit.outputs[0].kind.digital
    assert [s["loss_db"] for s in found["sources"]] == [None if digital else near(-level) for level in lone]
    if len(lone) > 1:
        # a difference of two levels: no better than 1e-9 dB
        told = [s["joined_loss_db"] for s in found["sources"]]
        assert told == [pytest.approx(a - t, rel=1e-6, abs=1e-9) for a, t in zip(lone, tied_levels, strict=True)]
    assert found["cable"]["cable_m"] == near(metres)
    if supplies:
        line_v = max(0.0, judges.phantom_line_v(supplies, draw_ma))
        assert circuit.line_v == near(line_v)
        assert circuit.feed_ohm == near(judges.phantom_feed_ohm([ohm for _, ohm in supplies]))

    # the figures of the warnings
    warnings = {w.rule: w for w in patch.standing_warnings()}
    for warning in warnings.values():
        if "line_v" in warning.figures:
            assert warning.figures["line_v"] == near(line_v)
        if "feed_ohm" in warning.figures:
            assert warning.figures["feed_ohm"] == near(judges.phantom_feed_ohm([ohm for _, ohm in supplies]))
            assert warning.figures["supplies"] == len(supplies)
        if "circulating_ma" in warning.figures:
            read = [judges.source_current_ma((*supplies[n:], *supplies[:n]), []) for n in range(len(supplies))]
            assert warning.figures["circulating_ma"] == pytest.approx(2 * max(map(abs, read)), rel=1e-6, abs=1e-9)
    if joined := warnings.get("joined-outputs"):
        assert joined.figures["joined_loss_db"] == near(max(a - t for a, t in zip(lone, tied_levels, strict=True)))
        opposed = [
            judges.source_current_ma(
                [(judges.volt_of_dbu(a.level_dbu), oa), (-judges.volt_of_dbu(b.level_dbu), ob)], []
            )
            for i, (a, oa) in enumerate(zip(circuit.outputs, source_ohms, strict=True))
            for b, ob in list(zip(circuit.outputs, source_ohms, strict=True))[i + 1 :]
            if a.level_dbu is not None and b.level_dbu is not None
        ]
        assert joined.figures.get("current_ma", -1) == near(max(opposed, default=-1))
    if split := warnings.get("digital-split"):
        line_ohm = circuit.outputs[0].kind.line_ohms
        assert line_ohm is not None
        bounce = judges.bounce([*load_ohms, *source_ohms[1:]], line_ohm)  # the other drivers are across the line, too
        assert split.figures["reflection"] == near(bounce.reflection)
        assert split.figures["return_loss_db"] == near(bounce.return_loss_db)
        matched = judges.level_db(source_ohms[0], [line_ohm])
        now = judges.level_db(source_ohms[0], load_ohms, source_ohms[1:])
        assert split.figures["split_loss_db"] == pytest.approx(matched - now, rel=1e-6, abs=1e-9)
    if double := warnings.get("double-load"):
        lines = [ohm for p, ohm in zip(circuit.outputs, source_ohms, strict=True) if p.kind.is_mic_line]
        extra = max(
            judges.level_db(ohm, [load]) - judges.level_db(ohm, load_ohms) for ohm in lines for load in load_ohms
        )
        assert double.figures["extra_loss_db"] == near(extra)
        # the loads in parallel: 1 V behind 1 ohm divides by them
        divided = 10 ** (judges.level_db(1.0, load_ohms) / 20)
        assert double.figures["load_ohm"] == pytest.approx(divided / (1 - divided), rel=1e-6)
    if heavy := warnings.get("heavy-load"):
        assert heavy.figures["loss_db"] == near(-lone[0])
        divided = 10 ** (lone[0] / 20)
        assert heavy.figures["ratio"] == near(divided / (1 - divided))
    if dull := warnings.get("dull-line"):
        assert dull.figures["loss_20k_db"] == pytest.approx(cable.loss_db, rel=1e-6)
        assert dull.figures["corner_hz"] == near(cable.corner_hz)


def test_random_nets_raise_every_rule_with_figures() -> None:
    """The nets above reach all rules that the test compares, many times each."""
    raised: dict[str, int] = {}
    for seed in range(NETS):
        for warning in random_net(seed)[0].standing_warnings():
            raised[warning.rule] = raised.get(warning.rule, 0) + 1
    for rule in (
        "double-load",
        "shared-phantom",
        "stray-phantom",
        "joined-outputs",
        "digital-split",
        "heavy-load",
        "dull-line",
    ):
        assert raised.get(rule, 0) > 20, (rule, raised)


def test_figures_say_what_is_infinite_as_null() -> None:
    """An open line has no corner and no ratio."""
    _, circuit = random_net(1)
    assert all(value is None or math.isfinite(value) for value in circuit_json(circuit)["cable"].values())
