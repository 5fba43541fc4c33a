"""`bayhand ROOM`: the screen."""

from __future__ import annotations

import argparse
import os
import sys
from pathlib import Path

from model.text.clean import shown
from tui.cli.read_ahead import CannotRead, begin_reading
from tui.cli.status import OK, UNUSABLE, say


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
    parser.add_argument("--seat", metavar="NAME", help="who types here, for the record and for other seats")


def unfit_terminal() -> str:
    """Why the screen cannot be drawn here; empty where it can. The screen is drawn on standard error."""
    if not (sys.stdin.isatty() and sys.stderr.isatty()):
        return "the screen needs a terminal for its input and output; `bayhand rehearse` and `bayhand check` do without"
    if os.environ.get("TERM", "") in ("", "dumb"):
        return "this terminal (TERM=dumb) cannot draw a screen; `bayhand rehearse` and `bayhand check` do without"
    return ""


def plain_terminal() -> bool:
    """Whether the terminal cannot show more than ASCII: its encoding is not Unicode, or it is a bare console."""
    return not (sys.stderr.encoding or "").lower().startswith("utf") or os.environ.get("TERM") == "linux"


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
    try:
        record = RecordedSession.open(file, args.logbook, args.seat, at_rest)
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
    return app.return_code or OK


def tell_fault(fault: str) -> None:
    """Say that the program failed, and where what is needed to mend it was written."""
    import tempfile  # nothing else needs it, and it is slow to load

    said = "bayhand: this is a fault of the program, not of what was typed"
    try:
        with tempfile.NamedTemporaryFile("w", prefix="bayhand-fault-", suffix=".txt", delete=False) as file:
            file.write(fault)
    except OSError as problem:
        say(f"{said}; its traces could not be written ({problem})")
    else:
        say(f"{said}; its traces are in {file.name}")
