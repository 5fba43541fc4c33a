"""Full names as entries write them."""

from __future__ import annotations

import re

# What could be read as more than a name: a list, a range, a pair, a cord's number, a word that parts an entry.
_NEEDS_QUOTES = re.compile(
    r"[,;>#=]|\d\s*-\s*\d|^\d+$|(?:^|\s)(?:and|to|on|off|all|as|with|anyway)(?:\s|$)|\s\?$", re.I
)


def written(name: str) -> str:
    """A full name as an entry writes it: in quotes where it could be read as more than a name.

    >>> written("Tallow 4 in"), written("Cue 1-2")
    ('Tallow 4 in', '"Cue 1-2"')
    """
    return f'"{name}"' if _NEEDS_QUOTES.search(name) else name
