"""Keys that arrive together, too early, or broken, under a real terminal: each is heard in its turn, and nothing ends.

Each scene writes its keys at once, so that the program reads them at once, and waits for what is painted.
"""

from __future__ import annotations

import io
import json
import os
import signal
import sys
from collections.abc import Iterator
from contextlib import redirect_stdout
from pathlib import Path
from unittest.mock import patch

import pytest

from tests.bench.pty_harness import Terminal, environment
from tests.bench.rooms import ROOT
from tests.screen_room import ROOM
from tui.cli.main import main

F1, F2, F6, F7, F10 = "\x1bOP", "\x1bOQ", "\x1b[17~", "\x1b[18~", "\x1b[21~"
MARKER = "Lantern Room"


class Seat:
    """A screen of the small room under a real terminal, and its record."""

    def __init__(self, home: Path, columns: int = 120, rows: int = 36) -> None:
        self.room = home / "lantern.yaml"
        self.room.write_text(ROOM, "utf-8")
        self.env = {**environment(home), "PYTHONPATH": str(ROOT)}
        self.command = [sys.executable, "-m", "tui", str(self.room), "--no-house"]
        self.scenes = 0
        self.terminal = Terminal(self.command, columns=columns, rows=rows, env=self.env)

    def opened(self) -> Terminal:
        """The terminal, once the screen is painted and hears keys."""
        self.terminal.wait_for(MARKER, 20)
        self.terminal.wait_until(lambda: b"\x1b[?2026l" in self.terminal.output, 20)
        return self.terminal

    def shows(self, text: str) -> bool:
        """Whether a text stands on the screen, now or soon."""
        terminal = self.terminal
        return terminal.wait_until(lambda: terminal.status is not None or text in "\n".join(terminal.screen()), 15)

    def play(self, *keys: str | bytes) -> list[str]:
        """Send keys, each part in one write, then a last entry of its own; the answer is what the record holds of them."""
        known = len(self.recorded())
        for key in keys:
            self.terminal.send(key)
        self.scenes += 1
        self.terminal.send(f"\x03\x03\x15note heard {self.scenes}\r")
        assert self.shows(f"noted: heard {self.scenes}"), self.terminal.screen()
        assert self.terminal.status is None, self.terminal.screen()
        return self.recorded()[known:-1]

    def recorded(self) -> list[str]:
        """What was typed, as the record has it."""
        printed = io.StringIO()
        with patch.dict(os.environ, self.env), redirect_stdout(printed):
            assert main(["log", "--json", str(self.room)]) == 0
        entries = [json.loads(line) for line in printed.getvalue().splitlines() if line.startswith("{")]
        return [entry["typed"] for entry in entries if entry["typed"]]


@pytest.fixture
def seat(tmp_path: Path) -> Iterator[Seat]:
    """A seat whose terminal is closed in the end."""
    one = Seat(tmp_path)
    with one.terminal:
        yield one


@pytest.fixture(scope="module")
def shared(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Seat]:
    """One seat for the scenes that plug nothing and end nothing: a start takes half a second."""
    one = Seat(tmp_path_factory.mktemp("shared"))
    with one.terminal:
        yield one


PLUG = "a1 > b1"


ORDERED: dict[str, tuple[str | bytes, list[str]]] = {
    "a character behind Enter": (f"{PLUG}\r0\x1b[H\x0b", [PLUG]),
    "eight entries": ("".join(f"note n{n}\r" for n in range(8)), [f"note n{n}" for n in range(8)]),
    "line feeds, as an old paste has them": ("note a\nnote b\n", ["note a", "note b"]),
    "both, as some pastes have them": ("note a\r\nnote b\r\n", ["note a", "note b"]),
    "Backspace and Enter": ("note ab\x7f\r", ["note a"]),
    "Left, a character, End, a character, Enter": ("note ad\x1b[Db\x1b[C\x1b[De\x1b[F!\r", ["note abed!"]),
    "Home, Delete, Enter": ("xnote a\x1b[H\x1b[3~\r", ["note a"]),
    "Esc drops, as terminals with the kitty protocol send it": ("note a\x1b[27unote b\r", ["note b"]),
    "Ctrl+C drops": ("note a\x03note b\r", ["note b"]),
    "Ctrl+U, Ctrl+W": ("junk\x15note a b\x17c\r", ["note a c"]),
    "Up and Enter": ("note a\r\x1b[A\r", ["note a", "note a"]),
    "the bay's keys": (f"{F2}\x1b[1;5C\x1b[H\x1b[1;5C\r\x1b[B\r\r", ["A9 > B9"]),
    "a word that is a key, and what closes it": ("help\rqnote a\r", ["note a"]),
    "F1 opens, Q closes": (f"{F1}qnote a\r", ["note a"]),
    "a click, and Enter": ("\x1b[<0;5;6M\x1b[<0;5;6m\x15note a\r", ["note a"]),
    "a paste with marks behind a key": ("no\x1b[200~te pasted\x1b[201~\r", ["note pasted"]),
    "Ctrl+Z takes the text alone": ("a2 > b2\rnote\x1a\x1a\x1a\x1a", ["a2 > b2"]),
}


REFUSED: dict[str, tuple[str, list[str]]] = {
    "a character begins a new entry": ("a1 > nowhere\rnote a\r", ["note a"]),
    "also where the old one could have been mended": ("a1 > b\r3\r", []),
    "a paste does, too": ("a1 > nowhere\r\x1b[200~note a\x1b[201~\r", ["note a"]),
    "Up brings it back": ("note\ra\x1b[A\x1b[F a\r", ["note a"]),
    "Up at once brings the one before": ("note a\rnote\r\x1b[A\r", ["note a", "note a"]),
    "Backspace edits the wrong part": ("note a\ra1 > nowhere\r\x7fb3\r", ["note a", "a1 > b3"]),
    "a function key is no edit": ("a1 > nowhere\r" + F6 + "qnote a\r", ["note a"]),
    "an offer is not joined": ("route live 2 > pre 4 in\r\rnote a\r", ["note a"]),
}

# Bytes that ended the program, or were keys and should have been none; and what is typed behind them.
BYTES: dict[str, bytes] = {
    "0xFF": b"\xff",
    "Latin-1": "Löwe".encode("latin-1"),
    "half a character": b"\xe2\x82",
    "a surrogate in UTF-8": b"\xed\xa0\x80",
    "all bytes but ends and controls that act": bytes(range(0x20, 0x100)),
    "an old mouse report": b"\x1b[M" + bytes([32, 0xE9, 0xF1]) + b"\x1b[M" + bytes([35, 0xE9, 0xF1]),
    "a character beyond the last": b"\x1b[9999999999u",
    "a modifier beyond the last": b"\x1b[97;999999999999999999999u",
    "an unknown sequence": b"\x1b[99;99;99x" + b"\x1b]11;rgb:0/0/0\x07",
    "NUL": b"\0",
}


@pytest.mark.parametrize("where", ["typed", "pasted"])
def test_any_byte_is_read_and_the_screen_goes_on(shared: Seat, where: str) -> None:
    shared.opened()
    for name, data in BYTES.items():
        kept = data if where == "typed" else b"\x1b[200~" + data + b"\x1b[201~"
        assert shared.play(kept) == [], name
    assert shared.play(b"note L\xf6we\r") == ["note L\N{REPLACEMENT CHARACTER}we"]
    # what stands in a paste is never a key
    assert shared.play(b"\x1b[200~note \x1b[99;99;99;99;99;99;99;99;99;99;99;99;99x\ra1 > b3\r\x1b[201~") == []


def test_a_paste_whose_end_is_lost_does_not_take_the_keys_for_ever(shared: Seat) -> None:
    terminal = shared.opened()
    terminal.send(b"\x1b[200~note lost")
    assert not terminal.wait_until(lambda: "note lost" in "\n".join(terminal.screen()), 1.5)
    terminal.send("\r")  # a key that comes alone after a second's silence
    assert shared.shows("note lost")
    assert shared.play("\r") == ["note lost"]


@pytest.mark.parametrize("number", [signal.SIGSTOP, signal.SIGTSTP])
def test_keys_typed_while_the_program_stands_still_are_not_lost(seat: Seat, number: signal.Signals) -> None:
    terminal = seat.opened()
    terminal.signal(number)
    stat = Path(f"/proc/{terminal.pid}/stat")
    while stat.read_text().rpartition(")")[2].split()[0] != "T":  # stopped, proc(5)
        terminal.pump(0.01)
    if number == signal.SIGTSTP:  # it has left the terminal to whoever stopped it, and comes back to it
        terminal.settle(0.02)
        assert terminal.not_as_found() == []
        terminal.signal(signal.SIGCONT)
        while terminal.output.rfind(b"\x1b[?1049h") < terminal.output.rfind(b"\x1b[?1049l"):
            terminal.pump(0.01)
        terminal.send(f"{PLUG}\r0\x15note a\r")
    else:  # as one that was long at work: it has prepared for nothing
        terminal.send(f"{PLUG}\r0\x15note a\r")
        terminal.signal(signal.SIGCONT)
    assert seat.shows("noted: a")
    assert seat.recorded() == [PLUG, "note a"]
    terminal.send(F10)
    assert terminal.wait() == 0
    assert terminal.not_as_found() == []


def test_keys_typed_before_the_screen_is_there_are_not_lost(seat: Seat) -> None:
    # the line of the terminal makes LF of this CR, as nobody has told it yet not to
    seat.terminal.send(f"{PLUG}\r0\x7fnote early\r")
    seat.opened()
    assert seat.shows("noted: early")
    assert seat.play("") == []
    assert seat.recorded()[:2] == [PLUG, "note early"]


OPENS = {"F1": F1, "F6": F6, "F7": F7}
CLICK_AT = "\x1b[<0;{x};{y}M\x1b[<0;{x};{y}m"


def _line_of_keys(terminal: Terminal) -> tuple[int, str]:
    """The row, from 1, of the keys at the foot, and what stands there, once what is on its way is drawn."""
    for _ in range(200):
        found = [(row, line) for row, line in enumerate(terminal.screen(), 1) if "F10 quit" in line]
        if found:
            return found[0]
        terminal.pump(0.05)
    raise AssertionError("the keys at the foot were not drawn")


@pytest.mark.parametrize("opens", OPENS)
def test_a_screen_that_is_leaving_takes_no_second_dismissal(shared: Seat, opens: str) -> None:
    terminal = shared.opened()
    row, line = _line_of_keys(terminal)
    on_key = CLICK_AT.format(x=line.index(f"{opens} ") + 1, y=row) if f"{opens} " in line else ""
    inside = CLICK_AT.format(x=20, y=10)
    key = OPENS[opens]
    for keys in (
        key * 2,
        key * 3,
        key + "q\x1b[27uq",
        key + inside * 2,
        on_key * 2,
        on_key + inside * 2 + key,
        on_key * 3 + "qq",
    ):
        terminal.send(keys)
        # whatever is open or closed now: the keys of reading close it, and are none in an entry
        terminal.send("\x03\x03")
        assert shared.play() == [], keys
    assert terminal.status is None


def test_after_the_key_that_leaves_nothing_more_is_done(seat: Seat) -> None:
    terminal = seat.opened()
    terminal.send(f"note a\r{F10}note b\r")
    assert terminal.wait() == 0
    assert terminal.not_as_found() == []
    assert seat.recorded() == ["note a"]


def test_what_is_typed_behind_a_refused_entry_never_joins_it(seat: Seat) -> None:
    seat.opened()
    for name, (keys, typed) in REFUSED.items():
        assert seat.play(keys) == typed, name


def test_keys_that_arrive_together_keep_their_order(seat: Seat) -> None:
    seat.opened()
    for name, (keys, typed) in ORDERED.items():
        assert seat.play(keys) == typed, name
