"""A program under a real pseudo terminal, watched from the terminal's end.

What the terminal receives is the truth: every chunk read is stamped, and no timer inside the program is trusted. The
harness answers the two mode queries as a modern terminal does (2026, synchronised updates: known; 2048, in-band
resize: not), so that every frame ends in ``ESC[?2026l``. All times are seconds of ``time.monotonic``.

    with Terminal([sys.executable, "-m", "tui", "room.yaml"], columns=80, rows=24) as terminal:
        first = terminal.wait_for("Studio B")     # seconds from the program's start
        terminal.settle()
        key = terminal.key("a")
        print(key.seconds, len(key.frames), terminal.screen())
        terminal.signal(signal.SIGTERM)
        assert terminal.wait() == 143
        assert terminal.not_as_found() == []
"""

from __future__ import annotations

import fcntl
import json
import os
import re
import select
import signal
import socket
import struct
import subprocess
import sys
import termios
import time
from bisect import bisect_left
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from types import TracebackType
from typing import Any, NamedTuple, Self

import pyte

LEADER = Path(__file__).with_name("pty_leader.py")

SYNC_BEGIN, SYNC_END = b"\x1b[?2026h", b"\x1b[?2026l"
MODE_QUERY = re.compile(rb"\x1b\[\?(\d+)\$p")
# DECRPM answers: 2 the mode is known and off, 0 not known.
MODE_ANSWER = {b"2026": b"2"}
MODE_UNKNOWN = b"0"
LONGEST_QUERY = 12

# Everything that is not text: CSI, OSC and the short escapes of ECMA-48, and the control characters.
NOT_TEXT = re.compile(r"\x1b\[[0-?]*[ -/]*[@-~]|\x1b\][^\x07\x1b]*(?:\x07|\x1b\\)|\x1b[ -/]*[0-~]|[\x00-\x1f\x7f]")
# What pyte takes for text or trips over: CSI with <, =, > before its numbers, or with an intermediate character.
NOT_FOR_PYTE = re.compile(rb"\x1b\[(?:[<=>][0-?]*[ -/]*|[0-?]*[ -/]+)[@-~]")

MODE_SWITCH = re.compile(rb"\x1b\[\?([\d;]+)([hl])|\x1b\[([<>])\d*u")
# A terminal's private modes that a full-screen program may change, whether each is on at rest, and what it is.
MODES = {
    b"7": (True, "line wrap"),
    b"25": (True, "the cursor's visibility"),
    b"47": (False, "the alternate screen"),
    b"1000": (False, "mouse reporting"),
    b"1002": (False, "mouse reporting while a button is down"),
    b"1003": (False, "mouse reporting of every move"),
    b"1004": (False, "reporting of focus"),
    b"1005": (False, "UTF-8 mouse reports"),
    b"1006": (False, "SGR mouse reports"),
    b"1015": (False, "urxvt mouse reports"),
    b"1016": (False, "mouse reports in pixels"),
    b"1049": (False, "the alternate screen"),
    b"2004": (False, "bracketed paste"),
    b"2026": (False, "a synchronised update"),
    b"2048": (False, "in-band resize"),
}
TERMIOS_FIELDS = ("iflag", "oflag", "cflag", "lflag", "ispeed", "ospeed", "control characters")

# What would make one machine's screen differ from another's; and what would keep a program that runs from its clone from
# keeping its byte code, which an installed one has.
UNWANTED = re.compile(
    r"PYTHONDONTWRITEBYTECODE|TEXTUAL.*|NO_COLOR|FORCE_COLOR|COLUMNS|LINES|TERM.*|COLORTERM|LC_.*|LANG(UAGE)?"
)
LONGEST_PAUSE = 0.008  # seconds, within one frame: the reader wakes late, the writer writes at once
TICKS_A_SECOND = os.sysconf("SC_CLK_TCK")


class Chunk(NamedTuple):
    """One read: when it ended, and which bytes of the output it brought."""

    at: float
    start: int
    end: int


class Frame(NamedTuple):
    """One synchronised update: when its last byte was read, its place in the output, and its bytes."""

    at: float
    start: int
    end: int
    data: bytes

    @property
    def text(self) -> str:
        """Its text alone, without control sequences, in the order in which it was sent."""
        return plain(self.data)


@dataclass(frozen=True)
class Key:
    """What one key brought: when it was sent, and the frames that came before the terminal fell quiet again."""

    sent: float
    frames: tuple[Frame, ...]
    wanted: bytes

    @property
    def carrying(self) -> Frame | None:
        """The first frame that carries the wanted bytes (any frame where none were asked for)."""
        return next((frame for frame in self.frames if self.wanted in frame.data), None)

    @property
    def seconds(self) -> float:
        """From the key to the end of the frame that carries what was wanted; infinite where none does."""
        return self.carrying.at - self.sent if self.carrying else float("inf")


class Idle(NamedTuple):
    """What a program did while nobody touched it."""

    seconds: float
    cpu_seconds: float
    sent: int  # bytes


def plain(data: bytes | bytearray) -> str:
    """The text in a terminal's output without its control sequences."""
    return NOT_TEXT.sub("", data.decode("utf-8", "replace"))


def environment(home: Path | None = None, **more: str) -> dict[str, str]:
    """This process's environment as a terminal with 24-bit colour and UTF-8 gives it; ``home`` to keep things in."""
    env = {name: value for name, value in os.environ.items() if not UNWANTED.fullmatch(name)}
    env |= {"TERM": "xterm-256color", "COLORTERM": "truecolor", "LANG": "C.UTF-8"}
    if home is not None:
        env |= {
            "HOME": str(home),
            "XDG_DATA_HOME": str(home),
            "XDG_STATE_HOME": str(home),
            "XDG_CONFIG_HOME": str(home),
        }
    return env | more


def cpu_seconds(pid: int) -> float:
    """The processor time that a process has used, all threads, to one clock tick (proc(5): utime and stime)."""
    # The second field, the program's name in brackets, may hold anything.
    fields = Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()
    return (int(fields[11]) + int(fields[12])) / TICKS_A_SECOND


class Terminal:
    """A program running under a pseudo terminal of ``columns`` by ``rows``; a context that ends it on the way out."""

    def __init__(
        self,
        command: Sequence[str],
        *,
        columns: int = 120,
        rows: int = 36,
        env: Mapping[str, str] | None = None,
        cwd: Path | None = None,
    ) -> None:
        self.output = bytearray()
        self.chunks: list[Chunk] = []
        self.status: int | None = None
        self.ended: float | None = None
        self._queries_read = 0
        self._drawn = 0
        self._pyte = pyte.Screen(columns, rows)
        self._stream = pyte.ByteStream(self._pyte)

        self._master, self._slave = os.openpty()
        os.set_blocking(self._master, False)
        self._set_size(columns, rows)
        self._found = termios.tcgetattr(self._slave)
        self._control, theirs = socket.socketpair()
        with theirs:
            self._leader = subprocess.Popen(
                [sys.executable, "-I", "-S", str(LEADER), str(theirs.fileno())],
                stdin=self._slave,
                stdout=self._slave,
                stderr=self._slave,
                start_new_session=True,
                pass_fds=(theirs.fileno(),),
            )
        self._reports = self._control.makefile("r", encoding="utf-8")
        order = {
            "argv": list(command),
            "cwd": str(cwd) if cwd else None,
            "env": dict(environment() if env is None else env),
        }
        self._control.sendall(json.dumps(order).encode() + b"\n")
        report = self._report()
        self.pid: int = report["pid"]
        self.started: float = report["started"]

    def _report(self) -> dict[str, Any]:
        line = self._reports.readline()
        if not line:
            raise RuntimeError(f"the session's leader ended early; the terminal shows: {bytes(self.output)!r}")
        report: dict[str, Any] = json.loads(line)
        return report

    # The context: whatever happens, nothing stays behind.

    def __enter__(self) -> Self:
        return self

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, tb: TracebackType | None) -> None:
        self.close()

    def close(self) -> None:
        """End the program if it still runs, its session, and the terminal."""
        if self.status is None:
            os.killpg(self.pid, signal.SIGKILL)
            # read on meanwhile: who writes to a full terminal does not end
            self.wait_until(lambda: self.status is not None, 60)
        self._reports.close()
        self._control.close()
        self._leader.wait(60)  # a program that is killed while it waits for the disk ends when the disk answers
        os.close(self._slave)
        os.close(self._master)

    # Reading.

    def pump(self, seconds: float) -> bool:
        """Wait at most so long for output or the program's end, take one chunk; whether anything came."""
        ready, _, _ = select.select([self._master] + [self._control] * (self.status is None), [], [], max(0.0, seconds))
        if self._master in ready:
            data = os.read(self._master, 1 << 16)
            self.chunks.append(Chunk(time.monotonic(), len(self.output), len(self.output) + len(data)))
            self.output += data
            self._answer_queries()
        elif self._control in ready:
            report = self._report()
            self.status, self.ended = report["status"], report["ended"]
        return bool(ready)

    def _answer_queries(self) -> None:
        for query in MODE_QUERY.finditer(self.output, self._queries_read):
            answer = MODE_ANSWER.get(query[1], MODE_UNKNOWN)
            os.write(self._master, b"\x1b[?%b;%b$y" % (query[1], answer))
            self._queries_read = query.end()
        # A query may arrive in two chunks.
        self._queries_read = max(self._queries_read, len(self.output) - LONGEST_QUERY)

    def _take_burst(self, longest: float) -> None:
        """Read what comes in one go, at once: a reader that thinks between chunks holds the program up."""
        until = time.monotonic() + longest
        self.pump(longest)
        while time.monotonic() < until and self.pump(0.01):
            pass

    def wait_until(self, condition: Callable[[], bool], timeout: float = 10.0) -> bool:
        """Read until a condition holds; whether it did in time."""
        until = time.monotonic() + timeout
        while not condition():
            left = until - time.monotonic()
            if left <= 0:
                return False
            self.pump(left)
        return True

    def settle(self, quiet: float = 0.1, timeout: float = 10.0) -> None:
        """Read until nothing has come for ``quiet`` seconds; TimeoutError where the program never falls quiet."""
        until = time.monotonic() + timeout
        while self.pump(quiet):
            if time.monotonic() > until:
                raise TimeoutError(f"still sending after {timeout} s")

    def watch(self, seconds: float) -> None:
        """Read for so many seconds, whatever comes."""
        self.wait_until(lambda: False, seconds)

    def wait_for(self, text: str, timeout: float = 10.0, since: int = 0) -> float:
        """Seconds from the program's start until a text is painted: until the end of the frame that completes it.

        Looked for in the output from byte ``since`` on, without control sequences. Before the program knows of
        synchronised updates it paints outside of them; then what comes without a pause behind the text counts with it.
        TimeoutError, with the screen, where it does not come or the program ends without it.
        """
        until = time.monotonic() + timeout
        while text not in plain(self.output[since:]):
            if self.status is not None or time.monotonic() > until:
                raise TimeoutError(f"{text!r} is not shown; the screen:\n" + "\n".join(self.screen()))
            self._take_burst(0.25)
        done = self._end_of(text, since)
        opened = self.output.rfind(SYNC_BEGIN, 0, done)
        if opened > self.output.rfind(SYNC_END, 0, done):
            self.wait_until(lambda: self.output.find(SYNC_END, done) >= 0, timeout)
            done = self.output.find(SYNC_END, done) + len(SYNC_END)
        else:
            done = self._end_of_burst(done)
        return self.time_of(done) - self.started

    def _end_of_burst(self, end: int) -> int:
        """The end of the output that comes close behind a byte: the rest of a frame that is painted without marks."""
        self.settle(LONGEST_PAUSE)
        at = self.time_of(end)
        for chunk in self.chunks:
            if chunk.end > end:
                if chunk.at - at > LONGEST_PAUSE:
                    break
                end, at = chunk.end, chunk.at
        return end

    def _end_of(self, text: str, since: int) -> int:
        """The first place in the output, a chunk's end, at which a text is complete."""
        ends = [chunk.end for chunk in self.chunks if chunk.end > since]
        low, high = 0, len(ends) - 1
        while low < high:
            middle = (low + high) // 2
            if text in plain(self.output[since : ends[middle]]):
                high = middle
            else:
                low = middle + 1
        return ends[low]

    def time_of(self, end: int) -> float:
        """When the output had been read up to byte ``end``."""
        return self.chunks[bisect_left(self.chunks, end, key=lambda chunk: chunk.end)].at

    def frames(self, since: int = 0) -> list[Frame]:
        """The synchronised updates that began at or after byte ``since`` and are complete."""
        return list(self._frames(since))

    def _frames(self, since: int) -> Iterator[Frame]:
        while (start := self.output.find(SYNC_BEGIN, since)) >= 0:
            close = self.output.find(SYNC_END, start)
            if close < 0:
                return
            since = close + len(SYNC_END)
            yield Frame(self.time_of(since), start, since, bytes(self.output[start:since]))

    def screen(self) -> list[str]:
        """The screen as lines of text, as the output so far draws it."""
        return self.screen_after(len(self.output))

    def screen_after(self, end: int) -> list[str]:
        """The screen as the output up to byte ``end`` draws it; ``end`` may only grow from call to call."""
        if end < self._drawn:
            raise ValueError("the screen is drawn forward only")
        self._stream.feed(NOT_FOR_PYTE.sub(b"", bytes(self.output[self._drawn : end])))
        self._drawn = end
        return [line.rstrip() for line in self._pyte.display]

    @property
    def cursor_row(self) -> int:
        """The screen's row, from 0, on which the cursor stands where the screen was last drawn."""
        return int(self._pyte.cursor.y)

    # Acting.

    def send(self, keys: str | bytes) -> float:
        """Type something; returns when its last byte was written. Reads meanwhile, so that neither side can block."""
        data = keys.encode() if isinstance(keys, str) else keys
        while data and self.status is None:
            try:
                data = data[os.write(self._master, data) :]
            except BlockingIOError:
                self.pump(0.01)
        return time.monotonic()

    def key(self, key: str | bytes, wanted: str | bytes = b"", quiet: float = 0.08, timeout: float = 5.0) -> Key:
        """Send one key and read until the terminal falls quiet. ``wanted`` is looked for in the frames' bytes."""
        since = len(self.output)
        sent = self.send(key)
        self.wait_until(lambda: len(self.output) > since or self.status is not None, timeout)
        self.settle(quiet, timeout)
        return Key(sent, tuple(self._frames(since)), wanted.encode() if isinstance(wanted, str) else wanted)

    def paste(self, text: str) -> float:
        """Paste as a terminal does in bracketed paste mode."""
        return self.send(f"\x1b[200~{text}\x1b[201~")

    def resize(self, columns: int, rows: int) -> None:
        """Change the terminal's size; the kernel tells the program (SIGWINCH)."""
        self.screen()
        self._pyte.resize(rows, columns)
        self._set_size(columns, rows)

    def _set_size(self, columns: int, rows: int) -> None:
        fcntl.ioctl(self._slave, termios.TIOCSWINSZ, struct.pack("HHHH", rows, columns, 0, 0))

    def signal(self, number: int) -> None:
        """Send the program a signal."""
        os.kill(self.pid, number)

    def wait(self, timeout: float = 10.0) -> int:
        """The program's exit status as a shell gives it, once it has ended and its last output is read."""
        if not self.wait_until(lambda: self.status is not None, timeout):
            raise TimeoutError(f"still running after {timeout} s; the screen:\n" + "\n".join(self.screen()))
        self.settle(0.02)
        assert self.status is not None
        return self.status

    def idle(self, seconds: float) -> Idle:
        """Touch nothing for so long, and tell what the program used and sent."""
        began, cpu, sent = time.monotonic(), cpu_seconds(self.pid), len(self.output)
        self.watch(seconds)
        return Idle(time.monotonic() - began, cpu_seconds(self.pid) - cpu, len(self.output) - sent)

    def not_as_found(self) -> list[str]:
        """What the program left changed in the terminal: modes as its output switched them, and the line settings."""
        on = {number: at_rest for number, (at_rest, _) in MODES.items()}
        keyboard = 0
        for numbers, switch, stack in (match.groups() for match in MODE_SWITCH.finditer(self.output)):
            if stack:
                keyboard = max(0, keyboard + (1 if stack == b">" else -1))
                continue
            for number in numbers.split(b";"):
                on[number] = switch == b"h"
        left = [
            f"{what} ({number.decode()}) is left {'on' if on[number] else 'off'}"
            for number, (at_rest, what) in MODES.items()
            if on[number] != at_rest
        ]
        left += [f"mode {number.decode()} is left on" for number, is_on in on.items() if is_on and number not in MODES]
        if keyboard:
            left.append(f"{keyboard} keyboard mode(s) are left pushed")
        now = termios.tcgetattr(self._slave)
        left += [
            f"the line's {name} changed"
            for name, is_now, was in zip(TERMIOS_FIELDS, now, self._found, strict=True)
            if is_now != was
        ]
        return left


@contextmanager
def painted(
    command: Sequence[str],
    marker: str,
    *,
    columns: int = 120,
    rows: int = 36,
    env: Mapping[str, str] | None = None,
    timeout: float = 20.0,
) -> Iterator[Terminal]:
    """A program whose screen shows a marker and has fallen quiet."""
    with Terminal(command, columns=columns, rows=rows, env=env) as terminal:
        terminal.wait_for(marker, timeout)
        terminal.settle(0.3)
        yield terminal
