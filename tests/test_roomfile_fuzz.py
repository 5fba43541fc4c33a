"""Any text at all gives a room or a list of errors that is fit to be shown: never another exception, never a wait."""

import json
import time
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

from model.room.file import RoomFileErrors, UnreadableFile, parse_room, read_room
from model.room.file import bays as roomfile_bays
from model.room.file import gear as roomfile_gear
from model.room.file import house_patch as roomfile_patch
from model.room.file import joins as roomfile_joins
from model.room.file import reading as roomfile_reading
from model.room.file.reader import TOP_KEYS
from model.room.kinds import KINDS
from model.room.wiring import Room
from model.text.clean import shown
from tests.roomfile_refusals import ROOM

LONGEST_S = 2.0  # for texts of a few kilobytes; the machine may be busy
EXAMPLES = settings(max_examples=200, deadline=None, suppress_health_check=[HealthCheck.too_slow])
LINES = ROOM.splitlines()


def judge(text: str) -> Room | None:
    """The room, or None where there are errors, each with a place in the text and words that may be shown."""
    start = time.perf_counter()
    try:
        room = parse_room(text)
    except RoomFileErrors as refused:
        assert refused.errors
        lines = len(text.splitlines())
        for error in refused.errors:
            assert 1 <= error.line <= lines + 1
            assert error.column >= 1
            assert shown(error.text) == error.text
        assert len(str(refused).splitlines()) == len(refused.errors)
        room = None
    assert time.perf_counter() - start < LONGEST_S
    return room


def check_whole(room: Room) -> None:
    """What everything else relies on: numbers that fit one another, and a name for each thing."""
    assert [port.index for port in room.ports] == list(range(len(room.ports)))
    assert [jack.index for jack in room.jacks] == list(range(len(room.jacks)))
    assert [gear.index for gear in room.gear] == list(range(len(room.gear)))
    assert sum(row.points for row in room.rows) == len(room.jacks)
    assert len({port.name.lower() for port in room.ports}) == len(room.ports)
    assert len({jack.address.lower() for jack in room.jacks}) == len(room.jacks)
    for gear in room.gear:
        assert all(room.ports[port].gear == gear.index for port in gear.ports)
    for jack in room.jacks:
        assert -1 <= jack.port < len(room.ports)
        assert room.jack_at(room.rows[jack.row].name, jack.point) == jack
    for normal in room.normals:
        assert normal.top != normal.bottom
    assert len(room.wires) == 2 * len(room.jacks)


@EXAMPLES
@given(st.text(st.characters(codec=None, exclude_categories=()), max_size=300))
@example("\ud800")
@example("\x00")
@example("bayhand: 1\n\x85\u2028room: x")
@example("? - a\n: b")
@example("bayhand: 1\nroom: \U0001f468\u200d\U0001f469\nbays: {")
@example("{" * 2000)
@example("- " * 2000)
@example("&a " * 500 + "x")
@example("a: " + "9" * 10_000)
@example("bayhand: 1\nroom: x\nbays: [{bay: a, columns: " + "9" * 10_000 + ", rows: {A: {" + "9" * 10_000 + ": x}}}]")
def test_any_text(text: str) -> None:
    judge(text)


SIGNS = "{}[]:,-#&*!|>'\"%@`?~ \t\n<0123456789aAL.\x1b\u202e\ud800é"


@EXAMPLES
@given(st.data())
def test_a_room_file_with_characters_changed(data: st.DataObject) -> None:
    text = ROOM
    for _ in range(data.draw(st.integers(1, 4))):
        at = data.draw(st.integers(0, len(text)))
        gone = data.draw(st.integers(0, 6))
        text = text[:at] + data.draw(st.text(SIGNS, max_size=4)) + text[at + gone :]
    room = judge(text)
    if room is not None:
        check_whole(room)


@EXAMPLES
@given(st.data())
def test_a_room_file_with_lines_and_words_moved(data: st.DataObject) -> None:
    lines = list(LINES)
    for _ in range(data.draw(st.integers(1, 3))):
        at, other = (data.draw(st.integers(0, len(lines) - 1)) for _ in range(2))
        what = data.draw(st.sampled_from(["drop", "double", "swap", "value", "cut"]))
        if what == "drop" and len(lines) > 1:
            del lines[at]
        elif what == "double":
            lines.insert(other, lines[at])
        elif what == "swap":
            lines[at], lines[other] = lines[other], lines[at]
        elif what == "value":
            lines[at] = lines[at].partition(":")[0] + ":" + lines[other].partition(":")[2]
        else:
            lines = lines[: at + 1]
    room = judge("\n".join(lines))
    if room is not None:
        check_whole(room)


# Trees of any shape made of the words that a room file knows: each reader meets each kind of node.
KEYS = sorted(
    TOP_KEYS
    | roomfile_gear.PORT_KEYS
    | roomfile_gear.MIC_KEYS
    | roomfile_bays.BAY_KEYS
    | roomfile_joins.CROSS_KEYS
    | roomfile_joins.TIE_KEYS
    | roomfile_joins.MULT_KEYS
    | roomfile_patch.MARK_KEYS
    | {"through", "in", "out", "Pre {1-2}", "A", "MR-B", "1", "1-2", "2, 4", "A1", "", "<<"}
)
WORDS = [*sorted(KINDS), "1", "2", "48", "-1", "0", "1e999", "nan", "yes", "no", "full", "half", "none", "", "x" * 300]
WORDS += ["Pre {1-2} in", "Pre 1", "A1", "A1-2", "A2-1", "B1", "MR-B1-2", "A1 > A2", "Pre 1 in > A1 with 30", "+4 dBu"]
WORDS += [
    "{1-999999}",
    "1-999999",
    "1-999999, 1-999999",
    "\x1b[31m",
    "a\ud800",
    "> >",
    "with 3",
    " with 3 cm",
    "{",
    "}",
]
NODES: st.SearchStrategy[Any] = st.recursive(
    st.sampled_from(WORDS),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.sampled_from(KEYS), inner, max_size=4),
    max_leaves=12,
)


@EXAMPLES
@given(st.dictionaries(st.sampled_from(sorted(TOP_KEYS)), NODES), st.booleans())
def test_trees_of_any_shape(tree: dict[str, Any], framed: bool) -> None:
    if framed:
        bays = [{"bay": "One", "points": "4", "rows": {"A": {"1-2": "Pre {1-2} in"}, "MR-B": {}}}]
        gear = {"Pre {1-2}": {"in": "mic in", "out": "line out"}}
        tree = {"gear": gear, "bays": bays} | tree | {"bayhand": "1", "room": "x"}
    # JSON is YAML; escapes keep each word as it is, lone surrogates apart, which libyaml refuses.
    room = judge(json.dumps(tree))
    if room is not None:
        check_whole(room)


@settings(max_examples=60, deadline=None)
@given(st.binary(max_size=200) | st.binary(max_size=200).map(lambda some: ROOM.encode() + some))
def test_any_bytes(tmp_path_factory: Any, some: bytes) -> None:
    path: Path = tmp_path_factory.getbasetemp() / "fuzzed.yaml"
    path.write_bytes(some)
    try:
        read_room(path)
    except (RoomFileErrors, UnreadableFile) as refused:
        assert str(refused)


def test_long_lines_and_many_lines_take_no_longer_than_their_length_warrants() -> None:
    for text in (
        ROOM + "#" * 1_000_000,
        ROOM.replace("Mix L > tape 1 in", "Mix L > " * 20_000),
        ROOM.replace("jacks: D5-7", "jacks: '" + "D5," * 20_000 + "'"),
        ROOM.replace("1-12: Live {1-12}", "'" + "1," * 50_000 + "': Live {1-12}"),
        ROOM.replace("Wedge:", "W" * 100_000 + ":"),
    ):
        start = time.perf_counter()
        try:
            parse_room(text)
        except RoomFileErrors as refused:
            assert all(len(error.text) < 2_000 for error in refused.errors)
        assert time.perf_counter() - start < 2 * LONGEST_S


def test_ranges_that_make_too_much_together_are_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(roomfile_reading, "MAX_NAMES", 4_500)
    gear = "bayhand: 1\nroom: x\ngear:\n  G {1-1000}: line out\nbays:\n  - bay: a\n    columns: 1000\n    rows:\n      A:\n"
    fits = gear + "        1-1000: G {1-1000}\n"
    assert len(parse_room(fits).jacks) == 1000
    with pytest.raises(RoomFileErrors) as caught:
        parse_room(fits + "      B:\n        1-1000: G {1-1000}\n")
    (error,) = caught.value.errors
    assert "together stand for more than 4,500 names" in error.text
