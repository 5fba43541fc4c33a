"""A copy of the record's count in a file beside it: what is gone from the record with its write-ahead log is missed by this.

It is not flushed, so it costs an entry nothing that counts; where it lags behind, nothing is told that is not so.
"""

from __future__ import annotations

import json
import os
from pathlib import Path
from typing import NamedTuple

from model.record.checksum import chained

LENGTH = 256  # bytes: always as many, so that it is written over in one piece


class Beside(NamedTuple):
    """What stands beside a logbook."""

    identity: str  # of the logbook that it counts
    entries: int  # how many it has
    last: int  # the number of the last entry
    at: int  # its time, milliseconds since 1970-01-01 UTC


def beside_place(logbook: Path) -> str:
    """Where the count of a logbook stands."""
    return f"{logbook}-count"


def write_beside(logbook: Path, counted: Beside) -> None:
    """Write the count. Raises OSError where that cannot be: the record itself is kept all the same."""
    text = json.dumps([*counted, chained("", counted)])
    file = os.open(beside_place(logbook), os.O_WRONLY | os.O_CREAT, 0o600)
    try:
        os.pwrite(file, text.ljust(LENGTH).encode(), 0)
    finally:
        os.close(file)


def read_beside(logbook: Path) -> Beside | None:
    """The count; None where there is none, or it cannot be trusted."""
    try:
        *values, total = json.loads(Path(beside_place(logbook)).read_bytes()[:LENGTH])
        counted = Beside(*values)
    except (OSError, ValueError, TypeError, RecursionError):
        return None
    return counted if total == chained("", counted) else None
