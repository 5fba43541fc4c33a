"""The program's exit statuses, and how it speaks to the person who started it."""

from __future__ import annotations

import os
import sys
from pathlib import Path

from model.text.clean import shown

OK = 0  # all well
FOUND = 1  # errors, findings, or a refused line; nothing else
UNUSABLE = 2  # wrong usage, or a file, a terminal, an input or an output that cannot be used
UNFORESEEN = 3  # a fault of the program
INTERRUPTED = 130  # as a shell tells of SIGINT
BROKEN_PIPE = 141  # as a shell tells of SIGPIPE: whoever read the output has gone


def say(message: str) -> None:
    """A message for the person who started the program."""
    try:
        print("\n".join(shown(line) for line in message.split("\n")), file=sys.stderr, flush=True)
    except OSError:
        # Standard error takes nothing: there is no other place to say it, and the exit status says the rest. What waits in
        # its buffer would be tried again at the end, and change that status.
        sys.stderr = Path(os.devnull).open("w", encoding="utf-8")  # noqa: SIM115
