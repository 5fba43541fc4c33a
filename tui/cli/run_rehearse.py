"""`bayhand rehearse ROOM [SCRIPT] [--json] [--house]`."""

from __future__ import annotations

import argparse
import sys
from itertools import chain
from pathlib import Path

from model.rehearse import as_json, as_text, at_rest_json, at_rest_text, json_line, play, play_house
from model.session import Session
from model.text.clean import shown
from tui.cli.opening import open_room
from tui.cli.status import FOUND, OK, UNUSABLE, say


def arguments(parser: argparse.ArgumentParser) -> None:
    """The command's arguments."""
    parser.add_argument("room", metavar="ROOM", help="a room file")
    parser.add_argument(
        "script", metavar="SCRIPT", nargs="?", help="typed lines, one a line; standard input without it"
    )
    parser.add_argument("--json", action="store_true", help="print one JSON object a line")
    parser.add_argument("--house", action="store_true", help="plug the house patch first")


def run(args: argparse.Namespace) -> int:
    """Play the script; 1 where a line was refused."""
    room = open_room(args.room)
    if room is None:
        return UNUSABLE
    try:
        text = Path(args.script).read_text("utf-8") if args.script else sys.stdin.buffer.read().decode("utf-8")
    except (OSError, ValueError) as problem:
        say(f"cannot read the script {args.script or 'on standard input'}: {problem}")
        return UNUSABLE
    session = Session(room)
    if args.json:
        print(json_line(at_rest_json(session)))
    else:
        print("\n".join(shown(line) for line in at_rest_text(session)))
    refused = False
    house = play_house(session) if args.house else ()
    for played in chain(house, play(session, text.split("\n"))):
        refused = refused or not played.outcome.ok
        if args.json:
            print(json_line(as_json(played)))
        else:
            print("\n".join(shown(line) for line in as_text(played)))
    return FOUND if refused else OK
