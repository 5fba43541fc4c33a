"""`bayhand normals ROOM [--as text|md|html|csv|json]`: every pair, its normal, the kind advised, and why."""

from __future__ import annotations

import argparse
import json
from datetime import datetime

from model.bench.survey import as_json, survey
from model.room.wiring import Room
from tui.cli.opening import open_room
from tui.cli.output import add_form, write_out
from tui.cli.status import OK, UNUSABLE

FORMS = ("text", "html", "md", "csv", "json")


def arguments(parser: argparse.ArgumentParser) -> None:
    """The command's arguments."""
    parser.add_argument("room", metavar="ROOM", help="a room file")
    add_form(parser, FORMS, "html: to print; md: text with tables; csv: a spreadsheet; json: one object a pair")


def run(args: argparse.Namespace) -> int:
    """Print the survey. Advice is no finding: `check` tells of those."""
    room = open_room(args.room)
    if room is None:
        return UNUSABLE
    write_out(_written(room, args.form))
    return OK


def _written(room: Room, form: str) -> str:
    found = survey(room)
    if form == "json":
        return "".join(f"{json.dumps(as_json(room, one), ensure_ascii=False)}\n" for one in found)
    from model.bench.pages.normals_sheet import normals_csv, normals_sheet, normals_text
    from model.paper.sheet_writers import WRITERS

    if form == "text":
        return normals_text(room, found)
    if form == "csv":
        return normals_csv(room, found)
    return WRITERS[form](normals_sheet(room, found, datetime.now().strftime("%Y-%m-%d %H:%M")))
