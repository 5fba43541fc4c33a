"""The command line: `bayhand ROOM` opens the screen; `bayhand check ROOM` and the other commands do without it.

Only the screen imports Textual, so that the commands start at once.
"""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Callable, Sequence
from typing import NamedTuple

from model.caution import CAUTION
from tui import run_check, run_log, run_rehearse, run_screen, run_sheet
from tui.opening import FOUND


class Subcommand(NamedTuple):
    """A command beside the screen."""

    says: str
    arguments: Callable[[argparse.ArgumentParser], None]
    run: Callable[[argparse.Namespace], int]


SUBCOMMANDS: dict[str, Subcommand] = {
    "check": Subcommand("read a room file; report errors and findings", run_check.arguments, run_check.run),
    "log": Subcommand("print the record of a room's sessions", run_log.arguments, run_log.run),
    "sheet": Subcommand("print the recall sheet of a patch", run_sheet.arguments, run_sheet.run),
    "rehearse": Subcommand("play typed lines and print what each did", run_rehearse.arguments, run_rehearse.run),
}


def _usage() -> str:
    lines = ["bayhand ROOM [options]  the screen: the live bay of a room file"]
    lines += [f"bayhand {name} ROOM ...  {command.says}" for name, command in SUBCOMMANDS.items()]
    return "\n".join([*lines, "", "bayhand COMMAND --help tells a command's options.", "", CAUTION])


def main(argv: Sequence[str] | None = None) -> int:
    """Run the program; the answer is its exit status."""
    arguments = list(sys.argv[1:] if argv is None else argv)
    name = arguments[0] if arguments else ""
    if name in SUBCOMMANDS:
        command = SUBCOMMANDS[name]
        parser = argparse.ArgumentParser(prog=f"bayhand {name}", description=command.says, epilog=CAUTION)
        command.arguments(parser)
        parsed = parser.parse_args(arguments[1:])
        run = command.run
    else:
        parser = argparse.ArgumentParser(
            prog="bayhand", usage=_usage(), description="The live patch bay of a room file.", epilog=CAUTION
        )
        run_screen.arguments(parser)
        parsed = parser.parse_args(arguments)
        run = run_screen.run
    try:
        return run(parsed)
    except BrokenPipeError:
        # whoever read the output has gone; what is left in the buffer has nowhere to go
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return FOUND
    except KeyboardInterrupt:
        return 130
