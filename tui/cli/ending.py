"""How the program ends: always with a sentence and a status, never with a traceback, whatever its surroundings are."""

from __future__ import annotations

import codecs
import errno
import io
import os
import sys
import traceback
from collections.abc import Callable
from typing import TYPE_CHECKING

from model.text.json_text import escaped
from tui.cli.status import BROKEN_PIPE, INTERRUPTED, UNFORESEEN, UNUSABLE, say

if TYPE_CHECKING:
    from typing_extensions import Buffer

REPLACED = "bayhand.escaped"


class CannotWrite(Exception):
    """Standard output takes nothing; the message says why."""


class _Output(io.RawIOBase):
    """Standard output, whose failures are told apart from those of other files. After one it takes everything."""

    def __init__(self, fileno: int | None) -> None:
        super().__init__()
        self._fileno = fileno
        self._failed = False

    def fileno(self) -> int:
        """Its number."""
        if self._fileno is None:
            raise io.UnsupportedOperation("it is closed")
        return self._fileno

    def writable(self) -> bool:
        """It is."""
        return True

    def isatty(self) -> bool:
        """Whether it is a terminal."""
        return self._fileno is not None and os.isatty(self._fileno)

    def write(self, data: Buffer) -> int:
        """Write. Raises CannotWrite, or BrokenPipeError where its reader has gone."""
        if self._failed:
            return memoryview(data).nbytes  # what is left in a buffer has nowhere to go
        try:
            if self._fileno is None:
                raise OSError(errno.EBADF, "it is closed")
            return os.write(self._fileno, data)
        except OSError as problem:
            self._failed = True
            if isinstance(problem, BrokenPipeError):
                raise
            raise CannotWrite(f"cannot write to standard output: {problem.strerror}") from problem


def _escape(error: UnicodeError) -> tuple[str, int]:
    """A character that the output's encoding does not have, as JSON and people can read it."""
    if not isinstance(error, UnicodeEncodeError):
        raise error
    return escaped(error.object[error.start : error.end]), error.end


def _hold_places() -> None:
    """Where standard input, output or error is closed, keep its number from the next file that is opened."""
    for number in range(3):
        try:
            os.fstat(number)
        except OSError:
            os.open(os.devnull, os.O_RDWR)  # the lowest free number, POSIX open()


def _prepare_streams() -> None:
    codecs.register_error(REPLACED, _escape)
    if sys.stderr is None:
        sys.stderr = io.TextIOWrapper(io.FileIO(os.devnull, "w"), "utf-8", write_through=True)
    if sys.stdout is sys.__stdout__:  # else it is someone's own
        encoding = "utf-8" if sys.stdout is None else sys.stdout.encoding
        raw = _Output(None if sys.stdout is None else sys.stdout.fileno())
        sys.stdout = io.TextIOWrapper(io.BufferedWriter(raw), encoding, REPLACED)


def ended(run: Callable[[], int]) -> int:
    """Run a command; the answer is the exit status, whatever happened."""
    _hold_places()
    found = sys.stdout
    _prepare_streams()
    try:
        return _told(run)
    finally:
        sys.stdout = found


def _told(run: Callable[[], int]) -> int:
    try:
        try:
            return run()
        finally:
            sys.stdout.flush()
    except BrokenPipeError:
        return BROKEN_PIPE
    except CannotWrite as problem:
        say(f"bayhand: {problem}")
        return UNUSABLE
    except KeyboardInterrupt:
        return INTERRUPTED
    except Exception:
        tell_fault(traceback.format_exc())
        return UNFORESEEN


def tell_fault(fault: str) -> None:
    """Say that the program failed, and where what is needed to mend it was written."""
    import tempfile  # nothing else needs it, and it is slow to load

    said = "bayhand: this is a fault of the program, not of what was typed"
    try:
        with tempfile.NamedTemporaryFile(
            "w", encoding="utf-8", errors="replace", prefix="bayhand-fault-", suffix=".txt", delete=False
        ) as file:
            file.write(fault)
    except OSError as problem:
        say(f"{said}; its traces could not be written ({problem})")
    else:
        say(f"{said}; its traces are in {file.name}")
