"""The record on the screen: its last entries, each with its time and seat, and what it did."""

from __future__ import annotations

import json
from collections.abc import Iterator
from datetime import UTC, datetime
from typing import TYPE_CHECKING

from model.live.words import CAUTION, RAISED, SAID
from tui.screen.ink import Ink, Piece
from tui.screen.line_words import SAYINGS, Entry

if TYPE_CHECKING:
    from model.record.kept_session import KeptSession
    from model.record.logbook import Entry as Recorded

MOST = 500  # entries; `bayhand log` prints them all
HANG = 4


def record_entries(kept: KeptSession | None, ink: Ink) -> list[Entry]:
    """The last entries of the record, oldest first. Times are those of the place where they are read."""
    if kept is None:
        return [Entry([Piece("no record is kept of this session", "faint")])]
    entries: list[Entry] = []
    day = ""
    for recorded in kept.recorded(MOST):
        at = datetime.fromtimestamp(recorded.at / 1000, UTC).astimezone()
        if f"{at:%Y-%m-%d}" != day:
            day = f"{at:%Y-%m-%d}"
            entries.append(Entry([Piece(day, "title")]))
        entries += _told(recorded, at, ink)
    return entries or [Entry([Piece("nothing is recorded yet", "faint")])]


def _told(recorded: Recorded, at: datetime, ink: Ink) -> Iterator[Entry]:
    seat = f" {recorded.seat}" if recorded.seat else ""
    when = Piece(f"{at:%H:%M:%S}{seat}  ", "faint")
    if not recorded.typed:  # a remark of the program
        yield Entry([when, Piece(recorded.line)], HANG)
        return
    did = json.loads(recorded.did)
    cord = "".join(f"  #{text}" for kind, text in did if kind == "cord")
    yield Entry([when, Piece(recorded.typed, "strong"), Piece(cord, "plugged")], HANG)
    if recorded.line != recorded.typed:
        yield Entry([Piece(f"  = {recorded.line}", "faint")], HANG)
    for kind, text in did:
        if kind in SAYINGS:
            # how bad a warning was is not in the record: its words tell
            mark = "said" if kind in (RAISED, CAUTION) else SAYINGS[kind].mark
            verb = "" if kind == SAID else f"{SAYINGS[kind].did} "
            yield Entry([Piece("  "), ink.mark(mark), Piece(f" {verb}", "faint"), Piece(text)], HANG)
