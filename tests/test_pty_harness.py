"""The harness must see what a program does to its terminal, wrong things above all. Nothing here is held to a clock."""

from __future__ import annotations

import signal
import sys
from pathlib import Path

import pytest

from tests.bench.pty_harness import SYNC_BEGIN, SYNC_END, Terminal, plain

ROOT = Path(__file__).parents[1]


def python(code: str) -> Terminal:
    """A few lines of Python under a terminal."""
    return Terminal([sys.executable, "-S", "-c", code], columns=40, rows=10)


RAW = "import os, sys, termios, tty; found = termios.tcgetattr(0); tty.setraw(0); "


def test_the_mode_queries_are_answered_as_a_modern_terminal_does() -> None:
    code = RAW + (
        "os.write(1, b'\\x1b[?2026$p\\x1b[?20'); os.write(1, b'48$p'); reply = b''\n"
        "while reply.count(b'y') < 2: reply += os.read(0, 100)\n"
        "termios.tcsetattr(0, termios.TCSANOW, found); print(ascii(reply))"
    )
    with python(code) as terminal:
        assert terminal.wait() == 0
        assert r"b'\x1b[?2026;2$y\x1b[?2048;0$y'" in plain(terminal.output)


@pytest.mark.parametrize(
    ("does", "left"),
    [
        ("print('\\x1b[?1049h')", "the alternate screen (1049) is left on"),
        ("print('\\x1b[?1000;1006h')", "mouse reporting (1000) is left on"),
        ("print('\\x1b[?1003h')", "mouse reporting of every move (1003) is left on"),
        ("print('\\x1b[?25l')", "the cursor's visibility (25) is left off"),
        ("print('\\x1b[?2004h')", "bracketed paste (2004) is left on"),
        ("print('\\x1b[?7777h')", "mode 7777 is left on"),
        ("print('\\x1b[>1u')", "1 keyboard mode(s) are left pushed"),
        ("import tty; tty.setraw(0)", "the line's lflag changed"),
    ],
)
def test_a_terminal_left_changed_is_told(does: str, left: str) -> None:
    with python(does) as terminal:
        terminal.wait()
        assert left in terminal.not_as_found()


def test_a_terminal_changed_and_put_back_is_as_found() -> None:
    code = RAW + (
        "print('\\x1b[?1049h\\x1b[?1003h\\x1b[?25l\\x1b[>1u', end=''); "
        "print('\\x1b[<u\\x1b[?25h\\x1b[?1003l\\x1b[?1049l', end='', flush=True); "
        "termios.tcsetattr(0, termios.TCSANOW, found)"
    )
    with python(code) as terminal:
        assert terminal.wait() == 0
        assert terminal.not_as_found() == []


def test_a_textual_program_that_is_killed_leaves_its_terminal_changed() -> None:
    """Textual itself does not caution SIGTERM; if this fails, the handler that the screen sets has become needless."""
    with Terminal([sys.executable, "-m", "tests.bench.bare_app"], cwd=ROOT) as terminal:
        terminal.wait_for("type here", 30)
        terminal.settle()
        terminal.signal(signal.SIGTERM)
        assert terminal.wait() == 128 + signal.SIGTERM
        assert "the alternate screen (1049) is left on" in terminal.not_as_found()


def test_a_textual_program_sends_one_frame_for_a_key_none_when_idle_and_ends_in_order() -> None:
    with Terminal([sys.executable, "-m", "tests.bench.bare_app"], cwd=ROOT, columns=30, rows=6) as terminal:
        terminal.wait_for("type here", 30)
        terminal.settle(0.3)
        for typed in ("a", "ab", "abc"):
            key = terminal.key(typed[-1], wanted=typed)
            assert [frame.data.startswith(SYNC_BEGIN) and frame.data.endswith(SYNC_END) for frame in key.frames] == [
                True
            ]
            assert key.carrying is not None
        assert "abc" in terminal.screen()[terminal.cursor_row]
        assert terminal.idle(0.5).sent == 0
        terminal.resize(20, 5)
        terminal.settle(0.3)
        assert len(terminal.screen()) == 5
        assert max(map(len, terminal.screen())) == 20
        terminal.send("\x11")  # ctrl+q
        assert terminal.wait() == 0
        assert terminal.not_as_found() == []


def test_the_end_of_a_program_is_told_as_a_shell_tells_it() -> None:
    with python("raise SystemExit(7)") as terminal:
        assert terminal.wait() == 7
    with python("import os; os.kill(os.getpid(), 9)") as terminal:
        assert terminal.wait() == 128 + signal.SIGKILL
    with Terminal(["/nowhere/at/all"]) as terminal:
        assert terminal.wait() == 127
        assert "No such file" in plain(terminal.output)


def test_a_text_that_never_comes_is_an_error_that_shows_the_screen() -> None:
    with python("print('something else')") as terminal, pytest.raises(TimeoutError, match="something else"):
        terminal.wait_for("what was wanted", 5)


def test_the_time_of_a_text_is_the_end_of_the_frame_that_holds_it() -> None:
    code = (
        "import time; w = lambda s: print(s, end='', flush=True)\n"
        "w('\\x1b[?2026hfirst'); time.sleep(0.3); w('\\x1b[?2026l'); time.sleep(0.3)\n"
        "w('\\x1b[?2026hsecond\\x1b[?2026l')"
    )
    with python(code) as terminal:
        first = terminal.wait_for("first")
        terminal.wait()
        frames = terminal.frames()
        assert [frame.text for frame in frames] == ["first", "second"]
        assert first == frames[0].at - terminal.started


def test_a_large_paste_blocks_neither_side() -> None:
    code = RAW + (
        "os.write(1, b'ready'); taken = b''\n"
        "while not taken.endswith(b'.'): got = os.read(0, 512); taken += got; os.write(1, got)\n"
        "termios.tcsetattr(0, termios.TCSANOW, found); print(len(taken))"
    )
    with python(code) as terminal:
        terminal.wait_for("ready")
        terminal.send("x" * 100_000 + ".")
        assert terminal.wait() == 0
        assert plain(terminal.output).endswith("100001")


def test_plain_text_has_no_control_sequences() -> None:
    assert plain(b"\x1b[1;38;2;1;2;3mA\x1b[0m\x1b]0;title\x07B\x1b[?2026$p\x1b(BC\r\n\x1b[>29uD\x1bME") == "ABCDE"
