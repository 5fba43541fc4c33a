"""`bayhand compare-rooms OLD NEW [--json]`."""

from __future__ import annotations

import argparse
import json
from pathlib import Path

from model.bench.compared.compare_rooms import compare_rooms, comparison_lines
from model.record.room_file import read_room_file
from model.room.file import RoomFileErrors, UnreadableFile
from model.text.clean import shown
from tui.cli.opening import open_room
from tui.cli.output import write_out
from tui.cli.saved_patches import saved_patches
from tui.cli.status import FOUND, OK, UNUSABLE, say


def arguments(parser: argparse.ArgumentParser) -> None:
    """The command's arguments."""
    parser.add_argument("old", metavar="OLD", help="a room file; the patches saved in its record are compared too")
    parser.add_argument("new", metavar="NEW", help="another")
    parser.add_argument("--logbook", metavar="PATH", type=Path, help="where OLD's saved patches are looked for")
    parser.add_argument("--json", action="store_true", help="print one JSON object")


def run(args: argparse.Namespace) -> int:
    """Print what differs; 1 where anything does."""
    try:
        old = read_room_file(args.old)
    except (UnreadableFile, RoomFileErrors) as problem:
        say(str(problem))
        return UNUSABLE
    new = open_room(args.new)
    if new is None:
        return UNUSABLE
    found = compare_rooms(old.room, new, saved_patches(old, args.logbook))
    if args.json:
        write_out(json.dumps(found.to_dict(), ensure_ascii=False) + "\n")
    else:
        write_out("\n".join(map(shown, comparison_lines(found))) + "\n")
    return OK if found.same else FOUND
