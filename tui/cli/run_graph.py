"""`bayhand graph ROOM --as graphml|json`."""

from __future__ import annotations

import argparse

from model.bench.tables.graph import WRITERS
from tui.cli.opening import open_room
from tui.cli.output import add_form, write_out
from tui.cli.status import OK, UNUSABLE


def arguments(parser: argparse.ArgumentParser) -> None:
    """The command's arguments."""
    parser.add_argument("room", metavar="ROOM", help="a room file")
    add_form(parser, tuple(WRITERS), "a graph for other programs")


def run(args: argparse.Namespace) -> int:
    """Print the graph."""
    room = open_room(args.room)
    if room is None:
        return UNUSABLE
    write_out(WRITERS[args.form](room))
    return OK
