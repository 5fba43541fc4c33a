"""The record on the screen: its last entries, each with its time and seat, and what it did."""

from __future__ import annotations

import json
from collections.abc import Iterator
from datetime import UTC, datetime
from typing import TYPE_CHECKING

from model.live.told import CLEARED
from tui.screen.ink import Ink, Piece
from tui.screen.told_words import SAYINGS, Item

if TYPE_CHECKING:
    from model.record.recorded import Recorded
    from model.record.recorded_session import RecordedSession

MAX_ENTRIES = 500  # entries; `bayhand log` prints them all
HANG = 4
CORD = "cord"  # what is told of an entry first: the numbers of the cords that it handled


def record_entries(record: RecordedSession | None, ink: Ink) -> list[Item]:
    """The last entries of the record, oldest first. Times are those of the place where they are read."""
    if record is None:
        return [Item([Piece("no record is kept of this session", "faint")])]
    entries: list[Item] = []
    day = ""
    for recorded in record.recorded(MAX_ENTRIES):
        at = datetime.fromtimestamp(recorded.at / 1000, UTC).astimezone() if recorded.at else None
        if at is not None and f"{at:%Y-%m-%d}" != day:
            day = f"{at:%Y-%m-%d}"
            entries.append(Item([Piece(day, "title")]))
        entries += _told(recorded, at, ink)
    return entries or [Item([Piece("nothing is recorded yet", "faint")])]


def _told(recorded: Recorded, at: datetime | None, ink: Ink) -> Iterator[Item]:
    seat = f" {recorded.seat}" if recorded.seat else ""
    time = "--:--:--" if at is None else f"{at:%H:%M:%S}"
    when = Piece(f"{time}{seat}  ", "faint")
    if not recorded.typed:  # a remark of the program
        yield Item([when, Piece(recorded.entry)], HANG)
        return
    told = json.loads(recorded.told)
    cord = "".join(f"  {each['words']}" for each in told if each["kind"] == CORD)
    yield Item([when, Piece(recorded.typed, "strong"), Piece(cord, "plugged")], HANG)
    if recorded.entry != recorded.typed:
        yield Item([Piece(f"  = {recorded.entry}", "faint")], HANG)
    for each in told:
        if each["kind"] in SAYINGS:
            saying = SAYINGS[each["kind"]]
            severity = each.get("severity", "")
            mark = severity if severity and each["kind"] != CLEARED else saying.mark
            verb = f"{saying.word} " if saying.word else ""
            indent = " " * (1 + each.get("indent", 0))
            yield Item([Piece("  "), ink.mark(mark), Piece(f"{indent}{verb}", "faint"), Piece(each["words"])], HANG)
