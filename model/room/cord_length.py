"""A cord's length at the end of a line: one rule for what is typed and for what a room file or a saved patch states."""

from __future__ import annotations

import re

SHORTEST_CM, LONGEST_CM = 0.1, 100_000
BOUNDS = "a cord's length is from 0.1 cm to 1000 m"
_AT_END = re.compile(r"\s+with\s+([-+]?\d+(?:\.\d+)?)\s*(cm|m)?$", re.IGNORECASE | re.ASCII)


def fits(length_cm: float) -> bool:
    """Whether a cord can have this length."""
    return SHORTEST_CM <= length_cm <= LONGEST_CM


def split_length(text: str) -> tuple[str, float | None]:
    """A line without the length at its end, and that length in cm; None where it states none.

    Raises ValueError, in words for who wrote the line, where no cord can have that length.

    >>> split_length("A1 > B2 with 60 cm")
    ('A1 > B2', 60.0)
    >>> split_length("A1 > B2 with 0.29 m")
    ('A1 > B2', 29.0)
    >>> split_length("A1 > B2")
    ('A1 > B2', None)
    """
    found = _AT_END.search(text)
    if found is None:
        return text, None
    length = float(found[1])
    if (found[2] or "").lower() == "m":
        length = round(100 * length, 6)  # 0.29 m are 29 cm, whatever the last digit of a product says
    if not fits(length):
        raise ValueError(f"{BOUNDS}, not {found[1]}{f' {found[2]}' if found[2] else ''}")
    return text[: found.start()], length
