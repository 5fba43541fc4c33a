"""Findings that the room file accepts are listed apart and leave the exit status alone; what no longer occurs is told."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from model.check import check_whole
from model.room.file import RoomFileErrors, parse_room
from tui.cli.main import main

ROOM = """bayhand: 1
room: Fernhill
gear:
  Live {1-8}: mic line
  Pre {1-8}: mic in
  Echo: {in: line in, out: line out}
bays:
  - bay: Mic bay
    columns: 9
    rows: {A: {1-8: "Live {1-8}"}, B: {1-8: "Pre {1-8}", 9: Echo in}}
    normals: {1-8: half}
"""


def accepting(*entries: str) -> str:
    """The room with entries of 'accepted'."""
    return ROOM + "accepted:\n" + "".join(f"  - {{{entry}}}\n" for entry in entries)


MICS = "at: A1-8, finding: half-normalled-mic, because: the desk splits there"
ECHO = "at: echo, finding: never-wired, because: its output is on the desk"


def test_one_finding_over_the_run() -> None:
    findings, accepted = check_whole(parse_room(ROOM))
    assert [(f.rule, f.jacks) for f in findings] == [
        ("never-wired", ()),
        ("half-normalled-mic", tuple(f"{row}{point}" for row in "AB" for point in range(1, 9))),
    ]
    assert not accepted


def test_accepted_findings_are_set_apart() -> None:
    findings, accepted = check_whole(parse_room(accepting(MICS, ECHO)))
    assert findings == []
    assert [(one.finding.rule, one.because) for one in accepted] == [
        ("half-normalled-mic", "the desk splits there"),
        ("never-wired", "its output is on the desk"),
    ]


def test_what_is_accepted_at_some_jacks_stays_at_the_rest() -> None:
    (rest,), (one, _) = check_whole(parse_room(accepting(MICS.replace("A1-8", "A1-4"), ECHO)))
    assert rest.jacks == ("A5", "A6", "A7", "A8", "B5", "B6", "B7", "B8")
    assert one.finding.jacks[:4] == ("A1", "A2", "A3", "A4")


@pytest.mark.parametrize(
    ("entry", "jacks"),
    [
        (MICS.replace("A1-8", "A1-9"), ("A9",)),
        (MICS.replace("A1-8", "B9"), ("B9",)),
        (MICS.replace("half-normalled-mic", "half-normalled-microphone"), tuple(f"A{n}" for n in range(1, 9))),
        (ECHO.replace("echo", "Mic bay"), ()),
    ],
)
def test_what_no_longer_occurs_is_a_finding(entry: str, jacks: tuple[str, ...]) -> None:
    stale = [f for f in check_whole(parse_room(accepting(entry))).findings if f.rule == "stale-acceptance"]
    assert [(f.severity, f.jacks, f.line) for f in stale] == [("warning", jacks, ROOM.count("\n") + 2)]


@pytest.mark.parametrize(
    ("entry", "words"),
    [
        ("at: A1, finding: own-loop", "key 'because' is missing"),
        ("finding: own-loop, because: x", "key 'at' is missing"),
        ("at: ehco, finding: own-loop, because: x", "did you mean 'Echo'"),
        ("at: A1-99, finding: own-loop, because: x", "goes past row 'A'"),
        ("at: A1, finding: own-loop, because: x, who: me", "unknown key 'who'"),
    ],
)
def test_entries_that_cannot_be_read(entry: str, words: str) -> None:
    with pytest.raises(RoomFileErrors, match=words):
        parse_room(accepting(entry))


@pytest.mark.parametrize(("entries", "status"), [((MICS, ECHO), 0), ((MICS,), 1), ((MICS, ECHO, ECHO), 1)])
def test_the_status_and_the_json(
    entries: tuple[str, ...], status: int, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "room.yaml"
    path.write_text(accepting(*entries), "utf-8")
    assert main(["check", str(path), "--json"]) == status
    told = json.loads(capsys.readouterr().out)
    assert set(told["accepted"][0]) == {"rule", "severity", "jacks", "text", "line", "because"}
    assert set(told["counts"]) >= {"danger", "warning", "note"}
    assert bool(told["findings"]) == bool(status)
    assert main(["check", str(path)]) == status
    assert "Accepted:" in capsys.readouterr().out
