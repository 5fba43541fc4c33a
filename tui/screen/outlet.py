"""What is written to the terminal, by a thread of its own: nobody ever waits for a terminal that is not read."""

from __future__ import annotations

import os
import select
import threading
from collections.abc import Callable

MAX_WAITING = 1 << 18  # characters: with more the screen draws nothing until they are gone
SLICE = 4096  # bytes, what the kernel's buffer of a terminal takes about
LAST_WAIT = 0.5  # seconds in which a terminal must take the last of it


class Outlet(threading.Thread):
    """Text in, bytes out. It can be told everything at any time, and forgets it where the terminal has gone."""

    def __init__(self, fileno: int, encoding: str, *, gone: Callable[[], None], free: Callable[[], None]) -> None:
        """``gone`` is called once the terminal takes nothing any more, ``free`` whenever all has been written."""
        super().__init__(name="bayhand-output", daemon=True)
        self._fileno = fileno
        self._encoding = encoding
        self._gone, self._free = gone, free
        # a signal's handler may write while its thread is within: the lock may be taken twice
        self._changed = threading.Condition(threading.RLock())
        self._texts: list[str] = []
        self._size = 0
        self._ending = False
        self._lost = False

    @property
    def is_behind(self) -> bool:
        """Whether so much waits that a further frame would only be late."""
        return self._size > MAX_WAITING

    def put(self, text: str) -> None:
        """Write a text as soon as the terminal takes it."""
        with self._changed:
            if not self._lost:
                self._texts.append(text)
                self._size += len(text)
                self._changed.notify()

    def finish(self) -> None:
        """Write what waits, if the terminal takes it soon, and end."""
        with self._changed:
            self._ending = True
            self._changed.notify()
        self.join(LAST_WAIT)

    def run(self) -> None:
        """Write until the end."""
        while text := self._next():
            try:
                self._write(text.encode(self._encoding, "replace"))
            except OSError:
                # EIO: the terminal was closed (termios(3)). There is nobody left to tell but the program itself.
                with self._changed:
                    self._lost = True
                    self._texts.clear()
                    self._size = 0
                self._gone()
                return
            with self._changed:
                self._size -= len(text)
                all_written = not self._size
            if all_written:
                self._free()

    def _next(self) -> str:
        """All that waits, in one piece; empty at the end."""
        with self._changed:
            while not self._texts and not self._ending:
                self._changed.wait()
            text = "".join(self._texts)
            self._texts.clear()
            return text

    def _write(self, data: bytes) -> None:
        left = memoryview(data)
        writable = select.poll()
        writable.register(self._fileno, select.POLLOUT)
        while left:
            if writable.poll(1000 * LAST_WAIT):
                left = left[os.write(self._fileno, left[:SLICE]) :]
            elif self._ending:
                return
