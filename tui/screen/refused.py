"""Where in a refused entry the fault is: the part of it that the refusal quotes."""

from __future__ import annotations

import re

_QUOTED = re.compile(r"'([^']+)'")


def wrong_part(text: str, error: str) -> tuple[int, int] | None:
    """The start and end of the first part of an entry that its refusal quotes; None where it quotes none.

    >>> wrong_part("A1 > pree 2", "no jack is called 'pree 2'")
    (5, 11)
    >>> wrong_part("A1 > B2", "A1 has a plug in it")
    """
    for quote in _QUOTED.findall(error):
        # A whole word alone: 'a' is not the a in "plain".
        found = re.search(rf"(?<!\w){re.escape(quote)}(?!\w)", text, re.IGNORECASE)
        if found:
            return found.span()
    return None
