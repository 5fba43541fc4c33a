"""`bayhand ROOM`: the screen."""

from __future__ import annotations

import argparse
import os
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from model.text.clean import shown
from tui.cli.ending import tell_fault
from tui.cli.read_ahead import CannotRead, begin_reading
from tui.cli.status import OK, UNFORESEEN, UNUSABLE, say

if TYPE_CHECKING:
    from model.record.room_file import RoomFile

NEW = "new"  # in place of a record's name: begin one
BARE_LOCALES = ("C", "POSIX")
COERCED = ("C.UTF-8", "C.utf8", "UTF-8")  # what Python sets LC_CTYPE to, PEP 538


def arguments(parser: argparse.ArgumentParser) -> None:
    """The command's arguments."""
    parser.add_argument("room", metavar="ROOM", help="a room file")
    ground = parser.add_mutually_exclusive_group()
    ground.add_argument("--dark", action="store_true", help="for a dark terminal (this is the default)")
    ground.add_argument("--light", action="store_true", help="for a light terminal")
    parser.add_argument(
        "--ascii",
        action="store_true",
        help="draw with ASCII characters alone (where the terminal has no others this is the default)",
    )
    parser.add_argument(
        "--no-house", action="store_true", help="begin a new record without the house patch: no cord is plugged"
    )
    parser.add_argument(
        "--logbook", metavar="PATH", type=Path, help="the record, in place of the one in the user's state directory"
    )
    parser.add_argument(
        "--record",
        metavar="NAME",
        help="where the room file was moved or renamed: the record to go on with, or `new` to begin one",
    )
    parser.add_argument("--seat", metavar="NAME", help="who types here, for the record and for other seats")


def unfit_terminal() -> str:
    """Why the screen cannot be drawn here; empty where it can. The screen is drawn on standard error."""
    if not all(stream is not None and stream.isatty() for stream in (sys.stdin, sys.stderr)):
        return "the screen needs a terminal for its input and output; `bayhand rehearse` and `bayhand check` do without"
    if os.environ.get("TERM", "") in ("", "dumb"):
        return "this terminal (TERM=dumb) cannot draw a screen; `bayhand rehearse` and `bayhand check` do without"
    return ""


def plain_terminal() -> bool:
    """Whether the terminal cannot show more than ASCII: its encoding is not Unicode, or it is a bare console.

    Python takes the locale "C" for UTF-8 (PEP 538, PEP 540), and says so in LC_CTYPE: what the person set is asked for.
    Where nothing is set, nothing is known against UTF-8.
    """
    if not (sys.stderr.encoding or "").lower().startswith("utf") or os.environ.get("TERM") == "linux":
        return True
    said = [os.environ.get(name, "") for name in ("LC_ALL", "LC_CTYPE", "LANG")]  # in this order, POSIX 8.2
    if said[1] in COERCED and said[2] in BARE_LOCALES:
        said[1] = ""  # by Python's own hand
    locale = next(filter(None, said), "")
    return locale in BARE_LOCALES or ("." in locale and "UTF8" not in locale.upper().replace("-", ""))


def not_text(name: str) -> bool:
    """Whether a file's name has bytes that are no UTF-8: Python keeps them as halves of surrogate pairs (PEP 383)."""
    return any("\ud800" <= character <= "\udfff" for character in name)


def not_settled(file: RoomFile, record: str | None) -> str:
    """What must be decided first, where the room file was moved and a record of its old place fits; else empty.

    Takes the record along that was asked for. Raises CannotKeep where that cannot be done.
    """
    from model.record.moved_room import records_left_of, take_along

    if record == NEW:
        return ""
    left = {each.name: each for each in records_left_of(file)}
    if record is None:
        if not left:
            return ""
        offered = "\n".join(f"  {each.words}\n    --record {each.name} goes on with it" for each in left.values())
        return f"nothing is recorded of {file.path} yet, but this may be its record:\n{offered}\n  --record {NEW} begins one"
    if record not in left:
        known = f": {', '.join(left)}" if left else ""
        return f"there is no record {record} of a room {file.room.name} whose file is gone{known}"
    take_along(left[record], file)
    return ""


def run(args: argparse.Namespace) -> int:
    """Open the screen; 2 where there is no terminal or the room file cannot be used."""
    reason = unfit_terminal()
    if reason:
        say(f"bayhand: {reason}")
        return UNUSABLE
    taken = begin_reading(Path(args.room))
    from model.record.faults import CannotKeep, NotThisOne
    from model.record.recorded_session import RecordedSession
    from tui.screen.app import BayApp

    try:
        file, at_rest = taken()
    except CannotRead as problem:
        say(str(problem))
        return UNUSABLE
    if not_text(str(file.path.resolve())):
        say(f"bayhand: the name {file.path.resolve()} is not UTF-8, and the record could not tell it: rename it")
        return UNUSABLE
    try:
        if args.logbook is None and (open_question := not_settled(file, args.record)):
            say(f"bayhand: {open_question}")
            return UNUSABLE
        seat = None if args.seat is None else shown(args.seat)
        record = RecordedSession.open(file, args.logbook, seat, at_rest)
    except (NotThisOne, CannotKeep) as problem:
        say(f"bayhand: {shown(str(problem))}")
        return UNUSABLE
    app = BayApp(
        record.session,
        ascii_only=args.ascii or plain_terminal(),
        light=args.light,
        house=not args.no_house,
        record=record,
    )
    try:
        app.run()
    finally:
        record.close()
    if app.fault:
        tell_fault(app.fault)
        return UNFORESEEN
    return app.return_code or OK
