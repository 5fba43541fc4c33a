"""A terminal that is not read, and one that was closed: the seat ends when asked, by itself when it has lost the terminal.

The gate is the kernel's buffer of the terminal: it is full once the program sleeps with more to write.
"""

from __future__ import annotations

import fcntl
import os
import select
import signal
import struct
import subprocess
import sys
import termios
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.bench.pty_harness import Terminal, cpu_seconds, environment
from tests.bench.rooms import ROOT
from tests.screen_room import ROOM
from tui.screen.outlet import MAX_WAITING

MARKER = "Lantern Room"
SOON = 5.0  # seconds: long against what it takes, short against for ever


@pytest.fixture
def command(tmp_path: Path) -> list[str]:
    """The screen of the small room."""
    room = tmp_path / "lantern.yaml"
    room.write_text(ROOM, "utf-8")
    return [sys.executable, "-m", "tui", str(room), "--no-house"]


@pytest.fixture
def env(tmp_path: Path) -> dict[str, str]:
    """An environment whose home is of this test alone."""
    return {**environment(tmp_path), "PYTHONPATH": str(ROOT)}


@pytest.fixture
def unread(command: list[str], env: dict[str, str]) -> Iterator[Terminal]:
    """A screen whose terminal has taken the first frame and takes nothing more, with far more drawn than it holds."""
    with Terminal(command, columns=200, rows=60, env=env) as terminal:
        terminal.wait_for(MARKER, 20)
        terminal.settle(0.3)
        resize_unread(terminal)
        yield terminal


def resize_unread(terminal: Terminal) -> None:
    """Have the whole screen drawn again and again, and read nothing of it, until the terminal is full."""
    for turn in range(21):
        terminal._set_size(200 - turn % 2, 60)
        # the kernel tells the program of each size; it is asleep again once it has drawn, or cannot
        wait_asleep(terminal.pid)
    assert select.select([terminal._master], [], [], 0)[0], "it has written what is not read"


def wait_asleep(pid: int) -> None:
    """Until the program has used no processor for a moment."""
    used = -1.0
    while used != (used := cpu_seconds(pid)):
        select.select([], [], [], 0.03)


def ended(terminal: Terminal) -> int | None:
    """The status, without reading what the terminal was sent."""
    if select.select([terminal._control], [], [], SOON)[0]:
        terminal.status = terminal._report()["status"]
    return terminal.status


@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGHUP])
def test_an_unread_terminal_does_not_keep_a_seat_from_ending(unread: Terminal, number: signal.Signals) -> None:
    unread.signal(number)
    assert ended(unread) == 128 + number


def test_an_unread_terminal_costs_no_processor_and_shows_all_once_it_is_read(unread: Terminal) -> None:
    before = cpu_seconds(unread.pid)
    os.write(unread._master, b"note unread\r")
    select.select([], [], [], 1.0)
    assert cpu_seconds(unread.pid) - before < 0.5
    assert unread.wait_until(lambda: "noted: unread" in "\n".join(unread.screen()), 10)
    unread.settle(0.3)
    shown = unread.screen()
    unread.resize(199, 60)
    unread.settle(0.3)
    unread.resize(200, 60)  # all is drawn anew: it is what stood there
    unread.settle(0.3)
    assert len(unread.output) < 40 * MAX_WAITING
    assert [line for line in unread.screen() if line] == [line for line in shown if line]


def test_other_seats_do_not_wait_for_one_whose_terminal_is_not_read(
    command: list[str], env: dict[str, str], unread: Terminal
) -> None:
    with Terminal(command, env=env) as other:
        other.wait_for(MARKER, 20)
        other.send("note from the other\r")
        assert other.wait_until(lambda: "noted: from the other" in "\n".join(other.screen()), 10)
    assert unread.status is None


@pytest.mark.parametrize("full", [False, True], ids=["read", "not read"])
def test_a_terminal_that_is_closed_ends_the_seat_by_itself(command: list[str], env: dict[str, str], full: bool) -> None:
    """Without the system's SIGHUP, as for a program whose terminal is not its controlling one: the input ends."""
    master, slave = os.openpty()
    fcntl.ioctl(slave, termios.TIOCSWINSZ, struct.pack("HHHH", 60, 200, 0, 0))
    with subprocess.Popen(command, stdin=slave, stdout=slave, stderr=slave, env=env, start_new_session=True) as program:
        os.close(slave)
        painted = b""
        while MARKER.encode() not in painted:
            painted += os.read(master, 1 << 16)
        os.write(master, b"\x1bOP\x1b" * 20 if full else b"note a")  # help, and Esc: each draws the whole screen
        if full:
            wait_asleep(program.pid)
        os.close(master)
        closed = cpu_seconds(program.pid)
        _, status, used = os.wait4(program.pid, 0)  # for ever, where it does not end
        program.returncode = os.waitstatus_to_exitcode(status)
    assert program.returncode == 128 + signal.SIGHUP
    assert used.ru_utime + used.ru_stime - closed < 2.0
