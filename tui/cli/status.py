"""The program's exit statuses, and how it speaks to the person who started it."""

from __future__ import annotations

import sys

OK = 0  # all well
FOUND = 1  # errors, findings, or a refused line
UNUSABLE = 2  # wrong usage, or a file that cannot be used


def say(message: str) -> None:
    """A message for the person who started the program."""
    print(message, file=sys.stderr)
