"""`bayhand order NEW [--from OLD] --as html|md|csv|json|text`: the work order at the back of the rack."""

from __future__ import annotations

import argparse
import json
from datetime import datetime

from model.bench.order import NothingInCommon, Order, as_json, first_wiring, make_order
from tui.cli.opening import open_room
from tui.cli.output import add_form, write_out
from tui.cli.status import FOUND, OK, UNUSABLE, say

FORMS = ("text", "html", "md", "csv", "json")


def arguments(parser: argparse.ArgumentParser) -> None:
    """The command's arguments."""
    parser.add_argument("room", metavar="NEW", help="the room file as the rack is to be")
    parser.add_argument(
        "--from", dest="old", metavar="OLD", help="the room file as the rack is; without it, the first wiring"
    )
    add_form(parser, FORMS, "html: to print, one page a bay; text: pages of 80 columns; csv: a spreadsheet")


def run(args: argparse.Namespace) -> int:
    """Print the order; 1 where a part of it cannot be done, 2 where the rooms have nothing in common."""
    new = open_room(args.room)
    old = open_room(args.old) if args.old is not None else None
    if new is None or (old is None and args.old is not None):
        return UNUSABLE
    try:
        order = make_order(first_wiring(new) if old is None else old, new)
    except NothingInCommon as problem:
        say(str(problem))
        return UNUSABLE
    write_out(_written(order, args.form))
    return FOUND if order.refused or order.gone else OK


def _written(order: Order, form: str) -> str:
    made = datetime.now().strftime("%Y-%m-%d %H:%M")
    if form == "json":
        return json.dumps(as_json(order), ensure_ascii=False) + "\n"
    if form == "html":
        from model.bench.pages.order_html import order_html

        return order_html(order, made)
    if form == "text":
        from model.bench.pages.order_text import order_text

        return order_text(order, made)
    from model.bench.pages.order_sheet import order_sheet
    from model.paper.sheet_writers import WRITERS

    return WRITERS[form](order_sheet(order, made))
