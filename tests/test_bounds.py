"""Each rule is raised at its bound, and not just under it.

Every room here is one net that lies on the bound or a hair beside it, so that a bound that slips by a little is seen. Where
a bound is a count (two inputs, two supplies), "just under" is one less. The bounds of five, ten, 6 dB and 1 dB are common
practice; five to ten times the source is in Self, Small Signal Audio Design.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Collection
from dataclasses import replace
from typing import TypeVar

import pytest

from model.check import WIRING_CHECKS, check_room
from model.room.file import parse_room
from model.session import Session
from model.signal.rules import ALL_RULES

Test = TypeVar("Test")
Said = set[tuple[str, str]]  # severity and rule

TESTED: set[str] = set()


def bound(*rules: str) -> Callable[[Test], Test]:
    """Says of which rules a test tries the bound."""
    TESTED.update(rules)
    return lambda test: test


def room_text(ports: dict[str, str], joined: Collection[str], rest: str = "") -> str:
    """A room whose ports stand side by side, each at a jack of its own; ``joined`` meet in a mult."""
    gear = "".join(f"  {name}: {{{port}}}\n" for name, port in ports.items())
    jacks = "".join(f"        {point}: {name}\n" for point, name in enumerate(ports, start=1))
    meet = [f"A{point}" for point, name in enumerate(ports, start=1) if name in joined]
    mult = f'mults:\n  - {{name: Mult 1, jacks: "{", ".join(meet)}"}}\n' if len(meet) > 1 else ""
    bay = f"bays:\n  - bay: Bay\n    columns: {len(ports) + 2}\n    rows:\n      A:\n{jacks}"
    return f"bayhand: 1\nroom: Fernhill\ngear:\n{gear}{bay}{mult}{rest}"


MICS = """mics:
  dynamic: {ohms: 200}
  ribbon: {ohms: 300, harmed: yes}
  condenser: {ohms: 150, phantom: 48, draws: 4}
"""


def stands(ports: dict[str, str], *lines: str, apart: Collection[str] = (), rest: str = MICS) -> Said:
    """What stands in such a room once the lines were typed; all its ports meet but for those that are kept apart."""
    session = Session(parse_room(room_text(ports, [name for name in ports if name not in apart], rest)))
    for line in lines:
        outcome = session.enter(line)
        assert outcome.ok, outcome.error
    return {(w.severity, w.rule) for w in session.patch.standing_warnings()}


def line_out(ohms: float = 100, **more: object) -> str:
    return _port("line out", ohms=ohms, **more)


def line_in(ohms: float = 10_000, **more: object) -> str:
    return _port("line in", ohms=ohms, **more)


def _port(kind: str, **more: object) -> str:
    return ", ".join([f"is: {kind}", *(f"{key}: {value}" for key, value in more.items())])


MIC = _port("mic line")
MIC_IN = _port("mic in", ohms=6000)
P48 = _port("mic in", ohms=6000, phantom=48)


@bound("double-load")
def test_double_load_at_two_microphone_inputs() -> None:
    assert stands({"Live": MIC, "Pre one": MIC_IN}) == set()
    assert stands({"Live": MIC, "Pre one": MIC_IN, "Pre two": MIC_IN}) == {("warning", "double-load")}


def test_double_load_counts_microphone_inputs_alone() -> None:
    # a line input beside the one preamplifier is a step of levels, and no double load
    assert stands({"Live": MIC, "Pre one": MIC_IN, "Meter": line_in()}) == {("warning", "level-mismatch")}
    # and two preamplifiers on a line output are none either
    assert stands({"Keys": line_out(), "Pre one": MIC_IN, "Pre two": MIC_IN}) == {("warning", "level-mismatch")}


@bound("shared-phantom")
def test_shared_phantom_at_two_supplies() -> None:
    ports = {"Live": MIC, "Pre one": P48, "Pre two": P48}
    load = ("warning", "double-load")
    assert stands(ports) == {load}
    # one that is on is enough where two inputs share the line, and two of a class are no worse
    assert stands(ports, "phantom pre one on") == {load, ("warning", "shared-phantom")}
    assert stands(ports, "phantom pre one on", "phantom pre two on") == {load, ("warning", "shared-phantom")}
    assert stands({"Live": MIC, "Pre one": P48}, "phantom pre one on") == set()


@pytest.mark.parametrize(
    ("volts", "severity"), [(44, "warning"), (43.9, "danger"), (52, "warning"), (52.1, "danger"), (24, "danger")]
)
def test_shared_phantom_is_a_danger_where_the_classes_differ(volts: float, severity: str) -> None:
    """48 V +-4 are one class."""
    ports = {"Live": MIC, "Pre one": P48, "Pre two": _port("mic in", ohms=6000, phantom=volts, feed=6800)}
    assert (severity, "shared-phantom") in stands(ports, "phantom pre one on", "phantom pre two on")


@pytest.mark.parametrize(
    ("more", "words"),
    [
        ({"phantom": 48}, "Pre two has a supply of that class itself, and is built to stand it."),
        (
            {"phantom": 12},
            "Pre two has a supply of P12 only: whether it stands this is not known, read its manual first.",
        ),
        ({}, "Pre two has no supply: whether it stands this is not known, read its manual first."),
    ],
)
def test_shared_phantom_says_of_each_other_input_what_is_known(more: dict[str, int], words: str) -> None:
    ports = {"Live": MIC, "Pre one": P48, "Pre two": _port("mic in", ohms=6000, **more)}
    session = Session(parse_room(room_text(ports, ports)))
    session.enter("phantom pre one on")
    (warning,) = [w for w in session.patch.standing_warnings() if w.rule == "shared-phantom"]
    assert words in warning.text
    assert warning.ports == ("Pre one", "Pre two")


@bound("stray-phantom")
def test_stray_phantom_at_the_first_victim() -> None:
    on = "phantom pre one on"
    assert stands({"Live": MIC, "Pre one": P48}, on) == set()
    assert stands({"Live": MIC, "Pre one": P48}, "put ribbon on live") == set()
    assert stands({"Live": MIC, "Pre one": P48}, on, "put dynamic on live") == set()
    assert stands({"Live": MIC, "Pre one": P48}, on, "put ribbon on live") == {("danger", "stray-phantom")}
    # a condenser on a split can stand: another input is not what phantom harms
    with_another = stands({"Live": MIC, "Pre one": P48, "Pre two": P48}, on, "put condenser on live")
    assert with_another == {("warning", "double-load"), ("warning", "shared-phantom")}


@pytest.mark.parametrize("unbalanced", ["Live", "Pre one"])
def test_stray_phantom_on_an_unbalanced_line(unbalanced: str) -> None:
    ports = {"Live": MIC, "Pre one": P48}
    assert stands(ports, "phantom pre one on") == set()
    ports[unbalanced] += ", balanced: no"
    assert stands(ports) == set()
    assert stands(ports, "phantom pre one on") == {("danger", "stray-phantom")}


def test_no_fix_sends_phantom_where_something_is_harmed() -> None:
    """A condenser beside a ribbon is not told to switch phantom on; alone on a shared switch it is told whose it is."""
    shared = _port("mic in", ohms=6000, phantom=48, switch="bank")
    ports = {"Live": MIC, "Other": MIC, "Pre one": shared, "Pre two": shared}
    session = Session(parse_room(room_text(ports, ["Live", "Other", "Pre one"], MICS)))
    session.enter("put condenser on live")
    (note,) = [w for w in session.patch.standing_warnings() if w.rule == "no-phantom"]
    assert "phantom on at Pre one. Its switch is that of Pre two too" in note.fix
    session.enter("put ribbon on other")
    (note,) = [w for w in session.patch.standing_warnings() if w.rule == "no-phantom"]
    assert note.fix.startswith("Not on this line: phantom would reach the ribbon on Other.")
    assert "phantom on" not in note.fix


@pytest.mark.parametrize("wiring", ["mult", "cord", "normal"])
def test_no_fix_pulls_a_cord_where_there_is_none(wiring: str) -> None:
    ports = {"Keys": line_out(), "Organ": line_out()}
    pair = PAIR.format(top="line out", bottom="line out", normal="full")
    text = pair if wiring == "normal" else room_text(ports, ports if wiring == "mult" else [])
    session = Session(parse_room(text))
    if wiring == "cord":
        session.enter("A1 > A2")
    (warning,) = session.patch.standing_warnings()
    assert warning.rule == "joined-outputs"
    assert ("pull the cord" in warning.fix) is (wiring == "cord")
    assert ("break the normal" in warning.fix) is (wiring == "normal")
    assert ("have the wiring mended" in warning.fix) is (wiring == "mult")


@pytest.mark.parametrize("kind", ["line out", "instrument out", "aes3 out", "coax out", "clock out", "speaker out"])
def test_stray_phantom_on_each_output_that_is_no_microphone_line(kind: str) -> None:
    ports = {"Thing": _port(kind), "Pre one": P48}
    assert ("danger", "stray-phantom") not in stands(ports)
    assert ("danger", "stray-phantom") in stands(ports, "phantom pre one on")


@pytest.mark.parametrize("kind", ["line in", "instrument in", "speaker in"])
def test_stray_phantom_on_an_input_that_is_no_microphone_input(kind: str) -> None:
    ports = {"Live": MIC, "Pre one": P48, "Thing": _port(kind, ohms=100_000)}
    assert ("danger", "stray-phantom") not in stands(ports)
    assert ("danger", "stray-phantom") in stands(ports, "phantom pre one on")


@bound("no-phantom")
def test_no_phantom_until_the_first_supply_is_on() -> None:
    ports = {"Live": MIC, "Pre one": P48}
    assert stands(ports) == set()
    assert stands(ports, "put dynamic on live") == set()
    assert stands(ports, "put condenser on live") == {("note", "no-phantom")}
    assert stands(ports, "put condenser on live", "phantom pre one on") == set()
    # a supply that is on somewhere else is none
    apart = stands({**ports, "Pre two": P48}, "put condenser on live", "phantom pre two on", apart=["Pre two"])
    assert apart == {("note", "no-phantom")}


def starving(works_from: float | None, draws: float, volts: float = 48, made_for: float = 48) -> Said:
    """What stands where a microphone is on a supply that is on."""
    stated = "" if works_from is None else f", works from: {works_from}"
    rest = f"mics: {{odd one: {{ohms: 150, phantom: {made_for}, draws: {draws}{stated}}}}}\n"
    supply = _port("mic in", ohms=6000, phantom=volts, feed=6800 if volts > 40 else 680)
    return stands({"Live": MIC, "Pre": supply}, "phantom pre on", "put odd one on live", rest=rest)


@pytest.mark.parametrize(
    ("works_from", "draws", "volts", "starved"),
    [
        # stated: 48 - 3.4 x 4 = 34.4 V
        (34.4, 4, 48, False),
        (34.5, 4, 48, True),
        # P48 at its least: 44 - 3.4 x 4 = 30.4 is needed; a supply of 43.9 V leaves 30.3
        (None, 4, 44, False),
        (None, 4, 43.9, True),
        (None, 4, 48, False),
        # beyond the class's largest draw nothing less is needed: at 10 mA 14 V are there and 10 needed
        (None, 10, 48, False),
        (None, 11, 48, False),
        (None, 11.3, 48, True),
        # a lower class, whatever the volts: 10 mA on P12 leave 8.6 V; where the microphone states 8 V it is enough
        (None, 10, 12, True),
        (8, 10, 12, False),
    ],
)
def test_no_phantom_at_what_the_microphone_works_from(
    works_from: float | None, draws: float, volts: float, starved: bool
) -> None:
    assert starving(works_from, draws, volts) == ({("warning", "no-phantom")} if starved else set())


def test_lower_class_alone_starves_a_microphone() -> None:
    """A P48 microphone of 12 mA needs 10 V by the sum; P24 leaves 24 - 0.6 x 10 = 18 V, and is not its class."""
    rest = "mics: {odd one: {ohms: 150, phantom: 48, draws: 10}}\n"
    ports = {"Live": MIC, "Pre": _port("mic in", ohms=6000, phantom=24)}
    assert stands(ports, "phantom pre on", "put odd one on live", rest=rest) == {("warning", "no-phantom")}


def test_supply_of_no_class_without_feed_is_unknown() -> None:
    """The room opens, the figure is not known, and nothing is said that would need it."""
    ports = {"Live": MIC, "Pre": _port("mic in", ohms=6000, phantom=36)}
    session = Session(parse_room(room_text(ports, ports, MICS)))
    for typed in ("put condenser on live", "phantom pre on"):
        assert session.enter(typed).ok
    phantom = session.enter("figures A1").answer.extra["figures_of"]["phantom"]
    assert phantom["line_v"] is None
    assert phantom["feed_ohm"] is None
    assert phantom["supplies"][0]["leg_ohm"] is None
    # the class is lower than the microphone's all the same
    assert [(w.severity, w.rule, dict(w.figures)) for w in session.patch.standing_warnings()] == [
        ("warning", "no-phantom", {"needs_v": 44 - 3.4 * 4})
    ]


@bound("digital-split")
@pytest.mark.parametrize("family", ["aes3", "coax"])
def test_digital_split_at_two_receivers(family: str) -> None:
    ports = {"Sender": _port(f"{family} out"), "First": _port(f"{family} in")}
    assert stands(ports) == set()
    assert stands({**ports, "Second": _port(f"{family} in")}) == {("warning", "digital-split")}


@pytest.mark.parametrize(
    ("loads", "split"),
    [
        ([75], False),
        ([60], False),
        ([59.9], True),
        ([90], False),
        ([90.1], True),
        ([75, 10_000], False),
        ([75, 10_000, 10_000], False),
        ([75, 75], True),
        ([150, 150], False),
        ([10_000], True),
        ([10_000, 10_000], True),
    ],
)
def test_clock_line_at_a_reflection_of_a_fifth_off(loads: list[float], split: bool) -> None:
    ports = {
        "Clock": _port("clock out"),
        **{f"In {chr(97 + i)}": _port("clock in", ohms=o) for i, o in enumerate(loads)},
    }
    assert stands(ports) == ({("warning", "digital-split")} if split else set())


TIES = """ties:
  - {{name: Tie 1, from: A4, to: W1, metres: {metres}, is: {kind}}}
"""
WALL = "  - {bay: Wall, place: Hall, columns: 1, rows: {W: {}}}\n"
QUARTER_M = 2e8 / (4 * 128 * 48_000)


@bound("digital-branch", "digital-tie")
@pytest.mark.parametrize(
    ("metres", "severity"),
    [
        (0.4 * QUARTER_M - 0.001, None),
        (0.4 * QUARTER_M + 0.001, "note"),
        (QUARTER_M - 0.001, "note"),
        (QUARTER_M + 0.001, "warning"),
    ],
)
@pytest.mark.parametrize("kind", ["aes3", "mic line", "coax"])
def test_digital_branch_at_a_tenth_and_a_quarter_of_a_wave(metres: float, severity: str | None, kind: str) -> None:
    ports = {"Sender": _port("aes3 out"), "First": _port("aes3 in")}
    text = room_text(ports, [], WALL + TIES.format(metres=f"{metres:.4f}", kind=kind))
    text = text.replace("bay: Bay\n", "bay: Bay\n    place: Control room\n")
    session = Session(parse_room(text))
    session.enter("A1 > A2")
    assert session.patch.standing_warnings() == []
    session.enter("pull all")
    session.enter("A1 > A2 and A4")
    found = {(w.severity, w.rule) for w in session.patch.standing_warnings()}
    tie = {("note", "digital-tie")} if kind in ("mic line", "coax") else set()
    assert found == tie | ({(severity, "digital-branch")} if severity else set())


@bound("long-digital")
def test_long_digital_at_100_m() -> None:
    first = {"First": _port("aes3 in")}
    assert stands({"Sender": _port("aes3 out", cable=100), **first}) == set()
    assert stands({"Sender": _port("aes3 out", cable=100.1), **first}) == {("note", "long-digital")}
    assert stands({"Sender": _port("coax out", cable=100.1), "First": _port("coax in")}) == set()


def test_digital_split_counts_receivers_of_its_kind_alone() -> None:
    ports = {"Sender": _port("aes3 out"), "First": _port("aes3 in"), "Other": _port("coax in")}
    assert stands(ports) == {("warning", "type-mismatch")}
    assert stands({"Keys": line_out(), "First": line_in(), "Second": line_in()}) == set()


@bound("joined-outputs")
def test_tied_outputs_at_two_outputs() -> None:
    assert stands({"Keys": line_out(), "Desk": line_in()}) == set()
    assert stands({"Keys": line_out(), "Organ": line_out(), "Desk": line_in()}) == {("danger", "joined-outputs")}
    assert stands({"Keys": line_out(), "Organ": line_out()}) == {("danger", "joined-outputs")}
    assert stands({"Desk": line_in(), "Tape": line_in()}) == set()


@pytest.mark.parametrize(
    ("first", "second", "severity"),
    [
        ("mic line", "mic line", "warning"),
        ("aes3 out", "aes3 out", "warning"),
        ("mic line", "line out", "danger"),
        ("speaker out", "speaker out", "danger"),
        ("aes3 out", "line out", "danger"),
    ],
)
def test_joined_outputs_are_a_danger_where_something_can_be_hurt(first: str, second: str, severity: str) -> None:
    assert (severity, "joined-outputs") in stands({"One": _port(first), "Two": _port(second)})


KIND_PAIRS = [
    ("aes3 out", "line in", True),
    ("line out", "aes3 in", True),
    ("mic line", "coax in", True),
    ("aes3 out", "mic in", True),
    ("aes3 out", "coax in", True),
    ("coax out", "aes3 in", True),
    ("aes3 out", "aes3 in", False),
    ("coax out", "coax in", False),
    ("clock out", "clock in", False),
    ("clock out", "coax in", True),
    ("clock out", "aes3 in", True),
    ("clock out", "line in", True),
    ("coax out", "clock in", True),
    ("line out", "clock in", True),
    ("speaker out", "speaker in", False),
    ("speaker out", "line in", True),
    ("speaker out", "mic in", True),
    ("speaker out", "instrument in", True),
    ("speaker out", "aes3 in", True),
    ("line out", "speaker in", True),
    ("mic line", "speaker in", True),
    ("line out", "instrument in", False),
    ("instrument out", "line in", False),
    ("mic line", "instrument in", False),
]


@bound("type-mismatch")
@pytest.mark.parametrize(("source", "load", "clash"), KIND_PAIRS)
def test_kind_clash_at_the_first_of_another_kind(source: str, load: str, clash: bool) -> None:
    found = stands({"Source": _port(source), "Load": _port(load)})
    # only a power amplifier's volts are more than the other stands
    severity = "danger" if source == "speaker out" else "warning"
    assert {s for s, rule in found if rule == "type-mismatch"} == ({severity} if clash else set())


def test_kind_clash_needs_no_source() -> None:
    assert stands({"Desk": line_in(), "Recorder": _port("aes3 in")}) == {("warning", "type-mismatch")}


@bound("amplifier-load")
@pytest.mark.parametrize(
    ("stated", "loads", "severity"),
    [
        (4, [8, 8], None),
        (4, [8, 7.9], "danger"),
        (2, [8, 8, 8, 8], None),
        (2, [8, 8, 8, 7.9], "danger"),
        (None, [8, 8], None),
        (None, [8, 7.9], "warning"),
        (None, [8, 8, 8, 8], "warning"),
    ],
)
def test_amplifier_load_at_its_least(stated: float | None, loads: list[float], severity: str | None) -> None:
    amplifier = _port("speaker out", ohms=0.01, **({} if stated is None else {"least ohms": stated}))
    horns = {f"Horn {chr(97 + i)}": _port("speaker in", ohms=ohms) for i, ohms in enumerate(loads)}
    assert stands({"Power": amplifier, **horns}) == ({(severity, "amplifier-load")} if severity else set())


@bound("bridged-output")
def test_bridged_output_at_a_common_sleeve_or_another_output() -> None:
    bridged, horn = _port("speaker out", bridged="yes"), _port("speaker in")
    assert stands({"Power": bridged, "Horn": horn}) == set()
    assert stands({"Power": bridged, "Horn": f"{horn}, balanced: no"}) == {("danger", "bridged-output")}
    assert stands({"Power": _port("speaker out"), "Horn": f"{horn}, balanced: no"}) == set()
    assert ("danger", "bridged-output") in stands({"Power": bridged, "Other": _port("speaker out")})


@bound("input-to-input")
def test_input_to_input_where_a_normal_is_held_open() -> None:
    text = PAIR.format(top="line out", bottom="line in", normal="full").replace(
        "  Bottom: line in", "  Bottom: line in\n  Box: line in"
    )
    text = text.replace("columns: 1", "columns: 2").replace("B: {1: Bottom}", "B: {1: Bottom, 2: Box}")
    for normal, rules in (("full", ["input-to-input"]), ("half", ["input-to-input"]), ("none", []), ("half top", [])):
        session = Session(parse_room(text.replace("normals: {1: full}", f"normals: {{1: {normal}}}")))
        session.enter("B1 > B2")
        assert [w.rule for w in session.patch.standing_warnings()] == rules


@bound("low-headroom")
@pytest.mark.parametrize(("most", "little"), [("+16 dBu", False), ("+15.9 dBu", True), ("+24 dBu", False)])
def test_low_headroom_at_12_db(most: str, little: bool) -> None:
    found = stands({"Mix": line_out(level="+4 dBu"), "Deck": line_in(level="+4 dBu", max=most)})
    assert found == ({("note", "low-headroom")} if little else set())


@bound("at-the-ears")
def test_at_the_ears_by_what_stands_there_at_rest() -> None:
    ears = line_in(ears="yes")
    ports = {"Section": line_out(), "Amplifier": ears, "Phones": ears, "Generator": line_out()}
    assert stands(ports, apart=["Phones", "Generator"]) == set()
    assert stands(ports, "A1 > A3", apart=["Phones", "Generator"]) == set()
    assert stands(ports, "A4 > A3", apart=["Phones", "Generator"]) == {("warning", "at-the-ears")}
    ports["Generator"] += ", ears: yes"
    assert stands(ports, "A4 > A3", apart=["Phones", "Generator"]) == set()


@bound("level-mismatch")
@pytest.mark.parametrize(
    ("source", "load", "wide"),
    [
        ("+4 dBu", "-2 dBu", True),
        ("+4 dBu", "-1.99 dBu", False),
        ("-2 dBu", "+4 dBu", True),
        ("-1.99 dBu", "+4 dBu", False),
        ("-4 dBV", "-10 dBV", True),
        ("-4.01 dBV", "-10 dBV", False),
        ("-10 dBV", "-4 dBV", True),
        # -10 dBV is -7.7815 dBu
        ("-1.78 dBu", "-10 dBV", True),
        ("-1.79 dBu", "-10 dBV", False),
        ("+4 dBu", "+4 dBu", False),
    ],
)
def test_level_step_at_6_db(source: str, load: str, wide: bool) -> None:
    found = stands({"Mix": line_out(level=source), "Deck": line_in(level=load)})
    assert found == ({("warning", "level-mismatch")} if wide else set())


@pytest.mark.parametrize(
    ("source", "load", "wrong"),
    [
        ("line out", "mic in", True),
        ("mic line", "line in", True),
        ("mic line", "mic in", False),
        ("line out", "line in", False),
        ("instrument out", "line in", False),
    ],
)
def test_level_step_of_kinds(source: str, load: str, wrong: bool) -> None:
    found = stands({"Source": _port(source, ohms=100), "Load": _port(load)})
    assert found == ({("warning", "level-mismatch")} if wrong else set())


def test_level_step_of_kinds_says_no_step_where_the_stated_levels_agree() -> None:
    ports = {"Source": line_out(level="+4 dBu"), "Pre": _port("mic in", level="+4 dBu")}
    (warning,) = Session(parse_room(room_text(ports, ports))).patch.standing_warnings()
    assert warning.figures == {"step_db": 0}
    assert warning.text == "Source is far too hot for the microphone input Pre."
    assert warning.fix == "Go through a pad or a level matcher where it is too hot."


@bound("heavy-load")
@pytest.mark.parametrize(
    ("source", "load_ohms", "severity"),
    [
        (line_out(100), [1000], None),
        (line_out(100), [999.9], "note"),
        (line_out(100), [999], "note"),
        (line_out(100), [500], "note"),
        (line_out(100), [499.9], "warning"),
        # all loads in parallel: two of 2000 are 1000, two of 1998 are 999, two of 999.8 are 499.9
        (line_out(100), [2000, 2000], None),
        (line_out(100), [1998, 1998], "note"),
        (line_out(100), [999.8, 999.8], "warning"),
        # ten of 10 k are 1000 as well, and five of 2.5 k are 500
        (line_out(100), [10_000] * 10, None),
        (line_out(100), [2500] * 5, "note"),
        # exactly five times, whatever the last digit of the sum says
        (line_out(70), [350 * 3] * 3, "note"),
        (line_out(60), [300 * 7] * 7, "note"),
        (line_out(60), [6000] * 10, None),
        (line_out(75), [2250] * 3, None),
        (_port("instrument out"), [100_000], None),
        (_port("instrument out"), [99_900], "note"),
    ],
)
def test_heavy_load_of_an_output_at_ten_and_five(source: str, load_ohms: list[float], severity: str | None) -> None:
    loads = {f"Load {chr(97 + i)}": line_in(ohms) for i, ohms in enumerate(load_ohms)}
    assert stands({"Source": source, **loads}) == ({(severity, "heavy-load")} if severity else set())


@pytest.mark.parametrize(
    ("mic_ohms", "load_ohms", "heavy"),
    [
        (200, 1000, False),
        (200, 999.8, True),
        (150, 750, False),
        (150, 749.9, True),
        (300, 1500, False),
        (301, 1500, True),
    ],
)
def test_heavy_load_of_a_microphone_at_five(mic_ohms: float, load_ohms: float, heavy: bool) -> None:
    rest = f"mics: {{odd one: {{ohms: {mic_ohms}}}}}\n"
    found = stands({"Live": MIC, "Pre": _port("mic in", ohms=load_ohms)}, "put odd one on live", rest=rest)
    assert found == ({("warning", "heavy-load")} if heavy else set())


def test_heavy_load_is_silent_where_another_rule_says_more() -> None:
    low = _port("mic in", ohms=600)
    assert stands({"Live": MIC, "Pre": low}) == {("warning", "heavy-load")}
    assert stands({"Live": MIC, "Pre": low, "Pre two": low}) == {("warning", "double-load")}
    assert stands({"Keys": line_out(), "Desk": line_in(300)}) == {("warning", "heavy-load")}
    assert stands({"Keys": line_out(), "Organ": line_out(), "Desk": line_in(300)}) == {("danger", "joined-outputs")}


# 1 dB at 20 kHz: the corner is 20 kHz / sqrt(10^0.1 - 1), and on 600 ohm at 100 pF/m that is so many metres of cable
DULL_M = math.sqrt(10**0.1 - 1) / (2 * math.pi * 20_000 * 600 * 100e-12)


@bound("dull-line")
def test_dull_line_at_1_db() -> None:
    assert round(DULL_M, 2) == 67.49
    assert stands({"Stage": line_out(600, cable=f"{DULL_M * 0.9999:.6f}")}) == set()
    assert stands({"Stage": line_out(600, cable=f"{DULL_M * 1.0001:.6f}")}) == {("note", "dull-line")}


def test_dull_line_adds_up_all_cable() -> None:
    half = f"{DULL_M / 2:.6f}"
    ports = {"Stage": line_out(600, cable=half), "Box": line_in(1e9, cable=half)}
    assert stands(ports, apart=ports) == set()
    # 5 mm of cord each way of the bound, with the cable of both ends
    short = {"Stage": line_out(600, cable=half), "Box": line_in(1e9, cable=f"{DULL_M / 2 - 0.505:.6f}")}
    assert stands(short, "A1 > A2 with 50 cm", apart=short) == set()
    assert stands(short, "A1 > A2 with 51 cm", apart=short) == {("note", "dull-line")}


LOOP = """bayhand: 1
room: Fernhill
gear:
  Squash: {through: %s, in: line in, out: line out}
  Echo: {in: line in, out: line out}
bays:
  - bay: Bay
    columns: 2
    rows: {A: {1: Squash out, 2: Echo out}, B: {1: Squash in, 2: Echo in}}
"""


@bound("feedback-loop")
def test_feedback_loop_with_the_cord_that_closes_it() -> None:
    session = Session(parse_room(LOOP % "yes"))
    first, second = session.enter("squash > echo"), session.enter("echo > squash")
    assert [w.rule for w in first.change.raised] == []
    assert [(w.severity, w.rule) for w in second.change.raised] == [("danger", "feedback-loop")]


def test_no_feedback_loop_through_gear_that_carries_nothing() -> None:
    session = Session(parse_room(LOOP % "no"))
    for line in ("squash > echo", "echo > squash"):
        assert session.enter(line).change.raised == ()
    assert session.patch.standing_warnings() == []


@bound("loose-end")
def test_loose_end_at_one_plug() -> None:
    ports = {"Keys": line_out(), "Desk": line_in()}
    assert stands(ports, apart=ports) == set()
    assert stands(ports, "plug A1", apart=ports) == {("note", "loose-end")}
    assert stands(ports, "plug A1", "#1 > A2", apart=ports) == set()


@bound("short-of-cords")
def test_short_of_cords_at_one_more_than_the_room_owns() -> None:
    ports = {"Keys": line_out(), "Organ": line_out(), "Desk": line_in(), "Tape": line_in()}
    cords = "cords: {30: 1, 60: 1}\n"
    two = ["A1 > A3", "A2 > A4"]
    assert stands(ports, *two, apart=ports, rest=cords) == set()
    assert stands(ports, *two, "A5 > A6", apart=ports, rest=cords) == {("note", "short-of-cords")}
    # the house patch counts, and `check` finds it
    for more, short in (("", []), (", A5 > A6", [("note", "short-of-cords")])):
        room = parse_room(room_text(ports, [], f"{cords}house patch: [A1 > A3, A2 > A4{more}]\n"))
        assert [(finding.severity, finding.rule) for finding in check_room(room)] == short
    # a room that does not say what it owns is never short
    assert stands(ports, *two, "A5 > A6", apart=ports) == set()


def cautioned(session: Session, typed: str) -> Said:
    """The cautions of an entry that is only asked for."""
    outcome = session.enter(f"{typed} ?")
    assert outcome.ok, outcome.error
    return {(w.severity, w.rule) for w in outcome.change.cautions}


@bound("hot-microphone", "phantom-on", "phantom-off")
def test_cautions_of_microphones_and_switches() -> None:
    ports = {"Live": MIC, "Pre": P48}
    session = Session(parse_room(room_text(ports, ports, MICS)))
    assert cautioned(session, "put dynamic on live") == set()
    assert cautioned(session, "phantom pre on") == {("warning", "phantom-on")}
    session.enter("phantom pre on")
    assert cautioned(session, "put dynamic on live") == {("danger", "hot-microphone")}
    session.enter("put dynamic on live")
    assert cautioned(session, "clear live") == {("danger", "hot-microphone")}
    (off,) = session.enter("phantom pre off").change.cautions
    assert off.rule == "phantom-off"
    # bleed-down is said where phantom goes off, not where it goes on
    assert "half a minute" in off.fix
    (on,) = session.enter("phantom pre on").change.cautions
    assert on.fix == "Monitors and headphones down."


@bound("loudspeaker-line", "digital-feed", "heard-plug")
@pytest.mark.parametrize(
    ("source", "load", "found"),
    [
        ("speaker out", "speaker in", {("danger", "loudspeaker-line")}),
        ("aes3 out", "aes3 in", {("warning", "digital-feed")}),
        ("coax out", "coax in", {("warning", "digital-feed")}),
        ("clock out", "clock in", {("warning", "digital-feed")}),
        ("line out", "line in, ears: yes", {("warning", "heard-plug")}),
        ("line out", "line in", set()),
        ("instrument out", "instrument in", set()),
        ("mic line", "mic in", set()),
    ],
)
def test_cautions_of_a_plug_by_what_its_line_is(source: str, load: str, found: Said) -> None:
    ports = {"Source": _port(source), "Load": f"is: {load}"}
    session = Session(parse_room(room_text(ports, [])))
    assert cautioned(session, "A1 > A2") == found
    session.enter("A1 > A2")
    for typed in ("pull all", "unplug A1", "unplug A2", "move A1 > A3"):
        assert cautioned(session, typed) == found, typed
    # a digital jack alone feeds nothing, and what is not patched is not heard
    alone = {rule for _, rule in found} & {"loudspeaker-line"}
    session.enter("pull all")
    assert {rule for _, rule in cautioned(session, "plug A2")} == alone


@bound("hot-plug")
def test_live_plug_with_the_supply_that_is_on() -> None:
    ports = {"Live": MIC, "Pre": P48, "Keys": line_out(), "Desk": line_in()}
    session = Session(parse_room(room_text(ports, ["Live", "Pre"])))
    # the plug goes into the fifth jack, which is wired to nothing
    assert [w.rule for w in session.enter("plug A1 ?").change.cautions] == []
    session.enter("phantom pre on")
    assert [(w.severity, w.rule) for w in session.enter("plug A1 ?").change.cautions] == [("danger", "hot-plug")]
    assert [w.rule for w in session.enter("plug A2 ?").change.cautions] == ["hot-plug"]
    assert session.enter("A3 > A4 ?").change.cautions == ()
    assert session.enter("plug A5 ?").change.cautions == ()


@pytest.mark.parametrize(
    ("rule", "ports"),
    [
        ("level-mismatch", {"Mix": line_out(level="+4 dBu"), "Deck": line_in(level="-2 dBu")}),
        ("level-mismatch", {"Mix": line_out(level="+4 dBu"), "Deck": line_in(level="-1.99 dBu")}),
        ("level-mismatch", {"Mix": line_out(level="-10 dBV"), "Deck": line_in(level="-4 dBV")}),
        ("heavy-load", {"Keys": line_out(100), "Desk": line_in(1000)}),
        ("heavy-load", {"Keys": line_out(100), "Desk": line_in(999)}),
        ("heavy-load", {"Keys": line_out(100), **{f"Desk {chr(97 + i)}": line_in(10_000) for i in range(10)}}),
        ("heavy-load", {"Live": MIC, "Pre": _port("mic in", ohms=1000)}),
        ("heavy-load", {"Live": MIC, "Pre": _port("mic in", ohms=999)}),
        ("heavy-load", {"Live": MIC, "Pre one": _port("mic in", ohms=999), "Pre two": _port("mic in", ohms=999)}),
        ("dull-line", {"Stage": line_out(600, cable=f"{DULL_M * 0.9999:.6f}")}),
        ("dull-line", {"Stage": line_out(600, cable=f"{DULL_M * 1.0001:.6f}")}),
    ],
)
def test_figures_say_beyond_a_bound_where_its_rule_is_raised(rule: str, ports: dict[str, str]) -> None:
    told = Session(parse_room(room_text(ports, ports))).enter("figures A1").answer.extra["figures_of"]
    beyond = [bound["beyond"] for bound in told["bounds"] if bound["rule"] == rule]
    raised = {warning["rule"] for warning in told["warnings"]}
    assert beyond == ([] if rule == "heavy-load" and "double-load" in raised else [rule in raised])


# What `check` finds in the wiring: a pair that is on the bound, and the nearest one that is not

PAIR = """bayhand: 1
room: Fernhill
gear:
  Top: {top}
  Bottom: {bottom}
bays:
  - bay: Bay
    columns: 1
    rows: {{A: {{1: Top}}, B: {{1: Bottom}}}}
    normals: {{1: {normal}}}
"""


def found_in(top: str, bottom: str, normal: str) -> Said:
    """The findings of a room with one pair."""
    room = parse_room(PAIR.format(top=top, bottom=bottom, normal=normal))
    return {(finding.severity, finding.rule) for finding in check_room(room)}


@bound("half-normalled-mic")
def test_half_normalled_mic() -> None:
    assert found_in("mic line", "mic in", "full") == set()
    assert found_in("mic line", "mic in", "none") == set()
    assert found_in("mic line", "mic in", "half") == {("warning", "half-normalled-mic")}
    assert found_in("line out", "line in", "half") == set()


@bound("half-normalled-digital")
@pytest.mark.parametrize("family", ["aes3", "coax", "clock"])
def test_half_normalled_digital(family: str) -> None:
    source, load = f"{family} out", f"{family} in"
    assert found_in(source, load, "full") == set()
    assert found_in(source, load, "none") == set()
    assert found_in(source, load, "half") == {("warning", "half-normalled-digital")}
    assert found_in(source, load, "parallel") == {("warning", "half-normalled-digital")}


@bound("normal-between-outputs", "normal-between-inputs")
def test_normal_between_alike() -> None:
    outputs = {("danger", "normal-between-outputs"), ("danger", "joined-outputs")}
    assert found_in("line out", "line out", "full") == outputs
    assert found_in("line out", "line out", "none") == set()
    assert found_in("line in", "line in", "full") == {("note", "normal-between-inputs")}
    assert found_in("line in", "line in", "none") == set()


@bound("upside-down")
def test_upside_down() -> None:
    assert found_in("line in", "line out", "none") == {("note", "upside-down")}
    assert found_in("line in", "line out", "half") == {("note", "upside-down")}
    assert found_in("line out", "line in", "half") == set()


ONE_GEAR = """bayhand: 1
room: Fernhill
gear:
  Echo: {{in: line in, out: line out{more}}}
  Desk: line in
bays:
  - bay: Bay
    columns: 2
    rows:
      A: {{1: Echo out}}
      B: {{1: {below}, 2: {beside}}}
    normals: {{{normals}}}
"""


def found_of_one(below: str, beside: str, normals: str, more: str = "") -> Said:
    """The findings of a room with one piece of gear that has an input and an output."""
    room = parse_room(ONE_GEAR.format(below=below, beside=beside, normals=normals, more=more))
    return {(finding.severity, finding.rule) for finding in check_room(room)}


@bound("own-loop")
def test_own_loop() -> None:
    loop = {("warning", "own-loop"), ("danger", "feedback-loop")}
    assert found_of_one("Echo in", "Desk", "1: half") == loop
    assert found_of_one("Echo in", "Desk", "1: none") == set()
    assert found_of_one("Desk", "Echo in", "1: half") == set()


@bound("wired-twice", "never-wired")
def test_wired_twice_and_never() -> None:
    assert found_of_one("Desk", "Echo in", "1: none") == set()
    assert found_of_one("Desk", "Desk", "1: none") == {("note", "wired-twice"), ("note", "never-wired")}


@bound("pointless-normal")
def test_pointless_normal() -> None:
    assert found_of_one("Desk", "Echo in", "1: half") == set()
    assert found_of_one("Desk", "Echo in", "1: half, 2: half") == {("note", "pointless-normal")}


@bound("half-normalled-amplifier", "amplifier-on-bay")
def test_amplifiers() -> None:
    assert found_in("speaker out", "speaker in", "half") == {("warning", "half-normalled-amplifier")}
    assert found_in("speaker out", "speaker in", "full") == {("note", "amplifier-on-bay")}
    assert found_in("speaker out", "speaker in", "none") == {("note", "amplifier-on-bay")}


@bound("departs-from-advice")
def test_departs_from_advice() -> None:
    assert found_in("instrument out", "instrument in", "full") == set()
    assert found_in("instrument out", "instrument in", "half") == {("note", "departs-from-advice")}
    assert found_in("line out", "line in", "half top") == {("note", "departs-from-advice")}
    low, just_over = ("{is: line in, ohms: 600}", "{is: line in, ohms: 601}")
    assert found_in("{is: line out, ohms: 50}", low, "half") == {("note", "departs-from-advice")}
    assert found_in("{is: line out, ohms: 50}", just_over, "half") == set()


@bound("feed-unknown")
@pytest.mark.parametrize(
    ("volts", "known"), [(44, True), (43.9, False), (52, True), (13, True), (13.1, False), (30, False)]
)
def test_supply_of_no_class(volts: float, known: bool) -> None:
    """IEC 61938 (from memory): 48 and 24 V within 4, 12 V within 1."""
    found = found_in("mic line", f"{{is: mic in, phantom: {volts}}}", "full")
    assert found == (set() if known else {("warning", "feed-unknown")})
    assert found_in("mic line", f"{{is: mic in, phantom: {volts}, feed: 6800}}", "full") == set()


TWO_ROWS = """bayhand: 1
room: Fernhill
gear:
  Keys {{1-4}}: line out
  Desk {{1-4}}: line in
bays:
  - bay: Bay
    place: Workshop
    columns: 5
    rows: {{A: {{{top}}}, B: {{1-4: "Desk {{1-4}}"}}}}
    normals: {{{normals}}}
  - bay: Other
    place: {place}
    columns: 4
    rows: {{C: {{}}, D: {{}}}}
{more}
"""


def found_in_rows(
    normals: str = "1-4: half", top: str = '1-4: "Keys {1-4}"', place: str = "Attic", more: str = ""
) -> Said:
    """The findings of a room with a run of four pairs, and a second bay."""
    room = parse_room(TWO_ROWS.format(normals=normals, top=top, place=place, more=more))
    return {(finding.severity, finding.rule) for finding in check_room(room)}


@bound("out-of-step", "nothing-feeds", "goes-nowhere")
def test_out_of_step() -> None:
    odd = {("warning", "out-of-step")}
    assert found_in_rows() == set()
    assert found_in_rows("1-3: half") == odd
    assert found_in_rows("1-3: half, 4: full") == odd
    assert found_in_rows("1: none") == set()
    assert found_in_rows(top="1: Keys 2, 2: Keys 1, 3: Keys 3, 4: Keys 4") == odd
    short = found_in_rows(top='1-3: "Keys {1-3}"')
    assert short == {("note", "nothing-feeds"), ("note", "never-wired")}
    shifted = found_in_rows(top='2-5: "Keys {1-4}"', normals="2-5: half")
    assert shifted == odd | {("note", "goes-nowhere")}


@bound("occupied-twice", "tie-in-one-place")
def test_ties_and_mults_at_jacks() -> None:
    tie = "ties: [{{name: Line 1, from: {0}, to: {1}}}]"
    assert found_in_rows("1: none", more=tie.format("C1", "B5")) == set()
    assert found_in_rows("1: none", more=tie.format("C1", "B1")) == {("warning", "occupied-twice")}
    assert found_in_rows("1: none", more=tie.format("C1", "D2")) == {("note", "tie-in-one-place")}
    mult = "mults: [{{name: Mult 1, jacks: '{0}'}}]"
    assert found_in_rows("1: none", more=mult.format("A4-5")) == set()  # its feed
    assert found_in_rows("1: none", more=mult.format("A5, A4")) == {("warning", "occupied-twice")}
    assert found_in_rows("1: none", more=mult.format("B4-5")) == {("warning", "occupied-twice")}


@bound("place-like-another")
@pytest.mark.parametrize(
    ("place", "like"),
    [
        ("Workshop", False),
        ("workshop", True),
        ("Workshp", True),
        ("Wrokshop", True),
        ("Workshop 2", False),
        ("Stage", False),
    ],
)
def test_places(place: str, like: bool) -> None:
    assert found_in_rows(place=place) == ({("warning", "place-like-another")} if like else set())


@bound("length-not-owned")
def test_lengths_of_the_house_patch() -> None:
    stock = "cords: {{30: 2, 90: {0}}}\nhouse patch: [A1 > B1 with {1}]"
    assert found_in_rows(more=stock.format(1, 30)) == set()
    assert found_in_rows(more=stock.format(1, 90)) == set()
    assert found_in_rows(more=stock.format(0, 90)) == {("warning", "length-not-owned")}


@bound("open-at-rest")
def test_open_at_rest() -> None:
    insert = ", line: line in, through: {line: [out], in: [direct]}, direct: line out"
    wired = "1: none"
    found = found_of_one("Echo in", "Desk", wired, insert)
    assert ("note", "open-at-rest") in found
    assert ("note", "open-at-rest") not in found_of_one("Echo in", "Desk", "1: half", insert)
    assert ("note", "open-at-rest") not in found_of_one("Desk", "Echo in", wired, insert)


@bound("sleeve-open")
def test_sleeves() -> None:
    room = parse_room(PAIR.format(top="mic line", bottom="mic in", normal="full"))
    for sleeve, open_ in (("isolated", True), ("carried", False), ("bussed", False), (None, False)):
        bays = tuple(bay._replace(sleeve=sleeve) for bay in room.bays)
        assert [finding.rule for finding in check_room(replace(room, bays=bays))] == (["sleeve-open"] if open_ else [])


@bound("split-at-rest")
def test_split_at_rest_at_two_inputs() -> None:
    one = check_room(
        parse_room(room_text({"Keys": line_out(), "Desk": line_in(), "Tape": line_in()}, ["Keys", "Desk"]))
    )
    two = check_room(
        parse_room(room_text({"Keys": line_out(), "Desk": line_in(), "Tape": line_in()}, ["Keys", "Desk", "Tape"]))
    )
    assert one == []
    assert [(f.severity, f.rule) for f in two] == [("note", "split-at-rest")]


def test_every_rule_has_a_test_of_its_bound() -> None:
    """A rule that is added without one is found here."""
    of_cords_and_nets = {rule.name for rule in ALL_RULES}
    of_wiring = {rule for check in WIRING_CHECKS for rule, _ in check.rules}
    assert of_cords_and_nets | of_wiring | {"split-at-rest"} == TESTED
