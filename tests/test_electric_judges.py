"""The formulas of ``model.electric`` against lcapy's nodal analysis and scikit-rf, on random nets with fixed seeds."""

from __future__ import annotations

import math
import os
import random
from typing import NamedTuple

import pytest

from model import electric
from tests import judges

NETS = 120  # the circuits of 500 whole nets are judged in test_circuit_judges
JUDGED = int(os.environ.get("BAYHAND_NETS", "30"))  # the first so many are judged by lcapy; all of them by hand
CLOSE = 1e-6  # relative


class Net(NamedTuple):
    """Numbers of a net such as a studio could have: from a microphone with a long line to an amplifier."""

    source_ohms: list[float]
    source_dbu: list[float]
    load_ohms: list[float]
    supplies: list[tuple[float, float]]  # volts, ohm in each leg
    draw_ma: float
    farad: float


def random_net(seed: int) -> Net:
    """1 to 4 sources, 1 to 8 loads, 0 to 4 supplies, 1 to 400 m of cable; the same for the same seed."""
    rng = random.Random(seed)

    def ohms(low: float, high: float) -> float:
        # Even over the decades: 100 ohm comes as often as 10 000.
        return float(f"{10 ** rng.uniform(math.log10(low), math.log10(high)):.4g}")

    sources = rng.randint(1, 4)
    return Net(
        source_ohms=[ohms(10, 10_000) for _ in range(sources)],
        source_dbu=[round(rng.uniform(-60, 24), 1) for _ in range(sources)],
        load_ohms=[ohms(50, 1_000_000) for _ in range(rng.randint(1, 8))],
        supplies=[
            (round(volts + rng.uniform(-tolerance, tolerance), 2), round(feed_ohm * rng.uniform(0.99, 1.01), 1))
            for volts, tolerance, feed_ohm in rng.choices(
                ((48, 4, 6800), (24, 4, 1200), (12, 1, 680)), (6, 1, 1), k=rng.randint(0, 4)
            )
        ],
        draw_ma=round(rng.choice((0.0, rng.uniform(0.5, 10), rng.uniform(10, 40))), 2),
        farad=float(f"{rng.uniform(1, 400) * rng.choice((45e-12, 100e-12)):.4g}"),
    )


def near(expected: float) -> object:
    """Within 1e-6 of what the judge says, whatever its size; the absolute bound is for figures of exactly 0."""
    return pytest.approx(expected, rel=CLOSE, abs=1e-15)


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(min(NETS, JUDGED)))
def test_random_net(seed: int) -> None:
    """Levels, joined currents, cable, phantom and reflection of one random net."""
    net = random_net(seed)
    load_ohm = electric.parallel_ohm(net.load_ohms)

    for i, ohm in enumerate(net.source_ohms):
        others = net.source_ohms[:i] + net.source_ohms[i + 1 :]
        level_db = electric.level_with_others_db(ohm, load_ohm, others)
        if i:
            assert level_db == near(judges.level_db(ohm, net.load_ohms, others))
            continue
        # The first source is judged with the cable on its line.
        cable = judges.cable(ohm, net.load_ohms, others, net.farad, 20_000)
        corner_hz = electric.corner_hz(electric.parallel_ohm([*net.source_ohms, *net.load_ohms]), net.farad)
        assert level_db == near(cable.level_db)
        assert corner_hz == near(cable.corner_hz)
        assert electric.lowpass_loss_db(20_000, corner_hz) == near(cable.loss_db)
        if not others:
            assert electric.level_db(ohm, load_ohm) == near(cable.level_db)

    if len(net.source_ohms) > 1:
        (dbu_a, dbu_b), (ohm_a, ohm_b) = net.source_dbu[:2], net.source_ohms[:2]
        opposed = [(judges.volt_of_dbu(dbu_a), ohm_a), (-judges.volt_of_dbu(dbu_b), ohm_b)]
        assert electric.opposed_current_ma(dbu_a, ohm_a, dbu_b, ohm_b) == near(judges.source_current_ma(opposed, []))

    if net.supplies:
        feed_ohms = [feed_ohm for _, feed_ohm in net.supplies]
        line_v = max(0.0, judges.phantom_line_v(net.supplies, net.draw_ma))
        assert electric.phantom_line_v(net.supplies, net.draw_ma) == near(line_v)
        assert electric.phantom_feed_ohm(feed_ohms) == near(judges.phantom_feed_ohm(feed_ohms))

    line_ohm = 75.0 if seed % 2 else 110.0
    bounce = judges.bounce(net.load_ohms, line_ohm)
    assert electric.reflection(load_ohm, line_ohm) == near(bounce.reflection)
    assert electric.return_loss_db(bounce.reflection) == near(bounce.return_loss_db)


def test_random_nets_cover_what_they_should() -> None:
    """Every count of sources, loads and supplies comes up, and draws that pull phantom down to nothing."""
    nets = [random_net(seed) for seed in range(NETS)]
    assert {len(net.source_ohms) for net in nets} == {1, 2, 3, 4}
    assert {len(net.load_ohms) for net in nets} == set(range(1, 9))
    assert {len(net.supplies) for net in nets} == {0, 1, 2, 3, 4}
    lines = [electric.phantom_line_v(net.supplies, net.draw_ma) for net in nets if net.supplies]
    assert lines.count(0.0) > 5
    assert sum(volt > 0 for volt in lines) > 50


@pytest.mark.parametrize("supplies", [((52.0, 6800.0), (44.0, 6810.0)), ((12.0, 680.0), (48.0, 6800.0))])
def test_current_between_two_supplies(supplies: tuple[tuple[float, float], tuple[float, float]]) -> None:
    """Two supplies as sources behind their legs, nothing else on the line."""
    in_one_leg = judges.source_current_ma(supplies, [])
    assert electric.phantom_circulating_ma(supplies) == near(2 * abs(in_one_leg))


@pytest.mark.parametrize(
    "supplies",
    [
        ((48.0, 6800.0), (44.0, 6800.0), (52.0, 6800.0)),
        ((48.0, 6800.0), (24.0, 1200.0), (12.0, 680.0)),
        ((48.0, 6810.0), (48.0, 6800.0), (12.0, 680.0), (46.0, 6800.0)),
    ],
)
def test_largest_current_among_several_supplies(supplies: tuple[tuple[float, float], ...]) -> None:
    """Each in turn is the one whose current the judge reads; both its legs carry it."""
    read = [judges.source_current_ma((*supplies[n:], *supplies[:n]), []) for n in range(len(supplies))]
    assert electric.phantom_circulating_ma(supplies) == near(2 * max(abs(in_one_leg) for in_one_leg in read))


@pytest.mark.parametrize(("draw_ma", "line_v"), [(0.0, 24.0), (5.0, 15.5)])
def test_supply_that_is_off_and_pulls_to_ground(draw_ma: float, line_v: float) -> None:
    """The program takes a supply that is off for open. One that pulls its feed to ground is a supply of 0 V.

    Source of the two voltages: Thevenin's theorem on the feed of IEC 61938, also by ngspice.
    """
    supplies = [(48.0, 6800.0), (0.0, 6800.0)]
    assert judges.phantom_line_v(supplies, draw_ma) == near(line_v)
    assert electric.phantom_line_v(supplies, draw_ma) == near(line_v)


@pytest.mark.parametrize(("load_ohm", "level_db"), [(1_000_000.0, 0.576), (10_000.0, -7.76)])
def test_pickup_is_not_modelled(load_ohm: float, level_db: float) -> None:
    """A pickup of 6 k and 3 H with 600 pF across it, at 1 kHz: its inductance makes a level that the formula misses.

    The judge gives the figures (arithmetic, also by ngspice); the program's plain resistance is over 0.5 dB away, which
    is why pickups are named as not modelled.
    """
    netlist = ["V0 s 0 s 1", "R0 s a 6000", "L1 a 1 3", "C1 1 0 600e-12", f"RL 1 0 {load_ohm!r}"]
    judged = 20 * math.log10(judges.magnitude(judges.volt_at(netlist), 1000))
    assert judged == pytest.approx(level_db, abs=0.005 if load_ohm == 10_000 else 0.0005)
    assert abs(electric.level_db(6000, load_ohm) - judged) > 0.5
