"""Slips of typing that look right and are not: named for what they are, at their own place.

A slip is looked for only where there is an error already, so that an en dash in a name that means it stays what it is.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from typing import NamedTuple


class Slip(NamedTuple):
    """A slip in a line: its column from 0, and what it is."""

    column: int
    words: str


_DASHES = {"–": "an en dash", "—": "an em dash", "−": "a minus sign that is no hyphen", "‐": "a hyphen that is not the "
           "plain one", "‑": "a non-breaking hyphen"}  # fmt: skip
_SPACES = {"\u00a0": "a non-breaking space", "\u202f": "a narrow non-breaking space", "\u2009": "a thin space",
           "\u2007": "a figure space", "\u3000": "a wide space"}  # fmt: skip
_QUOTES = "“”„‟‘’‚‛«»"
OPENING_OR_CLOSING = frozenset(_QUOTES)

_DASH = re.compile(rf"(?<=\d)\s*[{''.join(_DASHES)}](?=\s*\d)|^[{''.join(_DASHES)}](?=\s*\d)")
_SPACE = re.compile(f"[{''.join(_SPACES)}]")
_QUOTE = re.compile(rf"^[{_QUOTES}]|[{_QUOTES}](?=\s*$)")
_ARROW = re.compile("[→⇒➔»]")
_NO_SPACE = re.compile(r"^[\w{},\- ]*[\w}](:)(?=[^\s:/\d])|^[A-Za-z][\w ]*(:)(?=\S)")
_DECIMAL = re.compile(r"^[+-]?\d+(,)(\d+)\s*[A-Za-z]*\s*(?=$|[,}\]#])")
_COMMENT = re.compile(r"(?<=\S)\s+(#)(?=[^\s#])")
_END_OF_SCALAR = re.compile(r": |:$| #")
_END_IN_FLOW = re.compile(r": |:$| #|[}\]](?!\w)|, ")


def _code(character: str) -> str:
    return f"(U+{ord(character):04X})"


def _dash(line: str, token: str) -> Slip | None:
    found = _DASH.search(token)
    if found is None:
        return None
    sign = found[0].strip()
    at = found.start() + found[0].index(sign)
    return Slip(at, f"there is {_DASHES[sign]} {_code(sign)}: a range and a minus have a plain '-'")


def _space(line: str, token: str) -> Slip | None:
    found = _SPACE.search(token)
    return found and Slip(found.start(), f"there is {_SPACES[found[0]]} {_code(found[0])}: write a plain space")


def _quote(line: str, token: str) -> Slip | None:
    found = _QUOTE.search(token)
    return found and Slip(found.start(), f"there is a smart quote {_code(found[0])}: write a plain ' or \"")


def _arrow(line: str, token: str) -> Slip | None:
    found = _ARROW.search(token)
    return found and Slip(found.start(), f"there is an arrow {_code(found[0])}: write '>'")


def _decimal(line: str, token: str) -> Slip | None:
    found = _DECIMAL.match(line)
    if found is None:
        return None
    thousands = " (or no sign at all where it parts thousands)" if len(found[2]) == 3 else ""
    return Slip(found.start(1), f"there is a decimal comma: write a point{thousands}")


def _colon(line: str, token: str) -> Slip | None:
    found = _NO_SPACE.match(token)
    at = -1 if found is None else found.start(1) if found[1] else found.start(2)
    return None if found is None else Slip(at, "a space is missing after ':'")


def _comment(line: str, token: str) -> Slip | None:
    found = _COMMENT.match(line, len(token.rstrip()))
    if found is None:
        return None
    return Slip(found.start(1), "'#' after a space begins a comment: a name that holds it stands in quotes")


_KINDS: tuple[Callable[[str, str], Slip | None], ...] = (_space, _dash, _quote, _decimal, _colon, _arrow, _comment)


def slip_at(line: str, column: int) -> Slip | None:
    """The first slip in what begins at a column of a line, or None.

    >>> slip_at("  1–12: Live", 2)
    Slip(column=3, words="there is an en dash (U+2013): a range and a minus have a plain '-'")
    """
    if column >= 2 and re.match(r"\d,\d", line[column - 2 : column + 1]):
        column = re.search(r"[+-]?\d+,$", line[:column]).start()  # type: ignore[union-attr]  # it was matched above
    rest = line[column:]
    in_flow = "{" in line[:column] or "[" in line[:column]
    if rest[:1] in ("{", "[", '"', "'"):
        return None
    end = (_END_IN_FLOW if in_flow else _END_OF_SCALAR).search(rest)
    token = rest[: end.start()] if end else rest
    found = next((slip for kind in _KINDS if (slip := kind(rest, token)) is not None), None)
    return None if found is None else found._replace(column=column + found.column)


# Where the text is no YAML at all

_INDENT = re.compile(r"^[ \t\u00a0\u202f\u2009\u2007\u3000]*")
_BLOCK_COLON = re.compile(r"^\s*(?:- +)?[^\s#:'\"{\[][^:#]*(:)(?=\S)")
_FLOW_QUOTE = re.compile(rf"(?<=[:,{{\[\s])[{_QUOTES}]")
_FLOW_COMMENT = re.compile(r"[{\[][^}\]]*\s(#)(?=[^\s#])")


def _indent(line: str) -> Slip | None:
    indent = _INDENT.match(line)
    for at, character in enumerate(indent[0] if indent else ""):
        if character == "\t":
            return Slip(at, "there is a tab: indent with spaces, not tabs")
        if character != " ":
            return Slip(at, f"there is {_SPACES[character]} {_code(character)}: write a plain space")
    return None


def _block_colon(line: str) -> Slip | None:
    found = _BLOCK_COLON.match(line)
    if found is None or re.search(r":(\s|$)", line.partition(" #")[0]):
        return None
    return Slip(found.start(1), "a space is missing after ':'")


def _flow_quote(line: str) -> Slip | None:
    found = _FLOW_QUOTE.search(line)
    return found and Slip(found.start(), f"there is a smart quote {_code(found[0])}: write a plain ' or \"")


def _flow_comment(line: str) -> Slip | None:
    found = _FLOW_COMMENT.search(line)
    if found is None:
        return None
    return Slip(found.start(1), "'#' after a space begins a comment: a name that holds it stands in quotes")


_BREAKS: tuple[Callable[[str], Slip | None], ...] = (_indent, _block_colon, _flow_quote, _flow_comment)


def slip_that_breaks(lines: Sequence[str], first: int, last: int) -> tuple[int, Slip] | None:
    """The slip for which a text is no YAML between two of its lines, counted from 0; the line and the slip."""
    for number in range(max(first, 0), min(last + 1, len(lines))):
        for kind in _BREAKS:
            slip = kind(lines[number])
            if slip is not None:
                return number, slip
    return None
