"""The screen's way to a real terminal: Textual's own, but for what it reads and writes.

Textual's driver ends at the first byte that is no UTF-8, waits within the program's loop for a terminal that is not
read, and spins where the terminal was closed.
"""

from __future__ import annotations

import contextlib
import os
import selectors
import sys
import termios
import traceback
import tty
from collections.abc import Callable
from functools import partial
from typing import Protocol, cast

from textual.drivers.linux_driver import LinuxDriver

from tui.screen.key_reader import KeyReader
from tui.screen.outlet import Outlet

TICK = 0.1  # seconds
SIZE = 4096  # bytes at once


class DrawsOnTerminal(Protocol):
    """What the way to the terminal asks of the program that draws on it."""

    def hang_up(self) -> None:
        """The terminal has gone."""

    def catch_up_drawing(self) -> None:
        """The terminal takes again what is drawn."""

    def draw_anew(self) -> None:
        """The terminal may show anything."""

    def fail(self, trace: str) -> None:
        """Reading it failed."""


class TerminalDriver(LinuxDriver):
    """A terminal that may send anything, take nothing, or vanish."""

    _outlet: Outlet | None = None

    @property
    def is_behind(self) -> bool:
        """Whether the terminal has not taken yet what was drawn before."""
        return self._outlet is not None and self._outlet.is_behind

    @property
    def _program(self) -> DrawsOnTerminal:
        return cast("DrawsOnTerminal", self._app)

    def start_application_mode(self) -> None:
        """Begin to draw."""
        errors = sys.__stderr__
        assert errors is not None, "there is a terminal"
        self._outlet = Outlet(
            errors.fileno(),
            errors.encoding,
            gone=lambda: self._tell(self._program.hang_up),
            free=lambda: self._tell(self._program.catch_up_drawing),
        )
        self._outlet.start()
        super().start_application_mode()  # type: ignore[no-untyped-call]

    def _tell(self, what: Callable[[], None]) -> None:
        """Have something done by the program's loop, from another thread, unless the program has ended meanwhile."""
        with contextlib.suppress(RuntimeError):  # the loop is closed
            self._loop.call_soon_threadsafe(what)

    def write(self, data: str) -> None:
        """Write to the terminal, now or later."""
        if self._outlet is not None:
            self._outlet.put(data)

    def resume_application_mode(self) -> None:
        """Go on after the program was stopped. Where it could not prepare for that, everything still runs.

        A second thread that reads would take keys from the first. A shell may have set the terminal's line since.
        """
        if self._outlet is None:
            super().resume_application_mode()
            return
        with contextlib.suppress(termios.error):  # the terminal has gone, and the system says so in another way
            line = termios.tcgetattr(self.fileno)
            line[tty.LFLAG] = self._patch_lflag(line[tty.LFLAG])
            line[tty.IFLAG] = self._patch_iflag(line[tty.IFLAG])
            line[tty.CC][termios.VMIN] = 1
            termios.tcsetattr(self.fileno, termios.TCSANOW, line)
        self._tell(self._program.draw_anew)

    def close(self) -> None:
        """Write the last of it."""
        if self._outlet is not None:
            self._outlet.finish()
            self._outlet = None
        super().close()

    def _run_input_thread(self) -> None:
        try:
            self.run_input_thread()
        except Exception:
            self._tell(partial(self._program.fail, traceback.format_exc()))

    def run_input_thread(self) -> None:
        """Read what the terminal sends until the screen ends, or the terminal."""
        keys = KeyReader()
        with selectors.DefaultSelector() as selector:
            selector.register(self.fileno, selectors.EVENT_READ)
            while not self.exit_event.is_set():
                if not selector.select(TICK):
                    for message in keys.tick():
                        self.process_message(message)
                    continue
                try:
                    data = os.read(self.fileno, SIZE)
                except OSError:  # EIO: hung up, or in the background of a terminal that is
                    data = b""
                if not data:
                    self._tell(self._program.hang_up)
                    return
                for message in keys.feed(data):
                    self.process_message(message)
