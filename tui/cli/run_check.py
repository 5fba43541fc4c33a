"""`bayhand check ROOM [--json]`."""

from __future__ import annotations

import argparse
from pathlib import Path

from model.check import as_json, as_text, check_whole, errors_json
from model.room.file import RoomFileErrors, UnreadableFile, read_room
from model.text.clean import shown
from model.text.json_text import json_text
from tui.cli.status import FOUND, OK, UNUSABLE, say


def arguments(parser: argparse.ArgumentParser) -> None:
    """The command's arguments."""
    parser.add_argument("room", metavar="ROOM", help="a room file")
    parser.add_argument("--json", action="store_true", help="print one JSON object")


def run(args: argparse.Namespace) -> int:
    """Read the file and check it; 1 where there is anything to report."""
    try:
        room = read_room(Path(args.room))
    except UnreadableFile as problem:
        say(str(problem))
        return UNUSABLE
    except RoomFileErrors as problem:
        if args.json:
            print(json_text(errors_json(problem.errors)))
        else:
            print(problem)
        return FOUND
    findings, accepted = check_whole(room)
    if args.json:
        print(json_text(as_json(room, findings, accepted)))
    else:
        print("\n".join(shown(line) for line in as_text(args.room, room, findings, accepted)))
    return FOUND if findings else OK
