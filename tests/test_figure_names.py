"""One name, one meaning: every figure that a rule, a caution or `figures` gives out is in the table, and the reverse."""

from __future__ import annotations

from collections.abc import Iterator
from random import Random
from typing import Any

import pytest

from model.bay.actions import Phantom, Put
from model.live.patch import Patch
from model.signal.figure_names import FIGURE_NAMES
from model.signal.figures import circuit_json, words
from model.signal.rules import ALL_RULES
from model.signal.warning import figure_words
from tests.random_rooms import random_room

UNITS = {"ohm": "ohm", "db": "dB", "v": "V", "ma": "mA", "hz": "Hz", "m": "m", "dbu": "dBu"}
NO_FIGURES = {"value", "bound"}  # of a bound: the figure that it names


def numbers(told: Any) -> Iterator[str]:
    """The names under which a plain structure has a number or, as one that is not known, null."""
    if isinstance(told, list):
        for each in told:
            yield from numbers(each)
    elif isinstance(told, dict):
        for name, value in told.items():
            if isinstance(value, dict | list):
                yield from numbers(value)
            elif isinstance(value, float | int) and not isinstance(value, bool):
                yield name


@pytest.fixture(scope="module")
def given_out() -> set[str]:
    """The names of all figures that `figures` and the warnings of 150 random rooms give out."""
    found: set[str] = set()
    for seed in range(150):
        rng = Random(seed)
        patch = Patch.of_room(random_room(rng))
        for port in patch.room.ports:
            if port.kind.is_mic_line and rng.random() < 0.5:
                patch = patch.do(Put(rng.choice(patch.room.mics).name, port.name)).patch
        for ports in patch.room.ports_of_switch.values():
            patch = patch.do(Phantom(patch.room.ports[ports[0]].name, True)).patch
        for warning in patch.standing_warnings():
            found.update(warning.figures)
        for jack in patch.room.jacks:
            told = circuit_json(patch.circuit_at(2 * jack.index))
            assert words(told)
            found.update(numbers(told))
            found.update(bound["figure"] for bound in told["bounds"])
    return found - NO_FIGURES


def test_every_figure_that_is_given_out_is_in_the_table(given_out: set[str]) -> None:
    of_rules = {figure for rule in ALL_RULES for figure in rule.figures}
    assert given_out | of_rules <= FIGURE_NAMES.keys()


def test_every_figure_of_the_table_is_given_out(given_out: set[str]) -> None:
    of_rules = {figure for rule in ALL_RULES for figure in rule.figures}
    # what a port may state and these rooms do not: the level at which it clips, and what is left to it
    assert FIGURE_NAMES.keys() - given_out - of_rules <= {"max_dbu", "headroom_db"}


def test_units_stand_at_the_end_of_each_name() -> None:
    for name, (unit, meaning) in FIGURE_NAMES.items():
        assert unit == UNITS.get(name.rpartition("_")[2], ""), name
        assert meaning
        assert meaning[0].islower()
        assert not meaning.endswith("."), name


def test_meanings_differ() -> None:
    assert len({meaning for _, meaning in FIGURE_NAMES.values()}) == len(FIGURE_NAMES)


@pytest.mark.parametrize(
    ("name", "value", "said"),
    [
        ("load_ohm", 200, "200 Ω"),
        ("load_ohm", 999.4, "999 Ω"),
        ("load_ohm", 999.6, "1 kΩ"),
        ("load_ohm", 1500, "1.5 kΩ"),
        ("load_ohm", 999_600, "1 MΩ"),
        ("load_ohm", 1e6, "1 MΩ"),
        ("ohm", 0.1, "0.10 Ω"),
        ("corner_hz", 79_577, "79.6 kHz"),
        ("level_dbu", 0, "0 dBu"),
        ("level_dbu", 0.001, "0.00 dBu"),
        ("level_dbu", -0.001, "0.00 dBu"),
        ("level_dbu", 4, "+4 dBu"),
        ("level_dbu", -7.78, "-7.78 dBu"),
        ("line_v", None, "unknown"),
        ("load_ohm", float("inf"), "no limit"),
    ],
)
def test_figures_in_words(name: str, value: float | None, said: str) -> None:
    assert figure_words(name, value) == said
