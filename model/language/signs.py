"""What stands between the ends of a cord: '>', '->', or the word 'to', which may belong to a name as well."""

from __future__ import annotations

import re
from collections.abc import Iterator
from itertools import combinations

_SIGN = re.compile(r"\s*(?:->|>)\s*")
_TO = re.compile(r"\s+to\s+", re.IGNORECASE)
_MOST_CUTS = 4  # words such as 'to' that may part an entry, or may belong to a name


def cuts(text: str, pattern: re.Pattern[str]) -> Iterator[list[str]]:
    """The ways to part a text at some of the words that may part it, the most parts first."""
    at = [found.span() for found in pattern.finditer(text)]
    for count in range(len(at), -1, -1):
        if len(at) > _MOST_CUTS and 0 < count < len(at):
            continue
        for chosen in combinations(at, count):
            parts, begin = [], 0
            for start, end in chosen:
                parts.append(text[begin:start])
                begin = end
            yield [*parts, text[begin:]]


def ends_of(text: str) -> Iterator[list[str]]:
    """The ends of a cord: signs part it, or where there is none the word 'to'."""
    if _SIGN.search(text):
        yield [part.strip() for part in _SIGN.split(text)]
    else:
        yield from ([part.strip() for part in parts] for parts in cuts(text, _TO))


def has_sign(text: str) -> bool:
    """Whether a text can be a cord without its command: something stands between its ends.

    >>> has_sign("hall 1 -> tallow 1"), has_sign("hall 1 tallow 1")
    (True, False)
    """
    return bool(_SIGN.search(text) or _TO.search(text))
