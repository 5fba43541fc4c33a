"""Where in a refused entry the part is for which it was refused."""

from __future__ import annotations

import re


def wrong_part(text: str, wrong: str) -> tuple[int, int] | None:
    """The start and end of the first place at which a part stands in an entry; None where it does not.

    >>> wrong_part("A1 > pree 2", "pree 2")
    (5, 11)
    >>> wrong_part("A1 > B2", "")
    """
    # A whole word alone: 'a' is not the a in "plain".
    found = re.search(rf"(?<!\w){re.escape(wrong)}(?!\w)", text, re.IGNORECASE) if wrong else None
    return None if found is None else found.span()
