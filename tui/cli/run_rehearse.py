"""`bayhand rehearse ROOM [SCRIPT] [--json] [--house]`: entries answered one by one, as they come."""

from __future__ import annotations

import argparse
from collections.abc import Iterable

from model.rehearse import Played, as_json, as_text, at_rest_json, at_rest_text, play, play_house
from model.session import Session
from model.text.clean import shown
from model.text.json_text import json_text
from tui.cli.opening import open_room
from tui.cli.scripts import CannotReadScript, TooLong, script
from tui.cli.status import FOUND, OK, UNUSABLE, say

BEGINNING = 60  # characters that are shown of an entry that is too long


def arguments(parser: argparse.ArgumentParser) -> None:
    """The command's arguments."""
    parser.add_argument("room", metavar="ROOM", help="a room file")
    parser.add_argument(
        "script", metavar="SCRIPT", nargs="?", help="entries, one a line; standard input for '-' or without it"
    )
    parser.add_argument("--json", action="store_true", help="print one JSON object a line")
    parser.add_argument("--house", action="store_true", help="plug the house patch first")


def run(args: argparse.Namespace) -> int:
    """Play the script; 1 where a line was refused, 2 where the room or the script cannot be read."""
    room = open_room(args.room)
    if room is None:
        return UNUSABLE
    try:
        with script(args.script) as entries:
            return _play(Session(room), entries, args)
    except CannotReadScript as problem:
        say(str(problem))
        return UNUSABLE


def _play(session: Session, entries: Iterable[str | TooLong], args: argparse.Namespace) -> int:
    _tell([json_text(at_rest_json(session))] if args.json else at_rest_text(session))
    refused = False
    for played in play_house(session) if args.house else ():
        refused |= _answer(played, args.json)
    for number, entry in enumerate(entries, start=1):
        if isinstance(entry, TooLong):
            refused = True
            _tell(_too_long(number, entry, args.json))
            continue
        for played in play(session, [entry if number > 1 else entry.removeprefix("\ufeff")]):
            refused |= _answer(played._replace(number=number), args.json)
    return FOUND if refused else OK


def _answer(played: Played, json: bool) -> bool:
    """Tell what a line did; whether it was refused."""
    _tell([json_text(as_json(played))] if json else as_text(played))
    return not played.outcome.ok


def _too_long(number: int, entry: TooLong, json: bool) -> list[str]:
    error = f"an entry has at most {entry.longest} characters, and this one {entry.length}"
    typed = f"{entry.beginning[:BEGINNING]}..."
    if json:
        return [json_text({"line": number, "typed": typed, "ok": False, "error": error})]
    return [f"{number:>4}  {typed}", f"      refused: {error}"]


def _tell(lines: list[str]) -> None:
    """Print an answer at once: whoever typed the line may wait for it before the next."""
    print("\n".join(map(shown, lines)), flush=True)
