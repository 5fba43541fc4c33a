"""`bayhand proof ROOM [--changed OLD] [--quick] --as html|md|csv|json|text`, and `--results FILE.csv`: what was measured."""

from __future__ import annotations

import argparse
import json
from collections.abc import Sequence
from datetime import datetime
from pathlib import Path

from model.bench.proof import Trial, as_json, make_proof
from model.room.wiring import Room
from model.text.clean import shown
from model.text.listing import counted
from tui.cli.opening import open_room
from tui.cli.output import add_form, write_out
from tui.cli.status import FOUND, OK, UNUSABLE, say

FORMS = ("text", "html", "md", "csv", "json")


def arguments(parser: argparse.ArgumentParser) -> None:
    """The command's arguments."""
    parser.add_argument("room", metavar="ROOM", help="a room file")
    parser.add_argument("--changed", metavar="OLD", help="only what differs from this room file, and its neighbours")
    parser.add_argument("--quick", action="store_true", help="normals alone, tip and ring")
    parser.add_argument(
        "--results",
        metavar="FILE.csv",
        help="read what was measured: the csv of this command, filled in; say what is wrong",
    )
    add_form(parser, FORMS, "html: to print; csv: to fill in and read back; json: one object a test")


def run(args: argparse.Namespace) -> int:
    """Print the tests, or what the results say; 1 where something failed, 2 where a file cannot be used."""
    room = open_room(args.room)
    old = open_room(args.changed) if args.changed is not None else None
    if room is None or (old is None and args.changed is not None):
        return UNUSABLE
    if args.results is not None:
        if args.form not in ("text", "json"):
            say("what results say is printed as text or as json")
            return UNUSABLE
        return _results(room, make_proof(room), args.results, args.form)
    write_out(_written(room, make_proof(room, old, args.quick), args.form))
    return OK


def _written(room: Room, trials: Sequence[Trial], form: str) -> str:
    if form == "json":
        encode = json.JSONEncoder(ensure_ascii=False).encode
        return "".join(f"{encode(told)}\n" for told in as_json(room, trials))
    from model.bench.pages.proof_pages import proof_csv, proof_html, proof_sheet, proof_text

    made = datetime.now().strftime("%Y-%m-%d %H:%M")
    if form == "csv":
        return proof_csv(room, trials)
    if form == "md":
        from model.paper.sheet_writers import as_markdown

        return as_markdown(proof_sheet(room, trials, made))
    return {"html": proof_html, "text": proof_text}[form](room, trials, made)


def _results(room: Room, trials: Sequence[Trial], path: str, form: str) -> int:
    from model.bench.diagnosis import find_faults
    from model.bench.results import BadResults, read_results

    try:
        results = read_results(Path(path).read_bytes(), path, room, trials)
    except (OSError, ValueError) as problem:
        say(str(problem) if isinstance(problem, BadResults) else f"{path}: it cannot be read: {problem}")
        return UNUSABLE
    faults = find_faults(room, results)
    if form == "json":
        write_out("".join(f"{json.dumps(fault.as_json(room), ensure_ascii=False)}\n" for fault in faults))
    else:
        lines = [f"{fault.fault}: {fault.text}" for fault in faults]
        lines.append(
            f"{counted(len(results), 'test')} of {len(trials)} measured, {counted(len(faults), 'fault')} found."
        )
        if len(results) < len(trials):
            lines.append("What was not measured is not proven.")
        write_out("\n".join(map(shown, lines)) + "\n")
    return FOUND if faults else OK
