"""The screen through a pseudo terminal, beside a bare Textual app with one Input.

    python -m tests.bench.screen_speed [--studio ROOM] [--facility ROOM] [--size 120x36] [--starts N] [--lines N]
                                       [--idle S]

1. From the program's start to its first painted screen, with the studio room: to the end of the frame that carries the
   room's name. That frame must be the whole screen: its text is compared with the screen once all is quiet.
2. From a key to the end of the frame that shows what the key changed, in the entry and outside of it (the
   preview), with the facility room open: that frame must be the first, the one that echoes the key.
3. What the program uses and sends while nobody touches it.
"""

from __future__ import annotations

import argparse
import random
import statistics
import sys
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

from model.room.file import read_room
from model.room.wiring import NO_PORT, Room
from tests.bench.bare_app import MARKER
from tests.bench.pty_harness import Terminal, environment
from tests.bench.rooms import BARE, COMMAND, FACILITY, ROOT, STUDIO
from tests.bench.table import Figure, report

BAR_START, BAR_KEY, BAR_FRAMES, BAR_IDLE_PERCENT = 1.3, 1.5, 1.0, 0.5
BACKSPACE = "\x7f"
LONGEST_GAP = 0.06  # seconds, between keys, so that they do not beat with the program's own frame clock


@dataclass(frozen=True)
class Program:
    """What is started, and the text by which its first screen is known."""

    command: tuple[str, ...]
    marker: str
    columns: int
    rows: int
    home: Path

    def start(self) -> Terminal:
        """The program under a terminal."""
        return Terminal(self.command, columns=self.columns, rows=self.rows, env=environment(self.home), cwd=ROOT)


@dataclass
class Starts:
    """Milliseconds of each start, and rows of text that the first painted screen lacked at most."""

    painted: list[float] = field(default_factory=list)
    last_frame: list[float] = field(default_factory=list)
    rows_lacking: int = 0

    def add(self, program: Program) -> None:
        """Start once more."""
        with program.start() as terminal:
            painted = terminal.wait_for(program.marker, 30)
            terminal.settle(0.3)
            self.painted.append(painted * 1000)
            self.last_frame.append((terminal.chunks[-1].at - terminal.started) * 1000)
            at = next(chunk.end for chunk in terminal.chunks if chunk.at - terminal.started >= painted)
            first, whole = terminal.screen_after(at), terminal.screen()
            self.rows_lacking = max(self.rows_lacking, sum(a != b for a, b in zip(first, whole, strict=True)))


def starts(ours: Program, bare: Program, count: int) -> list[Figure]:
    """Starts in turns; the first of each, which fills the caches, does not count."""
    of_ours, of_bare = Starts(), Starts()
    for program in (bare, ours):
        Starts().add(program)
    for _ in range(count):
        of_bare.add(bare)
        of_ours.add(ours)
    median = statistics.median
    return [
        Figure("start to first painted screen", median(of_ours.painted), "ms", median(of_bare.painted), BAR_START),
        Figure("  rows that this screen lacked", of_ours.rows_lacking, "", bar=0),
        Figure("  start to last frame", median(of_ours.last_frame), "ms", median(of_bare.last_frame)),
    ]


@dataclass
class Keys:
    """What came of each key."""

    shown: list[float] = field(default_factory=list)  # milliseconds to the frame after which the screen's text stood
    frames: list[int] = field(default_factory=list)
    sent: list[int] = field(default_factory=list)  # bytes
    previews: int = 0  # keys that changed text outside the entry
    late: int = 0  # of these, the ones whose first frame did not show all of it

    def press(self, terminal: Terminal, key: str) -> None:
        """Press one key."""
        before = terminal.screen()
        pressed = terminal.key(key)
        if not pressed.frames:
            raise SystemExit(f"no frame came of the key {key!r}; the screen:\n" + "\n".join(before))
        screens = [terminal.screen_after(frame.end) for frame in pressed.frames]
        stood = screens.index(screens[-1])
        self.shown.append((pressed.frames[stood].at - pressed.sent) * 1000)
        self.frames.append(len(pressed.frames))
        self.sent.append(sum(len(frame.data) for frame in pressed.frames))
        outside = (row for row in range(len(before)) if row != terminal.cursor_row)
        if any(before[row] != screens[-1][row] for row in outside):
            self.previews += 1
            self.late += stood != 0


def lines(room: Room, count: int, seed: int = 3) -> Iterator[str]:
    """Lines that can be typed in a room: an output's jack to an input's, in one place."""
    rng = random.Random(seed)
    wired = [jack for jack in room.jacks if jack.port != NO_PORT]
    outputs = [jack for jack in wired if room.ports[jack.port].kind.name == "line out"]
    for _ in range(count):
        source = rng.choice(outputs)
        place = room.place_of(source.index)
        inputs = [
            jack
            for jack in wired
            if room.ports[jack.port].kind.name == "line in" and room.place_of(jack.index) == place
        ]
        if inputs:
            yield f"{source.address} > {rng.choice(inputs).address}"


def keys(ours: Program, bare: Program, room: Room, count: int) -> list[Figure]:
    """Lines typed and rubbed out, a line in one program and the same line in the other."""
    of_ours, of_bare = Keys(), Keys()
    rng = random.Random(5)
    with ours.start() as our_terminal, bare.start() as bare_terminal:
        for program, terminal in ((ours, our_terminal), (bare, bare_terminal)):
            terminal.wait_for(program.marker, 30)
            terminal.settle(0.5)
        for line in lines(room, count):
            for terminal, into in ((our_terminal, of_ours), (bare_terminal, of_bare)):
                for key in (*line, *[BACKSPACE] * len(line)):
                    terminal.watch(rng.uniform(0, LONGEST_GAP))
                    into.press(terminal, key)
    if not of_ours.previews:
        raise SystemExit("no key changed anything but the entry: there is no preview to time")
    median, mean = statistics.median, statistics.mean
    p95 = [statistics.quantiles(one.shown, n=20)[-1] for one in (of_ours, of_bare)]
    return [
        Figure(
            f"key to its frame, {len(of_ours.shown)} keys", median(of_ours.shown), "ms", median(of_bare.shown), BAR_KEY
        ),
        Figure("  the slowest 5 of 100 over", p95[0], "ms", p95[1]),
        Figure(f"  of {of_ours.previews} previews, after the key's own frame", of_ours.late, "", bar=0),
        Figure("  frames a key", mean(of_ours.frames), "", bar=BAR_FRAMES),
        Figure("  frames a key, bare app", mean(of_bare.frames), ""),
        Figure("  bytes a key", median(of_ours.sent), "", median(of_bare.sent)),
    ]


def idle(ours: Program, bare: Program, seconds: float) -> list[Figure]:
    """Both programs left alone."""
    left = {}
    for program in (ours, bare):
        with program.start() as terminal:
            terminal.wait_for(program.marker, 30)
            terminal.settle(1.0)
            left[program] = terminal.idle(seconds)
    percent = {program: 100 * one.cpu_seconds / one.seconds for program, one in left.items()}
    return [
        Figure(f"idle {seconds:g} s: processor", percent[ours], "%", bar=BAR_IDLE_PERCENT),
        Figure("  processor, bare app", percent[bare], "%"),
        Figure("  bytes sent", left[ours].sent, "", bar=0),
        Figure("  bytes sent, bare app", left[bare].sent, ""),
    ]


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--studio", type=Path, default=STUDIO)
    parser.add_argument("--facility", type=Path, default=FACILITY)
    parser.add_argument("--size", default="120x36", help="columns x rows")
    parser.add_argument("--starts", type=int, default=15)
    parser.add_argument("--lines", type=int, default=8)
    parser.add_argument("--idle", type=float, default=10.0, help="seconds")
    options = parser.parse_args()
    columns, rows = map(int, options.size.split("x"))
    facility = read_room(options.facility)
    with tempfile.TemporaryDirectory() as home:

        def program(command: tuple[str, ...], marker: str) -> Program:
            return Program(command, marker, columns, rows, Path(home))

        bare = program(BARE, MARKER)
        studio = program((*COMMAND, str(options.studio)), read_room(options.studio).name)
        large = program((*COMMAND, str(options.facility)), facility.name)
        figures = [
            *starts(studio, bare, options.starts),
            *keys(large, bare, facility, options.lines),
            *idle(large, bare, options.idle),
        ]
    return report(f"Screen, {options.size}: medians beside the bare app", figures)


if __name__ == "__main__":
    sys.exit(main())
