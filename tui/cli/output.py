"""How a command writes what it made: the choice of a form, and the text itself."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence


def add_form(parser: argparse.ArgumentParser, forms: Sequence[str], says: str) -> None:
    """The argument `--as FORM`, the first form being the default; `--json` means `--as json`."""
    parser.add_argument("--as", dest="form", choices=forms, default=forms[0], help=f"{says}; {forms[0]} without it")
    parser.add_argument("--json", dest="form", action="store_const", const="json", help="the same as --as json")


def write_out(text: str) -> None:
    """Print a text that is UTF-8 whatever the terminal is."""
    sys.stdout.flush()
    sys.stdout.buffer.write(text.encode("utf-8"))
    sys.stdout.flush()
