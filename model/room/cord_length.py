"""A cord's length at the end of a line: one rule for what is typed and for what a room file or a saved patch states."""

from __future__ import annotations

import re

SHORTEST_CM, LONGEST_CM = 0.1, 100_000
BOUNDS = "a cord's length is from 0.1 cm to 1000 m"
_AT_END = re.compile(r"\s+with\s+([-+]?\d+(?:\.\d+)?)\s*(cm|m|ft|in)?$", re.IGNORECASE | re.ASCII)
# One inch is 2.54 cm and one foot twelve of them, exactly (the international yard and pound agreement of 1959).
CM_IN = {"cm": 1.0, "m": 100.0, "ft": 30.48, "in": 2.54}


def fits(length_cm: float) -> bool:
    """Whether a cord can have this length."""
    return SHORTEST_CM <= length_cm <= LONGEST_CM


def split_length(text: str, feet: bool = False) -> tuple[str, float | None]:
    """A line without the length at its end, and that length in cm; None where it states none.

    ``feet``: the room's lengths are in feet, so that one without a unit is not read. Raises ValueError, in words for who wrote
    the line, where no cord can have that length.

    >>> split_length("A1 > B2 with 60 cm")
    ('A1 > B2', 60.0)
    >>> split_length("A1 > B2 with 0.29 m")
    ('A1 > B2', 29.0)
    >>> split_length("A1 > B2 with 2 ft")
    ('A1 > B2', 60.96)
    >>> split_length("A1 > B2")
    ('A1 > B2', None)
    """
    found = _AT_END.search(text)
    if found is None:
        return text, None
    if feet and not found[2]:
        raise ValueError(f"say the unit of a cord's length, {found[1]} ft or {found[1]} in")
    length, unit = float(found[1]), (found[2] or "cm").lower()
    if unit != "cm":
        length = round(CM_IN[unit] * length, 6)  # 0.29 m are 29 cm, whatever the last digit of a product says
    if not fits(length):
        raise ValueError(f"{BOUNDS}, not {found[1]}{f' {found[2]}' if found[2] else ''}")
    return text[: found.start()], length
