"""`bayhand log ROOM [--json] [--logbook PATH]`: the record, oldest first."""

from __future__ import annotations

import argparse
import json
from collections.abc import Iterator
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from model.record.beside import Beside
from model.record.faults import CannotKeep, Damaged, NotThisOne
from model.record.logbook import Logbook
from model.record.place import logbook_place
from model.record.recorded import DAMAGED, ENTRY, REMARK, Recorded
from model.record.whole import end_of
from model.text.clean import shown
from model.text.json_text import json_text
from tui.cli.status import FOUND, OK, UNUSABLE, say


def arguments(parser: argparse.ArgumentParser) -> None:
    """The command's arguments."""
    parser.add_argument("room", metavar="ROOM", help="a room file; what it says is not read")
    parser.add_argument("--json", action="store_true", help="print one JSON object an entry")
    parser.add_argument(
        "--logbook", metavar="PATH", type=Path, help="in place of the one in the user's state directory"
    )


def run(args: argparse.Namespace) -> int:
    """Print the record; 1 where something of it is missing or damaged, 2 where it cannot be read."""
    try:
        place = logbook_place(Path(args.room)) if args.logbook is None else args.logbook
        if not place.exists():
            if args.logbook is not None:
                say(f"{shown(str(place))}: there is no such logbook")
                return UNUSABLE
            say(f"nothing is recorded of {shown(args.room)} yet")
            return OK
        with closing(_opened(place, args.logbook is None)) as book:
            beside = book.beside()
            with book.reading():  # another seat may write meanwhile
                entries = list(book.readable())
                missing = _missing_at_end(book, beside)
        for entry in entries:
            for line in [json_text(as_json(entry))] if args.json else as_text(entry):
                print(line)
        for words in missing:
            say(f"{shown(args.room)}: {words}")
    except (CannotKeep, NotThisOne, PermissionError, ValueError) as problem:
        say(f"cannot read the record of {shown(args.room)}: {shown(str(problem))}")
        return UNUSABLE
    whole = not missing and all(entry.kind != DAMAGED for entry in entries)
    return OK if whole else FOUND


def _opened(place: Path, in_own_place: bool) -> Logbook:
    """The logbook; one that is damaged as far as it can be read."""
    try:
        return Logbook.open_to_read(place, in_own_place)
    except Damaged as fault:
        book = Logbook.open_copy(place)
        if book.said_last():
            say(f"{fault.reason}: what can be read of it follows")
            return book
        book.close()
        raise


def _missing_at_end(book: Logbook, beside: Beside | None) -> tuple[str, ...]:
    try:
        chain = book.chain(0)
        for _ in book.entries(0, chain):
            pass
        return end_of(book, chain, 0, beside).words
    except Damaged as fault:
        return (fault.reason,)


def as_json(entry: Recorded) -> dict[str, Any]:
    """The object that `--json` prints for an entry. ``at`` is UTC."""
    return {
        "number": entry.id,
        "at": _time(entry).strftime("%Y-%m-%dT%H:%M:%S.") + f"{entry.at % 1000:03}Z" if entry.at else None,
        "seat": entry.seat,
        "kind": entry.kind if entry.kind in (ENTRY, DAMAGED) else REMARK,
        "typed": entry.typed,
        "entry": entry.entry,
        "told": json.loads(entry.told),
    }


def as_text(entry: Recorded) -> Iterator[str]:
    """An entry to read. The time is that of the place where it is read."""
    time = _time(entry).astimezone().strftime("%Y-%m-%d %H:%M:%S") if entry.at else "no time"
    said = entry.typed if entry.kind == ENTRY else f"({entry.entry})"
    yield shown(f"{entry.id:>6}  {time}  {entry.seat}  {said}".rstrip())
    if entry.kind == ENTRY and entry.entry != entry.typed:
        yield shown(f"        = {entry.entry}")
    for each in json.loads(entry.told):
        severity = f"[{each['severity']}] " if each.get("severity") else ""
        yield shown(f"        {each['kind']} {severity}{each['words']}")


def _time(entry: Recorded) -> datetime:
    return datetime.fromtimestamp(entry.at // 1000, UTC)
