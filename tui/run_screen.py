"""`bayhand ROOM`: the screen."""

from __future__ import annotations

import argparse
import gc
import os
import sys

from tui.opening import OK, UNUSABLE, open_room, say


def arguments(parser: argparse.ArgumentParser) -> None:
    """The command's arguments."""
    parser.add_argument("room", metavar="ROOM", help="a room file")
    ground = parser.add_mutually_exclusive_group()
    ground.add_argument("--dark", action="store_true", help="for a dark terminal (this is the default)")
    ground.add_argument("--light", action="store_true", help="for a light terminal")
    parser.add_argument("--ascii", action="store_true", help="draw with ASCII characters alone")
    parser.add_argument("--no-house", action="store_true", help="begin without the house patch: no cord is plugged")


def unfit_terminal() -> str:
    """Why the screen cannot be drawn here; empty where it can. The screen is drawn on standard error."""
    if not (sys.stdin.isatty() and sys.stderr.isatty()):
        return "the screen needs a terminal for its input and output; `bayhand rehearse` and `bayhand check` do without"
    if os.environ.get("TERM", "") in ("", "dumb"):
        return "this terminal (TERM=dumb) cannot draw a screen; `bayhand rehearse` and `bayhand check` do without"
    return ""


def run(args: argparse.Namespace) -> int:
    """Open the screen; 2 where there is no terminal or the room file cannot be used."""
    reason = unfit_terminal()
    if reason:
        say(f"bayhand: {reason}")
        return UNUSABLE
    # Nothing that is made before the first frame is rubbish: looking for some would only hold the frame up.
    gc.disable()
    room = open_room(args.room)
    if room is None:
        return UNUSABLE
    from model.session import Session
    from tui.app import BayApp

    app = BayApp(Session(room), ascii_only=args.ascii, light=args.light, house=not args.no_house)
    app.run()
    return app.return_code or OK
