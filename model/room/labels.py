"""What a label of a room file may be: fit to be shown, and fit to be typed where people must type it."""

from __future__ import annotations

import unicodedata
from collections.abc import Sequence

MAX_CHARACTERS = 200
# The signs that mean something in an entry, or that YAML and a list would take for their own.
_RESERVED = {
    ">": "'>' joins the two ends of a cord in an entry",
    ",": "',' parts the members of a list",
    '"': "a double quote cannot be typed as part of a name",
    "{": "'{' opens a range, and no '}' closes it",
    "}": "'}' closes a range, and no '{' opens it",
}


def why_not_shown(label: str) -> str | None:
    """Why a label is not fit to be shown, or None where it is.

    >>> why_not_shown("Saltmarsh, Studio B")
    >>> why_not_shown("")
    'it is empty'
    """
    if label and len(label) <= MAX_CHARACTERS and label.isprintable() and label.strip() == label:
        return None
    if not label.strip():
        return "it is empty"
    if len(label) > MAX_CHARACTERS:
        return f"it has {len(label)} characters, at most {MAX_CHARACTERS} are allowed"
    for at, character in enumerate(label, 1):
        if not character.isprintable():
            return f"character {at} is {_described(character)}"
    return "it starts or ends with a space"


def why_not_typed(name: str) -> str | None:
    """Why a name is not fit to be typed, or None where it is.

    >>> why_not_typed("Pre 4 in")
    >>> why_not_typed("#7")
    "'#' at the start means a cord's number in an entry"
    """
    reason = why_not_shown(name)
    if reason is not None:
        return reason
    for sign, why in _RESERVED.items():
        if sign in name:
            return why
    if name[0] == "#":
        return "'#' at the start means a cord's number in an entry"
    if name[-1] == "?":
        return "'?' at the end asks what an entry would do"
    if "  " in name:
        return "it has two spaces side by side"
    return None


def first_not_typed(names: Sequence[str]) -> tuple[str, str] | None:
    """The first of several names that is not fit to be typed, and why; None where all are.

    >>> first_not_typed(["Pre 1", "Pre 2?"])
    ('Pre 2?', "'?' at the end asks what an entry would do")
    """
    if _all_plain(names):
        return None
    for name in names:
        reason = why_not_typed(name)
        if reason is not None:
            return name, reason
    return None


def _all_plain(names: Sequence[str]) -> bool:
    """Whether one look at all the names together shows that each is fit; False says nothing."""
    joined = "".join(names)
    if not (joined.isprintable() and joined.isascii()) or _SUSPECT.intersection(joined) or "  " in joined:
        return False
    return (
        all(name and name[0] != " " != name[-1] for name in names) and max(map(len, names), default=0) <= MAX_CHARACTERS
    )


_SUSPECT = frozenset(_RESERVED) | {"#", "?"}

_CATEGORIES = {
    "Cc": "a control character",
    "Cf": "a character that is not seen and steers the text around it",
    "Cs": "half of a surrogate pair",
    "Zl": "a line separator",
    "Zp": "a paragraph separator",
    "Zs": "a space that is not the plain one",
}


def _described(character: str) -> str:
    what = _CATEGORIES.get(unicodedata.category(character), "a character that cannot be shown")
    return f"{what} (U+{ord(character):04X})"
