"""`bayhand strips ROOM [--bay NAME] [--shapes] --as html|svg|json`."""

from __future__ import annotations

import argparse
import json
from collections.abc import Callable

from model.bench.strips.strip_page import as_html, as_svg
from model.bench.strips.strips import Strip, as_dict, strips_of, words_before_printing
from model.room.wiring import Room
from model.text.clean import shown
from tui.cli.bays_named import bays_named
from tui.cli.opening import open_room
from tui.cli.output import add_form, write_out
from tui.cli.status import OK, UNUSABLE, say

WRITERS: dict[str, Callable[[Room, list[Strip]], str]] = {
    "html": as_html,
    "svg": as_svg,
    "json": lambda room, strips: json.dumps(as_dict(strips), ensure_ascii=False) + "\n",
}


def arguments(parser: argparse.ArgumentParser) -> None:
    """The command's arguments."""
    parser.add_argument("room", metavar="ROOM", help="a room file")
    parser.add_argument("--bay", metavar="NAME", help="one bay alone")
    parser.add_argument("--shapes", action="store_true", help="beside each number the shape of its kind of normal")
    add_form(parser, tuple(WRITERS), "a page to print, a drawing, or what stands where")


def run(args: argparse.Namespace) -> int:
    """Print the strips; what does not fit is said first."""
    room = open_room(args.room)
    if room is None:
        return UNUSABLE
    bays = bays_named(room, args.bay)
    if not bays:
        return UNUSABLE
    strips = strips_of(room, bays, shapes=args.shapes)
    for words in words_before_printing(strips):
        say(shown(words))
    write_out(WRITERS[args.form](room, strips))
    return OK
