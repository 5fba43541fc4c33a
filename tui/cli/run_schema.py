"""`bayhand schema`."""

from __future__ import annotations

import argparse
import json

from model.bench.written.schema import room_schema
from tui.cli.output import write_out
from tui.cli.status import OK


def arguments(parser: argparse.ArgumentParser) -> None:
    """The command has no arguments."""


def run(args: argparse.Namespace) -> int:
    """Print the schema."""
    write_out(json.dumps(room_schema(), indent=2) + "\n")
    return OK
