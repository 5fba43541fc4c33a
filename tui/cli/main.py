"""The command line: `bayhand ROOM` opens the screen; `bayhand check ROOM` and the other commands do without it.

A command is loaded when it is asked for: only the screen brings Textual, and the screen brings nothing of the others.
"""

from __future__ import annotations

import argparse
import gc
import sys
from collections.abc import Sequence
from importlib import import_module
from typing import Any

from model.text.caution import CAUTION
from tui.cli.ending import ended

SCREEN = "screen"

# The commands beside the screen, each in `tui/cli/run_NAME.py`, where a dash in its name is an underscore:
# `arguments(parser)` and `run(args) -> status`.
SUBCOMMANDS: dict[str, str] = {
    "check": "read a room file; report errors and findings",
    "rehearse": "play entries and print what each did",
    "normals": "list every pair: its normal, the kind advised, and why",
    "plan": "change the wiring on paper: what that makes and breaks",
    "order": "print the work order that changes the normals",
    "proof": "print the tests that prove the normals; read what was measured",
    "sheet": "print the recall sheet of a patch",
    "log": "print the record of a room's sessions",
    "compare-rooms": "compare two room files by what they mean",
    "strips": "print label strips to scale",
    "table": "print a room as a table for a spreadsheet",
    "from-table": "make a room file of a spreadsheet's table",
    "graph": "write a room's wiring as a graph for other programs",
    "schema": "print the JSON Schema of a room file",
    "draw": "draw each bay, front and rear, to print",
    "help": "read about a topic; without one, list the topics",
}
# What stands after a command's name, where it is not a room.
TAKES: dict[str, str] = {
    "help": "[TOPIC]",
    "compare-rooms": "OLD NEW",
    "from-table": "TABLE ...",
    "schema": "",
}


def _usage() -> str:
    lines = ["bayhand ROOM [options]  the screen: the live bay of a room file"]
    lines += [f"bayhand {name} {TAKES.get(name, 'ROOM ...')}  {says}" for name, says in SUBCOMMANDS.items()]
    return "\n".join([*lines, "", "bayhand COMMAND --help tells a command's options.", "", CAUTION])


def command_module(name: str) -> Any:
    """The module that runs a command."""
    return import_module(f"tui.cli.run_{name.replace('-', '_')}")


def main(argv: Sequence[str] | None = None) -> int:
    """Run the program; the answer is its exit status."""
    # What is made on the way to the first answer is no rubbish: looking for some would only hold it up.
    gc.disable()
    try:
        return ended(lambda: _run(list(sys.argv[1:] if argv is None else argv)))
    finally:
        gc.enable()


def _run(arguments: list[str]) -> int:
    if arguments and arguments[0] in SUBCOMMANDS:
        name = arguments.pop(0)
        parser = argparse.ArgumentParser(prog=f"bayhand {name}", description=SUBCOMMANDS[name], epilog=CAUTION)
    else:
        name = SCREEN
        parser = argparse.ArgumentParser(
            prog="bayhand", usage=_usage(), description="The live patch bay of a room file.", epilog=CAUTION
        )
    command = command_module(name)
    command.arguments(parser)
    return int(command.run(parser.parse_args(arguments)))
