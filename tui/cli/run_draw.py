"""`bayhand draw ROOM [--bay NAME] --as html|svg|json`."""

from __future__ import annotations

import argparse
import json
from collections.abc import Callable

from model.bench.strips.draw import as_dict, as_html, as_svg
from model.room.wiring import Bay, Room
from tui.cli.bays_named import bays_named
from tui.cli.opening import open_room
from tui.cli.output import add_form, write_out
from tui.cli.status import OK, UNUSABLE

WRITERS: dict[str, Callable[[Room, tuple[Bay, ...]], str]] = {
    "html": as_html,
    "svg": as_svg,
    "json": lambda room, bays: json.dumps(as_dict(room, bays), ensure_ascii=False) + "\n",
}


def arguments(parser: argparse.ArgumentParser) -> None:
    """The command's arguments."""
    parser.add_argument("room", metavar="ROOM", help="a room file")
    parser.add_argument("--bay", metavar="NAME", help="one bay alone")
    add_form(parser, tuple(WRITERS), "a page to print, a drawing, or what is drawn")


def run(args: argparse.Namespace) -> int:
    """Print the drawing."""
    room = open_room(args.room)
    bays = bays_named(room, args.bay) if room is not None else ()
    if room is None or not bays:
        return UNUSABLE
    write_out(WRITERS[args.form](room, bays))
    return OK
