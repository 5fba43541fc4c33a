"""Long text for a person: through a pager where standard output is a terminal and a pager is found, else printed."""

from __future__ import annotations

import os
import shlex
import shutil
import signal
import subprocess
import sys
from collections.abc import Mapping

DEFAULT_PAGER = "less"
# Of `less`: leave at once where all fits the screen, and leave the text there (its manual page, -F and -X).
_LESS = "FX"


def pager_command(environment: Mapping[str, str]) -> list[str]:
    """The pager to run, as its words; empty where there is none, or none is wanted (`PAGER` is empty).

    A `PAGER` that cannot be found gives way to `less`.
    """
    if environment.get("TERM", "") in ("", "dumb"):
        return []  # a pager could not move the cursor there
    stated = environment.get("PAGER")
    if stated is not None and not stated.strip():
        return []
    for candidate in (stated, DEFAULT_PAGER):
        try:
            words = shlex.split(candidate or "")
        except ValueError:  # a quote that is not closed
            continue
        if words and shutil.which(words[0], path=environment.get("PATH")):
            return words
    return []


def show(text: str) -> None:
    """Show a text that ends its last line. Characters that the output cannot encode are replaced."""
    encoding = sys.stdout.encoding or "utf-8"
    data = text.encode(encoding, "replace")
    if sys.stdout.isatty():
        command = pager_command(os.environ)
        if command and _paged(command, data):
            return
    sys.stdout.write(data.decode(encoding))
    sys.stdout.flush()


def _paged(command: list[str], data: bytes) -> bool:
    """Whether the pager took it. One that cannot be started has shown nothing."""
    # Ctrl+C is the pager's: it shares the terminal, and decides itself whether to end. A handler, unlike a signal that is
    # ignored, is not passed on to it.
    before = signal.signal(signal.SIGINT, lambda *_: None)
    try:
        pager = subprocess.Popen(command, stdin=subprocess.PIPE, env={"LESS": _LESS, **os.environ})
        pager.communicate(data)  # a pager that is left before the end of the text is no fault
    except OSError:
        return False
    finally:
        signal.signal(signal.SIGINT, before)
    return True
