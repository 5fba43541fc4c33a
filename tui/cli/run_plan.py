"""`bayhand plan ROOM ENTRY... [-o NEW] [--write] [--json]`: wiring changed on paper, without a screen."""

from __future__ import annotations

import argparse
import json
from pathlib import Path

from model.bench.plan import Plan, as_json, make_plan
from model.bench.plan_words import plan_words
from model.bench.room_text import CannotSplice, text_with_normals
from model.record.room_file import RoomFile
from model.room.file import RoomFileErrors, UnreadableFile, parse_room
from model.room.file.reader import file_text
from model.text.clean import shown
from model.text.replacing import NotReplaced, replace_file, write_new_file
from tui.cli.output import write_out
from tui.cli.saved_patches import saved_patches
from tui.cli.status import FOUND, OK, UNUSABLE, say


def arguments(parser: argparse.ArgumentParser) -> None:
    """The command's arguments."""
    parser.add_argument("room", metavar="ROOM", help="a room file: what the rack is")
    parser.add_argument(
        "entries",
        metavar="ENTRY",
        nargs="+",
        help="'normal C1-16 half', 'normal C5 none', 'cross A9 to B11 half'; other entries are tried on the new wiring",
    )
    parser.add_argument("-o", dest="new", metavar="NEW", help="write the planned room to a new file")
    parser.add_argument("--write", action="store_true", help="replace ROOM, for a rack that is already so")
    parser.add_argument("--logbook", metavar="PATH", type=Path, help="where the saved patches are looked for")
    parser.add_argument("--json", action="store_true", help="print one JSON object")


def run(args: argparse.Namespace) -> int:
    """Plan; 1 where an entry is refused (nothing is written then), 2 where a file cannot be used or written."""
    try:
        text = file_text(args.room)
        read = Path(args.room).read_bytes()
        room = parse_room(text, args.room)
    except (UnreadableFile, RoomFileErrors) as problem:
        say(str(problem))
        return UNUSABLE
    if read.removeprefix(b"\xef\xbb\xbf") != text.encode():
        say(f"{args.room}: it was changed while it was read: try again")
        return UNUSABLE
    plan = make_plan(room, args.entries)
    saved = saved_patches(RoomFile(Path(args.room), text, room), args.logbook)
    written = False
    if plan.well and (args.write or args.new is not None):
        try:
            _write(args, plan, read)
        except (CannotSplice, NotReplaced) as problem:
            say(shown(str(problem)))
            return UNUSABLE
        written = True
    told = as_json(plan, saved, written)
    if args.json:
        write_out(json.dumps(told, ensure_ascii=False, allow_nan=False) + "\n")
    else:
        lines = plan_words(plan, told)
        if written:
            lines += [f"written: {path}" for path in (args.new, args.room if args.write else None) if path is not None]
        elif args.write or args.new is not None:
            lines.append("nothing is written: an entry was refused")
        write_out("\n".join(map(shown, lines)) + "\n")
    return OK if plan.well else FOUND


def _write(args: argparse.Namespace, plan: Plan, read: bytes) -> None:
    new = text_with_normals(read.decode("utf-8"), plan.room, plan.planned).encode("utf-8")
    if args.new is not None:
        write_new_file(args.new, new)
    if args.write:
        replace_file(args.room, read, new)
