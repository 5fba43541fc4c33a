"""The commands `plan` and `normals`: entries, what they say, what they write. About 6 s."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from model.bench.plan import as_json, make_plan
from model.patches.saved_patch import save
from model.room.file import parse_room, read_room
from model.room.kinds import NO_NORMAL
from model.room.wiring import Room
from model.session import Session
from tui.cli.main import main

KELPFIELD = "rooms/kelpfield.yaml"


@pytest.fixture(scope="module")
def room() -> Room:
    """A room with sixteen preamplifiers at C1-16."""
    return read_room(KELPFIELD)


@pytest.fixture
def place(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A copy of a room file, with no record of it anywhere."""
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    place = tmp_path / "room.yaml"
    place.write_bytes(Path(KELPFIELD).read_bytes())
    return place


def run(capfdbinary: pytest.CaptureFixture[bytes], *arguments: object) -> tuple[int, str, str]:
    """The status of a command, what it printed, and what it said."""
    try:
        status = main([str(argument) for argument in arguments])
    except SystemExit as exit_:
        status = int(str(exit_.code))
    out, err = capfdbinary.readouterr()
    return status, out.decode(), err.decode()


@pytest.mark.parametrize(
    ("entry", "normals"),
    [
        (
            "normal C1-3 full",
            [("C1", "D1", "half", "full"), ("C2", "D2", "half", "full"), ("C3", "D3", "half", "full")],
        ),
        ("normal c5 none", [("C5", "D5", "half", "none")]),
        ("normal D5, 7 half top", [("C5", "D5", "half", "half top"), ("C7", "D7", "half", "half top")]),
        ("normal tallow 1-2 parallel", [("C1", "D1", "half", "parallel"), ("C2", "D2", "half", "parallel")]),
        ("normal tallow 3 in half", [("A3", "B3", "full", "half")]),
        ('normal "Tallow 2 out" full', [("C2", "D2", "half", "full")]),
        ("NORMAL tallow 1, 4 FULL", [("C1", "D1", "half", "full"), ("C4", "D4", "half", "full")]),
        ("cross A9 > B11 half", [("A9", "B11", "none", "half")]),
        ("cross A9-10 to B12-13 half", [("A9", "B12", "none", "half"), ("A10", "B13", "none", "half")]),
        ("cross A9 -> B11 half top", [("A9", "B11", "none", "half top")]),
        ("cross K43 to E43 none", [("K43", "E43", "half", "none")]),
        ("cross E43 to K43 half", [("K43", "E43", "half", "half top")]),
        ("cross C5 > D5 full", [("C5", "D5", "half", "full")]),
        ("normal C1 half", []),
    ],
)
def test_entries(room: Room, entry: str, normals: list[tuple[str, str, str, str]]) -> None:
    """What each form of an entry changes."""
    plan = make_plan(room, [entry])
    assert plan.well, plan.refused
    found = [(room.jacks[top].address, room.jacks[bottom].address, *kinds) for top, bottom, *kinds, _ in plan.changes]
    assert found == normals


@pytest.mark.parametrize(
    ("entry", "why"),
    [
        ("normal C1 hlaf", "did you mean 'half'"),
        ("normal", "say which and what"),
        ("normal half", "the kind of normal is missing"),
        ("normal C99 half", "row C has points 1 to 48"),
        ("normal C8-1 half", "did you mean C1-8?"),
        ("normal tallow 17 half", "nothing called 'tallow 17'"),
        ("normal C1, C1 half", "named twice"),
        ("normal C1,, C2 half", "a place is empty"),
        ("cross A9 half", "a cross normal joins two"),
        ("cross A9-10 > B11 half", "'A9-10' is 2 jacks, 'B11' is 1"),
        ("cross A9 > A9 half", "to itself"),
        ("cross D5 > C5 half", "say normal C5"),
    ],
)
def test_refused(room: Room, entry: str, why: str) -> None:
    """What cannot be read says why; nothing is changed by it."""
    plan = make_plan(room, [entry, "normal C2 full"])
    assert why in plan.refused[0].why
    assert len(plan.changes) == 1


def test_ordinary_entries_are_tried_on_the_new_wiring(room: Room) -> None:
    """A plug on top listens across a half normal and breaks a full one, wherever the entry stands."""
    for entries in (["tallow 3 > rec 3", "normal C3 full"], ["normal C3 full", "tallow 3 > rec 3"]):
        played = make_plan(room, entries).played[0]
        assert ("Tallow 3 out", "Desk 3 line") in played.outcome.change.broken
    played = make_plan(room, ["tallow 3 > rec 3"]).played[0]
    assert ("Tallow 3 out", "Desk 3 line") not in played.outcome.change.broken


def test_what_a_plan_tells(room: Room) -> None:
    """At rest: what is made, broken, warned of; findings; patches lost; jumpers and marks."""
    told = as_json(make_plan(room, ["normal C1-2 none", "normal A1 half", "cross K42 to E44 half"]), {}, written=False)
    assert told["broken"] == [["Tallow 1 out", "Desk 1 line"], ["Tallow 2 out", "Desk 2 line"]]
    assert told["made"] == []
    assert [alert["severity"] for alert in told["raised"]] == ["danger"]  # two outputs on one mult
    assert told["cleared"] == []
    assert "half-normalled-mic" in {finding["rule"] for finding in told["findings"]["new"]}
    assert told["jumpers"] == {"out": 4, "in": 2, "left": 2, "bring": 0}
    assert told["marks"] == {"round": -1}
    assert told["written"] is False


LISTENING = """
bayhand: 1
room: Listening
gear: {Pre: line out, Desk: line in, Rec: line in}
bays: [{bay: Bay, columns: 2, rows: {A: {1: Pre}, B: {1: Desk, 2: Rec}}, normals: {1: half}}]
house patch: [Pre > Rec]
"""


@pytest.mark.parametrize(
    ("kind", "lost"), [("full", ["house"]), ("half top", ["house"]), ("parallel", []), ("half", [])]
)
def test_patches_that_no_longer_hold(kind: str, lost: list[str]) -> None:
    """A house cord listens at the top of a half normal: where its plug breaks the normal, the desk hears nothing."""
    assert as_json(make_plan(parse_room(LISTENING), [f"normal A1 {kind}"]), {}, written=False)["patches_lost"] == lost


def test_saved_patches_are_looked_at_too() -> None:
    """The same cord, kept under a name."""
    without_house = parse_room(LISTENING.replace("house patch: [Pre > Rec]", ""))
    session = Session(without_house)
    assert session.enter("Pre > Rec").ok
    saved = {"evening": save(session.patch.state)}
    for kind, lost in (("full", ["evening"]), ("parallel", [])):
        assert as_json(make_plan(without_house, [f"normal A1 {kind}"]), saved, written=False)["patches_lost"] == lost


def test_a_planned_room_is_a_new_file(place: Path, capfdbinary: pytest.CaptureFixture[bytes]) -> None:
    """`-o` writes it, ROOM stays; a second time is refused, and so is everything where one entry is."""
    before, new = place.read_bytes(), place.with_name("new.yaml")
    status, out, _ = run(capfdbinary, "plan", place, "normal tallow 1-16 full", "-o", new)
    assert status == 0
    assert "C1-16 over D1-16: half > full" in out
    assert place.read_bytes() == before
    assert read_room(new).normals != read_room(place).normals
    status, _, err = run(capfdbinary, "plan", place, "normal C1 full", "-o", new)
    assert (status, "already" in err) == (2, True)
    other = place.with_name("other.yaml")
    status, out, _ = run(capfdbinary, "plan", place, "normal C1 full", "normal C1 fool", "-o", other)
    assert (status, other.exists(), "nothing is written" in out) == (1, False, True)


def test_write_replaces_the_file(place: Path, capfdbinary: pytest.CaptureFixture[bytes]) -> None:
    """And JSON says so."""
    status, out, _ = run(capfdbinary, "plan", place, "normal C5 none", "--write", "--json")
    told: dict[str, Any] = json.loads(out)
    assert status == 0
    assert told["written"] is True
    assert told["normals"] == [{"top": "C5", "bottom": "D5", "now": "half", "then": "none"}]
    room = read_room(place)
    jack = room.jack_at("C", 5)
    assert jack is not None
    assert not [normal for normal in room.normals if normal.top == jack.index]


def test_what_cannot_be_written_is_left_alone(place: Path, capfdbinary: pytest.CaptureFixture[bytes]) -> None:
    """A read-only file; no file; a file that is none."""
    place.chmod(0o444)
    before = place.read_bytes()
    status, _, err = run(capfdbinary, "plan", place, "normal C5 none", "--write")
    assert (status, "read-only" in err, place.read_bytes() == before) == (2, True, True)
    status, _, err = run(capfdbinary, "plan", place.with_name("none.yaml"), "normal C5 none")
    assert (status, "no such file" in err) == (2, True)
    assert run(capfdbinary, "plan", place)[0] == 2  # no entry


def test_normals_of_a_bay_that_is_fixed_cannot_be_planned(
    place: Path, capfdbinary: pytest.CaptureFixture[bytes]
) -> None:
    """Its 'normalled by' says so."""
    place.write_text(place.read_text("utf-8").replace("bay: Line bay\n", "bay: Line bay\n    normalled by: fixed\n"))
    status, out, _ = run(capfdbinary, "plan", place, "normal C5 none")
    assert (status, "Line bay are fixed" in out) == (1, True)


# Normals


def test_normals_lists_every_pair(capfdbinary: pytest.CaptureFixture[bytes]) -> None:
    """One object a pair, departures first, with what is advised and why."""
    status, out, _ = run(capfdbinary, "normals", KELPFIELD, "--json")
    told = [json.loads(line) for line in out.splitlines()]
    room = read_room(KELPFIELD)
    crosses = sum(normal.cross for normal in room.normals)
    assert status == 0
    assert len(told) == sum(bay.points for bay in room.bays if len(bay.rows) == 2) + crosses
    assert sum(pair["now"] != NO_NORMAL for pair in told) == len(room.normals)
    departs = [pair["departs"] for pair in told]
    assert departs == sorted(departs, reverse=True)
    first = next(pair for pair in told if pair["top"] == "A1")
    keys = ("source", "load", "now", "advised", "departs")
    assert [first[key] for key in keys] == ["Hall 1", "Tallow 1 in", "full", "full", False]
    assert all(pair["departs"] == (pair["advised"] not in (None, pair["now"])) for pair in told)


@pytest.mark.parametrize("form", ["text", "md", "html", "csv"])
def test_normals_in_every_form(form: str, capfdbinary: pytest.CaptureFixture[bytes]) -> None:
    """Each has every pair; text has 80 columns and counts."""
    status, out, _ = run(capfdbinary, "normals", KELPFIELD, "--as", form)
    assert status == 0
    assert all(name in out for name in ("Hall 24", "Tallow 16 in"))
    if form == "text":
        assert max(map(len, out.splitlines())) <= 80
        assert "mark round: 81 pairs" in out


@pytest.mark.parametrize("command", ["normals", "order", "proof", "plan"])
def test_what_cannot_be_opened(command: str, tmp_path: Path, capfdbinary: pytest.CaptureFixture[bytes]) -> None:
    """A file that is none, and one that is no room: status 2 and a reason, no traceback."""
    bad = tmp_path / "bad.yaml"
    bad.write_text("bayhand: 1\nroom: X\nbays: [{bay: B, columns: 2, rows: {A: {}}, sleeve: maybe}]\n")
    more = ["normal A1 half"] if command == "plan" else []
    status, _, err = run(capfdbinary, command, bad, *more)
    assert (status, "'sleeve' of bay 'B' cannot be 'maybe'" in err) == (2, True)
    assert run(capfdbinary, command, tmp_path / "none.yaml", *more)[0] == 2
    status, out, _ = run(capfdbinary, command, "--help")
    assert (status, "usage: bayhand" in out) == (0, True)
