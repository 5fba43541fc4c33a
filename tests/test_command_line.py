"""The commands without a screen: exit status, messages, JSON; and every kind of file that is no room file."""

from __future__ import annotations

import io
import json
import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from tui.cli.main import main

ROOT = Path(__file__).parent.parent
ATTIC = str(ROOT / "rooms" / "attic.yaml")
KELPFIELD = str(ROOT / "rooms" / "kelpfield.yaml")

MINIMAL = """\
bayhand: 1
room: Test
gear:
  Live {1-2}: mic line
  Pre {1-2}: {in: {is: mic in, ohms: 2400}, out: line out}
bays:
  - bay: Bay
    columns: 4
    rows:
      A: {1-2: "Live {1-2}", 3-4: "Pre {1-2} out"}
      B: {1-2: "Pre {1-2} in"}
    normals: {1-2: full}
"""

Run = Callable[..., tuple[int, str, str]]


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Run:
    """Run the program in this process; the answer is its status, what it printed and what it said on the side."""

    def run_it(*arguments: str, typed: str = "") -> tuple[int, str, str]:
        monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(typed.encode("utf-8", "surrogateescape"))))
        try:
            status = main(list(arguments))
        except SystemExit as stop:
            status = int(stop.code or 0)
        printed = capsys.readouterr()
        return status, printed.out, printed.err

    return run_it


def bomb() -> str:
    """Nine levels of lists, each of nine times the one before: a billion entries if it were followed."""
    levels = ["a0: &a0 [x, x, x, x, x, x, x, x, x]"]
    levels += [f"a{n}: &a{n} [{', '.join([f'*a{n - 1}'] * 9)}]" for n in range(1, 9)]
    return "\n".join(levels)


def _write(content: bytes) -> Callable[[Path], None]:
    def write(path: Path) -> None:
        path.write_bytes(content)

    return write


BAD_FILES: dict[str, tuple[Callable[[Path], Any], str]] = {
    "missing": (lambda path: None, "no such file"),
    "empty": (_write(b""), "says nothing"),
    "binary": (_write(bytes(range(256)) * 40), "binary"),
    "not utf-8": (_write("room: Café".encode("latin-1")), "UTF-8"),
    "directory": (lambda path: path.mkdir(), "directory"),
    "pipe": (lambda path: os.mkfifo(path), "not an ordinary file"),
    "enormous": (lambda path: path.open("wb").truncate(40 * 2**20), "32 MiB"),
    "no yaml": (_write(b"bayhand: 1\nroom: [unclosed\n"), ":"),
    "alias bomb": (_write(bomb().encode()), "anchor"),
    "deep": (_write(b"[" * 5000), ":"),
    "a list": (_write(b"- 1\n- 2\n"), ":1:1"),
    "escape sequence": (_write(b'bayhand: 1\nroom: "\\e[2Jx"\n'), "control character"),
}


@pytest.mark.parametrize("name", BAD_FILES)
@pytest.mark.parametrize("command", ["check", "rehearse", "screen"])
def test_a_file_that_is_no_room(name: str, command: str, run: Run, tmp_path: Path) -> None:
    """One clear message with the file's name, status 1 or 2, no traceback, nothing that steers the terminal."""
    make, says = BAD_FILES[name]
    path = tmp_path / "room.yaml"
    make(path)
    status, out, err = run(*([command] if command != "screen" else []), str(path))
    told = out + err
    assert status in (1, 2)
    if command != "screen":
        assert status == (1 if command == "check" and not err else 2)
        assert says.lower() in told.lower()
        assert "room.yaml" in told
    assert "Traceback" not in told
    assert "\x1b" not in told


def test_the_screen_refuses_what_is_no_terminal(run: Run) -> None:
    status, _, err = run(ATTIC)
    assert status == 2
    assert "terminal" in err


def test_check_reports_all_errors_at_once(run: Run, tmp_path: Path) -> None:
    path = tmp_path / "room.yaml"
    path.write_text(MINIMAL.replace("mic line", "mic lime").replace("Pre {1-2} out", "Pre {1-3} out"), "utf-8")
    status, out, _ = run("check", str(path))
    assert status == 1
    assert f"{path}:4:15:" in out
    assert "did you mean 'mic line'" in out
    assert f"{path}:10:" in out
    status, out, _ = run("check", str(path), "--json")
    found = json.loads(out)
    assert status == 1
    assert found["room"] is None
    assert (found["errors"][0]["line"], found["errors"][0]["column"]) == (4, 15)
    assert len(found["errors"]) >= 2


def test_check_of_a_room_with_findings(run: Run, tmp_path: Path) -> None:
    path = tmp_path / "room.yaml"
    path.write_text(MINIMAL.replace("1-2: full", "1-2: half"), "utf-8")
    status, out, _ = run("check", str(path), "--json")
    found = json.loads(out)
    assert status == 1
    assert found["errors"] == []
    assert [(f["rule"], f["severity"], f["jacks"], f["line"]) for f in found["findings"]] == [
        ("half-normalled-mic", "warning", ["A1", "A2", "B1", "B2"], 12),
    ]
    assert found["accepted"] == []
    assert found["counts"]["warning"] == 1
    assert run("check", str(path))[0] == 1


@pytest.mark.parametrize("room", sorted((ROOT / "rooms").glob("*.yaml")), ids=lambda path: path.stem)
def test_the_rooms_that_come_along_are_in_order(room: Path, run: Run) -> None:
    """Nothing is found in them, at rest or with their house patch."""
    status, out, _ = run("check", str(room), "--json")
    assert (status, json.loads(out)["findings"]) == (0, [])
    status, out, _ = run("rehearse", str(room), os.devnull, "--house", "--json")
    objects = [json.loads(line) for line in out.splitlines()]
    assert status == 0
    assert len(objects) > 3
    assert not [o["raised"] for o in objects if o["raised"]]


def test_rehearse_prints_one_object_a_line(run: Run, tmp_path: Path) -> None:
    path = tmp_path / "room.yaml"
    path.write_text(MINIMAL, "utf-8")
    script = "# a comment\n\nlive 1 > pre 2\nnonsense\nA1 > B1 ?\n#1 > A4\npull #1\n"
    status, out, err = run("rehearse", str(path), "--json", typed=script)
    objects = [json.loads(line) for line in out.splitlines()]
    assert (status, err) == (1, "")
    assert [o["line"] for o in objects] == [0, 3, 4, 5, 6, 7]
    assert objects[0]["made"] == [["Live 1", "Pre 1 in"], ["Live 2", "Pre 2 in"]]
    assert objects[1] == {
        "line": 3,
        "typed": "live 1 > pre 2",
        "ok": True,
        "error": None,
        "made": [["Live 1", "Pre 2 in"]],
        "broken": [["Live 1", "Pre 1 in"], ["Live 2", "Pre 2 in"]],
        "split": [],
        "joined": [],
        "raised": [],
        "cleared": [],
        "changed": [],
        "cautions": [],
        "passing": [],
        "cord": 1,
        "cords": [1],
    }
    refused = [o for o in objects if not o["ok"]]
    assert [o["line"] for o in refused] == [4, 5, 6]
    for o in refused:
        assert o["error"]
        assert not (
            o["made"] or o["broken"] or o["split"] or o["joined"] or o["raised"] or o["cleared"] or o["cautions"]
        )
    assert objects[-1]["made"] == objects[1]["broken"]


def test_rehearse_reads_a_script_from_a_file_with_any_line_ends(run: Run, tmp_path: Path) -> None:
    script = tmp_path / "script.txt"
    script.write_bytes(b"hall 1 > tallow 2\r\nundo\r\n")
    status, out, _ = run("rehearse", KELPFIELD, str(script))
    assert status == 0
    assert "made Hall 1 > Tallow 2 in" in out
    assert run("rehearse", KELPFIELD, str(tmp_path / "none.txt"))[0] == 2
    script.write_bytes(b"\xff\xfe")
    status, _, err = run("rehearse", KELPFIELD, str(script))
    assert status == 2
    assert "cannot read the script" in err


def test_labels_reach_the_terminal_literally(run: Run, tmp_path: Path) -> None:
    path = tmp_path / "room.yaml"
    path.write_text(
        MINIMAL.replace("Live {1-2}", "'[red]Löwe 漢字 {1-2}'").replace("\"'", "'").replace("'\"", "'"), "utf-8"
    )
    status, out, _ = run("rehearse", str(path), typed="löwe 1 > pre 2\n")
    assert status == 0
    assert "made [red]Löwe 漢字 1 > Pre 2 in" in out


@pytest.mark.parametrize("line", ["x" * 10_000, "\x1b[2J > a1", "\x00", "[/red] > a1", "‮a1 > b2", "a1 > b2" * 300])
def test_a_hostile_line_is_refused_and_shown_safely(line: str, run: Run) -> None:
    status, out, err = run("rehearse", ATTIC, typed=f"{line}\n")
    assert status == 1
    assert "refused:" in out
    assert "\x1b" not in out + err
    assert "\x00" not in out
    assert "\u202e" not in out


@pytest.mark.parametrize("arguments", [[], ["--nonsense"], ["check"], ["rehearse", ATTIC, "a", "b", "c"]])
def test_wrong_usage(arguments: list[str], run: Run) -> None:
    status, _, err = run(*arguments)
    assert status == 2
    assert "usage" in err.lower()


def test_a_reader_that_leaves_early() -> None:
    """`bayhand rehearse ... | head -1` ends without a traceback."""
    done = subprocess.run(
        f"{sys.executable} -m tui rehearse {KELPFIELD} {os.devnull} --house | head -1",
        shell=True,
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
    )
    assert "at rest" in done.stdout
    assert "Traceback" not in done.stderr


def test_a_script_may_begin_with_the_mark_of_its_encoding(run: Run, tmp_path: Path) -> None:
    script = tmp_path / "script.txt"
    script.write_bytes(b"\xef\xbb\xbf# an editor's mark, then a comment\nnote seen\n")
    status, out, _ = run("rehearse", ATTIC, str(script))
    assert status == 0
    assert "noted: seen" in out
    assert "comment" not in out


def test_the_number_of_cords_is_told_once_they_suffice_again(run: Run, tmp_path: Path) -> None:
    """A warning about no port and no jack is told by its rule alone."""
    room = tmp_path / "room.yaml"
    room.write_text(f"{MINIMAL}cords: {{30: 0}}\n", "utf-8")
    status, out, _ = run("rehearse", str(room), typed="plug A4\npull A4\n")
    assert status == 0
    assert "cleared [note] short-of-cords\n" in out


def test_check_counts_in_words(run: Run, tmp_path: Path) -> None:
    room = tmp_path / "room.yaml"
    room.write_text(f"{MINIMAL}ties: [{{name: Tie, from: A3, to: B4}}]\n", "utf-8")
    status, out, _ = run("check", str(room))
    assert status == 1  # both ends of the tie line are in one place
    assert "Test: 1 bay, 8 jacks, 6 ports of 4 pieces of gear, 2 normals, 1 tie line, 0 mults, 0 cords." in out
