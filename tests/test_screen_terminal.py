"""The screen under a real pseudo terminal: what it refuses to run on, how it ends, and that it is silent when idle."""

from __future__ import annotations

import os
import re
import signal
import subprocess
import sys
from pathlib import Path

import pytest

from tests.bench.pty_harness import Terminal, environment, painted
from tests.bench.rooms import ROOT
from tests.screen_room import ROOM

COMMAND = (sys.executable, "-m", "tui")
MARKER = "Lantern Room"


@pytest.fixture
def room_file(tmp_path: Path) -> str:
    """The small room's file."""
    path = tmp_path / "lantern.yaml"
    path.write_text(ROOM, "utf-8")
    return str(path)


@pytest.fixture
def env(tmp_path: Path) -> dict[str, str]:
    """An environment whose home is of this test alone."""
    return {**environment(tmp_path), "PYTHONPATH": str(ROOT)}


def test_without_a_terminal_it_says_so_and_ends(room_file: str) -> None:
    done = subprocess.run([*COMMAND, room_file], stdin=subprocess.DEVNULL, capture_output=True, cwd=ROOT, text=True)
    assert done.returncode == 2
    assert "needs a terminal" in done.stderr
    assert "Traceback" not in done.stderr
    assert len(done.stderr.strip().splitlines()) == 1


def test_a_terminal_that_cannot_draw_is_refused(room_file: str, env: dict[str, str]) -> None:
    with Terminal([*COMMAND, room_file], env={**env, "TERM": "dumb"}) as terminal:
        assert terminal.wait() == 2
        assert "TERM=dumb" in terminal.output.decode()
        assert b"\x1b[" not in terminal.output


def test_a_room_file_that_is_not_there_ends_with_a_message(env: dict[str, str]) -> None:
    with Terminal([*COMMAND, "nowhere.yaml"], env=env) as terminal:
        assert terminal.wait() == 2
        assert "nowhere.yaml" in terminal.output.decode()
        assert b"Traceback" not in terminal.output


@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGHUP])
def test_a_signal_leaves_the_terminal_as_it_was_found(room_file: str, env: dict[str, str], number: int) -> None:
    with painted([*COMMAND, room_file], MARKER, env=env) as terminal:
        terminal.signal(number)
        assert terminal.wait() == 128 + number
        assert terminal.not_as_found() == []


def test_a_session_by_keys_then_leaving(room_file: str, env: dict[str, str]) -> None:
    with painted([*COMMAND, room_file], MARKER, columns=80, rows=24, env=env) as terminal:
        for key in "live 1 > pre 3 in":
            terminal.key(key)
        assert any("makes Live 1 > Pre 3 in" in line for line in terminal.screen())
        terminal.key("\r")
        assert any("makes Live 1 > Pre 3 in" in line for line in terminal.screen())
        terminal.send("\x1b[21~")  # F10
        assert terminal.wait() == 0
        assert terminal.not_as_found() == []


def test_each_key_brings_one_frame_which_holds_the_preview_and_then_nothing_comes(
    room_file: str, env: dict[str, str]
) -> None:
    with painted([*COMMAND, room_file], MARKER, env=env) as terminal:
        terminal.settle(0.5)
        for key in "a1 > b":
            assert len(terminal.key(key).frames) == 1
        last = terminal.key("3")
        assert len(last.frames) == 1
        assert any("makes Live 1 > Pre 3 in" in line for line in terminal.screen_after(last.frames[0].end))
        assert terminal.idle(1.0).sent == 0


def test_a_paste_through_the_terminal_is_asked_about(room_file: str, env: dict[str, str]) -> None:
    with painted([*COMMAND, room_file], MARKER, columns=80, rows=24, env=env) as terminal:
        terminal.paste("a1 > b3\na2 > b4\n")
        terminal.settle(0.3)
        assert any("2 entries wait" in line for line in terminal.screen())
        terminal.key("\r")
        assert any("makes Live 2 > Pre 4 in" in line for line in terminal.screen())


def test_labels_that_would_steer_the_terminal_do_not_reach_it(tmp_path: Path, env: dict[str, str]) -> None:
    path = tmp_path / "steer.yaml"
    path.write_text(
        ROOM.replace("  Amp: {is", '  "Amp\\e]0;stolen\\a": {is').replace("10: Amp", '10: "Amp\\e]0;stolen\\a"'),
        "utf-8",
    )
    with Terminal([*COMMAND, str(path)], env=env) as terminal:
        terminal.wait_until(lambda: terminal.status is not None or MARKER.encode() in terminal.output, 20)
        terminal.settle(0.3)
        for key in "b10":
            if terminal.status is None:
                terminal.key(key)
        assert b"\x1b]0;stolen" not in terminal.output


def test_colours_of_a_sixteen_colour_terminal_are_enough(room_file: str, env: dict[str, str]) -> None:
    with painted(
        [*COMMAND, room_file], MARKER, columns=80, rows=24, env={**env, "TERM": "xterm-16color", "COLORTERM": ""}
    ) as terminal:
        assert b"38;2;" not in terminal.output
        assert b"38;5;" not in terminal.output
        assert any("Main bay" in line for line in terminal.screen())


def test_a_fault_of_the_program_shows_no_traceback_and_says_where_it_is(room_file: str, env: dict[str, str]) -> None:
    code = (
        "import sys, tui.cli.main, model.session\n"
        "def fails(*_, **__): raise RuntimeError('broken on purpose')\n"
        "model.session.Session.preview = fails\n"
        f"sys.exit(tui.cli.main.main([{room_file!r}]))"
    )
    with painted([sys.executable, "-c", code], MARKER, env=env) as terminal:
        terminal.send("a")
        assert terminal.wait() == 3
        text = terminal.output.decode()
        assert "a fault of the program" in text
        assert "Traceback" not in text
        assert terminal.not_as_found() == []
        written = Path(re.findall(r"traces are in (\S+\.txt)", text)[0])
        assert "broken on purpose" in written.read_text()
        written.unlink()


def test_a_terminal_without_unicode_gets_ascii_alone(room_file: str, env: dict[str, str]) -> None:
    with painted([*COMMAND, room_file], MARKER, env={**env, "PYTHONIOENCODING": "latin-1"}) as terminal:
        assert "\n".join(terminal.screen()).isascii()


def test_nothing_of_textual_is_loaded_before_the_terminal_is_found_fit() -> None:
    code = "import sys, tui.cli.run_screen; print('textual' in sys.modules)"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, cwd=ROOT, env=dict(os.environ))
    assert done.stdout.strip() == "False"
