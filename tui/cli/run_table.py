"""`bayhand table ROOM`."""

from __future__ import annotations

import argparse

from model.bench.tables.table import as_csv
from tui.cli.opening import open_room
from tui.cli.output import write_out
from tui.cli.status import OK, UNUSABLE


def arguments(parser: argparse.ArgumentParser) -> None:
    """The command's arguments."""
    parser.add_argument("room", metavar="ROOM", help="a room file")


def run(args: argparse.Namespace) -> int:
    """Print the room as a table for a spreadsheet, in UTF-8 with its mark."""
    room = open_room(args.room)
    if room is None:
        return UNUSABLE
    # with the mark a spreadsheet takes the file for UTF-8; without it, for whatever its computer is set to
    write_out(f"\ufeff{as_csv(room)}")
    return OK
