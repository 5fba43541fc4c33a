"""Saved patches: written, read back, put back in the room that they came from and in one that was rewired since."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

from model.bay.actions import Action
from model.live.patch import Patch
from model.patches.patch_file import PatchFileErrors, parse_patch, read_patch, write_on_a_line, write_patch
from model.patches.placed import place, present
from model.patches.saved_patch import End, OnLine, SavedCord, SavedPatch, save
from model.room.file import parse_room, read_room
from model.room.file.errors import UnreadableFile
from model.room.labels import why_not_shown, why_not_typed
from tests.patches import ways_there

ATTIC = Path(__file__).parents[1] / "rooms" / "attic.yaml"
ROOM = read_room(ATTIC)
POOL = tuple(jack.address for jack in ROOM.jacks)

names = st.text(max_size=20).filter(lambda text: why_not_typed(text) is None)
labels = st.text(max_size=20).filter(lambda text: why_not_shown(text) is None)
addresses = st.builds("{}{}".format, st.sampled_from(("A", "MR-C", "é", "no")), st.integers(1, 9999))


@st.composite
def any_patch(draw: st.DrawFn) -> SavedPatch:
    """A patch of no room in particular: names of any letters, cords in any order of plugs."""
    jacks = draw(st.lists(addresses, unique_by=str.casefold, max_size=8))
    cords = []
    for number in sorted(draw(st.sets(st.integers(1, 99_999), max_size=4))):
        if not jacks:
            break
        count = draw(st.integers(1, min(3, len(jacks))))
        ends = tuple(End(draw(st.none() | names), jacks.pop()) for _ in range(count))
        plugs = draw(st.integers(max(2, count), 5))
        cords.append(SavedCord(number, ends, plugs, draw(st.none() | st.floats(0.1, 100_000))))
    lines = draw(st.lists(names, unique=True, max_size=3))
    return SavedPatch(
        draw(st.just("") | labels),
        tuple(cords),
        tuple(draw(st.lists(names, unique=True, max_size=3))),
        tuple(OnLine(line, draw(names)) for line in lines),
    )


@given(any_patch())
@example(SavedPatch("no", (SavedCord(1, (End("1e3", "A1"), End("on: [x]", "B2"), End("- a #b", "C3")), 3, 0.1),)))
@example(SavedPatch("'\\", phantom=("~", "!a", "&b", "*c", "%d", "@e", "`f", "|g", "null", "yes")))
@settings(deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_a_patch_reads_back_from_its_file(patch: SavedPatch) -> None:
    assert parse_patch(write_patch(patch)) == patch
    line = write_on_a_line(patch)
    assert "\n" not in line
    assert parse_patch(line) == patch


@given(ways_there(ROOM, POOL, 10))
@settings(max_examples=50, deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_a_state_saved_written_read_and_placed_is_the_same(actions: list[Action]) -> None:
    patch = Patch.of_room(ROOM)
    for action in actions:
        patch = patch.do(action).patch
    placing = place(parse_patch(write_patch(save(patch.state))), ROOM)
    assert placing.placed == present(patch.state)
    assert not placing.unplaced
    assert not placing.rewired


WRONG = """bayhand patch: 1
cords:
  - {cord: 0, ends: [], plugs: 1, length: -3}
  - {crd: 1, ends: [{port: Pre 1 out, jack: 5}, {jack: A5}]}
  - {cord: 3, ends: [{jack: a5}], length: 1e9}
  - {cord: 3, ends: [{jack: A6}], plugs: x}
phantom: [Pre 1 in, Pre 1 in]
input list:
  - {line: Booth 1}
  - {line: Booth 2, microphone: ribbon}
  - {line: Booth 2, microphone: condenser}
colour: red
"""


def test_all_errors_of_a_file_are_told_together_with_their_places() -> None:
    with pytest.raises(PatchFileErrors) as problem:
        parse_patch(WRONG, "tuesday.yaml")
    told = str(problem.value).splitlines()
    places = [line.removeprefix("tuesday.yaml:").rsplit(": ", line.count(": "))[0] for line in told]
    assert places == [
        "3:12", "3:21", "3:25", "3:43",
        "4:5", "4:6", "4:45",
        "5:29", "5:43",
        "6:6", "6:42",
        "7:21",
        "9:5",
        "11:6",
        "12:1",
    ]  # fmt: skip
    for line, words in (
        (1, "at least one plug in"),
        (5, "did you mean 'cord'?"),
        (7, "holds a plug of a cord of line 4 already"),
        (9, "is on line 5 already"),
        (11, "is in 'phantom' already"),
        (13, "is on 'Booth 2' already"),
    ):
        assert words in told[line], told[line]


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "the file says nothing"),
        ("- a", "a patch file is a table"),
        ("bayhand: 1\nroom: Attic\n", "looks like a room file"),
        ("bayhand patch: 2\n", "version '2' of the format is unknown: this program reads 1"),
        ("bayhand patch: 1\ncords: 3\n", "must be a list"),
        ("bayhand patch: 1\nroom: &a x\n", "anchors are refused"),
        ("bayhand patch: 1\nroom: [\n", "not YAML"),
        ('bayhand patch: 1\nroom: "\\e[2J"\n', "control character"),
        ('bayhand patch: 1\nphantom: ["a > b"]\n', "joins the two ends of a cord"),
    ],
)
def test_what_is_no_patch_file_is_refused_with_the_reason(text: str, words: str) -> None:
    with pytest.raises(PatchFileErrors, match=words.replace("[", r"\[")):
        parse_patch(text)


def test_a_file_that_is_not_there(tmp_path: Path) -> None:
    with pytest.raises(UnreadableFile, match="no such file"):
        read_patch(tmp_path / "tuesday.yaml")


# Rooms rewired

BEFORE = """
bayhand: 1
room: Shed
gear:
  Live {1-2}: mic line
  Pre {1-2}: {in: {is: mic in, phantom: 48}, out: line out}
  Tape {1-2}: line in
mics: {ribbon: {harmed: yes}, condenser: {phantom: 48}}
bays:
  - bay: One
    columns: 8
    rows:
      A: {1-2: "Live {1-2}", 3-4: "Pre {1-2} out"}
      B: {1-2: "Pre {1-2} in", 3-4: "Tape {1-2}"}
mults: [{name: Mult, jacks: A5-8}]
"""
SAVED = SavedPatch(
    "Shed",
    (
        SavedCord(1, (End("Pre 1 out", "A3"), End("Tape 2", "B4"))),
        SavedCord(2, (End("Live 1", "A1"), End(None, "A5"))),
        SavedCord(3, (End(None, "A6"), End("Pre 2 in", "B2"))),
    ),
    ("Pre 1 in",),
    (OnLine("Live 1", "ribbon"), OnLine("Live 2", "condenser")),
)


def placed_in(text: str) -> tuple[list[list[str]], list[str], list[str]]:
    """The jacks of each cord that was placed, the reasons why others were not, and what goes elsewhere."""
    room = parse_room(text)
    placing = place(SAVED, room)
    cords = [[room.jacks[jack].address for jack in cord.jacks] for cord in placing.placed.cords]
    return cords, [f"{lost.what}: {lost.why}" for lost in placing.unplaced], list(placing.rewired)


def test_nothing_rewired() -> None:
    assert placed_in(BEFORE) == ([["A3", "B4"], ["A1", "A5"], ["A6", "B2"]], [], [])


def test_ports_are_followed_to_their_new_jacks() -> None:
    after = BEFORE.replace('3-4: "Pre {1-2} out"', "3: Pre 2 out, 4: Pre 1 out")
    cords, lost, rewired = placed_in(after)
    assert (cords[0], lost) == (["A4", "B4"], [])
    assert rewired == ["cord 1: Pre 1 out was at A3 and is at A4"]


def test_a_jack_that_has_another_port_now_is_not_taken_for_the_old_one() -> None:
    after = (
        BEFORE.replace("A5-8", "A7-8")
        .replace('"Pre {1-2} out"', '"Pre {1-2} out", 5: Spare')
        .replace("Tape {1-2}: line in", "Tape {1-2}: line in\n  Spare: line out")
    )
    cords, lost, _ = placed_in(after)
    assert cords == [["A3", "B4"], ["A6", "B2"]]
    assert lost == ["cord 2, Live 1 (A1) > A5: nothing was wired behind A5 then, and Spare is now"]


def test_ports_jacks_and_microphones_that_are_gone() -> None:
    after = BEFORE.replace("Tape {1-2}", "Taper {1-2}").replace("columns: 8", "columns: 5").replace("A5-8", "A4-5")
    after = after.replace('"Pre {1-2} out"', "Pre 1 out, 4: Pre 2 out").replace("3-4: Pre", "3: Pre")
    after = after.replace("ribbon: {harmed: yes}, ", "")
    cords, lost, _ = placed_in(after)
    assert cords == [["A1", "A5"]]
    assert lost == [
        "cord 1, Pre 1 out (A3) > Tape 2 (B4): the room has no port 'Tape 2' any more: did you mean 'Taper 2' or 'Taper 1'?",
        "cord 3, A6 > Pre 2 in (B2): the room has no jack 'A6' any more",
        "ribbon on Live 1: the locker has no 'ribbon' any more",
    ]


def test_phantom_is_not_switched_on_where_it_was_off() -> None:
    after = BEFORE.replace("{is: mic in, phantom: 48}", "{is: mic in, phantom: 48, switch: Both}")
    _, lost, _ = placed_in(after)
    assert lost == ["phantom at Pre 1 in: it shares its switch with Pre 2 in now, where phantom was off"]


def test_a_cord_does_not_reach_into_another_place() -> None:
    after = BEFORE.replace("columns: 8", "columns: 8\n    place: Attic", 1).replace(
        '      B: {1-2: "Pre {1-2} in", 3-4: "Tape {1-2}"}',
        '  - bay: Two\n    columns: 8\n    place: Cellar\n    rows:\n      B: {1-2: "Pre {1-2} in", 3-4: "Tape {1-2}"}',
    )
    cords, lost, _ = placed_in(after)
    assert cords == [["A1", "A5"]]
    assert [words.rpartition(": ")[2] for words in lost] == ["Attic and Cellar", "Attic and Cellar"]


def test_two_cords_that_would_meet_in_one_jack() -> None:
    room = parse_room(BEFORE)
    twice = SavedPatch("Shed", (SavedCord(1, (End("Pre 1 out", "C1"),)), SavedCord(2, (End("Pre 1 out", "C2"),))))
    placing = place(twice, room)
    assert [cord.number for cord in placing.placed.cords] == [1]
    assert placing.unplaced[0].why == "A3 is taken by cord 1 of the same patch"


def test_of_several_jacks_of_a_port_the_one_that_is_free() -> None:
    room = parse_room(
        BEFORE.replace('3-4: "Pre {1-2} out"', '3-4: "Pre {1-2} out", 5: Pre 1 out').replace("A5-8", "A6-8")
    )
    saved = SavedPatch("Shed", (SavedCord(1, (End("Pre 1 out", "C1"),)), SavedCord(2, (End("Pre 1 out", "A3"),))))
    placing = place(saved, room)
    assert [room.jacks[cord.jacks[0]].address for cord in placing.placed.cords] == ["A5", "A3"]
