"""`bayhand from-table TABLE -o ROOM`."""

from __future__ import annotations

import argparse
import json
from collections.abc import Sequence
from pathlib import Path

from model.bench.tables.from_table import TableErrors, from_table
from model.bench.tables.table_faults import Fault, fault_lines
from model.room.file import UnreadableFile
from model.room.file.reader import file_bytes
from model.text.clean import shown
from model.text.replacing import NotReplaced, write_new_file
from tui.cli.output import write_out
from tui.cli.status import OK, UNUSABLE, say


def arguments(parser: argparse.ArgumentParser) -> None:
    """The command's arguments."""
    parser.add_argument(
        "table", metavar="TABLE", help="a table of jacks: comma, semicolon or tab; UTF-8, UTF-16 or Latin-1"
    )
    parser.add_argument("-o", dest="out", metavar="ROOM", help="the room file to write; without it, standard output")
    parser.add_argument(
        "--json", action="store_true", help="print one JSON object: errors, guesses, and the file written"
    )


def run(args: argparse.Namespace) -> int:
    """Make the room file; 2 where the table cannot be read or the file not written."""
    try:
        made = from_table(file_bytes(args.table, "a table"), Path(args.table).stem)
    except UnreadableFile as problem:
        say(str(problem))
        return UNUSABLE
    except TableErrors as problem:
        if args.json:
            _print_json(problem.faults, (), None)
        else:
            for words in fault_lines(problem.faults):
                say(f"{shown(args.table)}: {words}")
        return UNUSABLE
    if args.out is not None:
        try:
            write_new_file(args.out, made.text.encode("utf-8"))
        except NotReplaced as problem:
            say(shown(str(problem)))
            return UNUSABLE
    elif not args.json:
        write_out(made.text)
    if args.json:
        _print_json((), made.guesses, args.out)
        return OK
    for words in fault_lines(made.guesses):
        say(f"{shown(args.table)}: guessed: {words}")
    if made.guesses:
        say("Guesses about ports, normals and bays stand in the room file too, as comments: check them.")
    return OK


def _print_json(errors: Sequence[Fault], guesses: Sequence[Fault], out: str | None) -> None:
    found = {
        "errors": [fault.to_dict() for fault in errors],
        "guesses": [fault.to_dict() for fault in guesses],
        "written": out,
    }
    print(json.dumps(found, ensure_ascii=False))
