"""The entries of a script or of standard input, one after another as they come, however many and however long."""

from __future__ import annotations

import sys
from codecs import getincrementaldecoder
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import BinaryIO, NamedTuple

from model.commands.reading import MAX_CHARACTERS

STANDARD_INPUT = "-"
AT_ONCE = 16_384  # bytes: more than any entry has that is typed


class CannotReadScript(Exception):
    """A script cannot be opened or read; the message says why."""


class TooLong(NamedTuple):
    """An entry that is longer than any may be: how it begins, its characters, and how many it may have."""

    beginning: str
    length: int
    longest: int


@contextmanager
def script(path: str | None) -> Iterator[Iterator[str | TooLong]]:
    """The entries of a file, or of standard input for ``-`` or no path. Raises CannotReadScript, also while they come."""
    if path is None or path == STANDARD_INPUT:
        if sys.stdin is None:
            raise CannotReadScript("cannot read the script on standard input: it is closed")
        yield _entries(sys.stdin.buffer, "on standard input")
        return
    try:
        stream = Path(path).open("rb")  # noqa: SIM115 (what is read meanwhile fails for other reasons)
    except (OSError, ValueError) as problem:
        why = getattr(problem, "strerror", None) or problem
        raise CannotReadScript(f"cannot read the script {path}: {why}") from problem
    with stream:
        yield _entries(stream, path)


def _entries(stream: BinaryIO, name: str) -> Iterator[str | TooLong]:
    number = 0
    try:
        while entry := stream.readline(AT_ONCE):
            number += 1
            yield entry.decode("utf-8").rstrip("\r\n") if entry.endswith(b"\n") else _long_entry(entry, stream)
    except UnicodeDecodeError as problem:
        raise CannotReadScript(
            f"cannot read the script {name}: entry {number} is not UTF-8 ({problem.reason})"
        ) from None
    except OSError as problem:
        raise CannotReadScript(f"cannot read the script {name}: {problem.strerror}") from problem


def _long_entry(entry: bytes, stream: BinaryIO) -> str | TooLong:
    """The rest of an entry, as far as it may go; what is beyond is counted and kept nowhere."""
    decoder = getincrementaldecoder("utf-8")()
    text = decoder.decode(entry)
    count = len(text)
    while not entry.endswith(b"\n") and (entry := stream.readline(AT_ONCE)):
        more = decoder.decode(entry).rstrip("\r\n")
        count += len(more)
        if count <= MAX_CHARACTERS:
            text += more
    decoder.decode(b"", final=True)
    return TooLong(text, count, MAX_CHARACTERS) if count > MAX_CHARACTERS else text
