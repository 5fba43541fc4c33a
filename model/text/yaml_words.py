"""Names and numbers as YAML takes them: plain where they may stand so, in double quotes otherwise."""

from __future__ import annotations

import json
import re

# What YAML takes as it stands, also between braces.
_PLAIN = re.compile(r"[A-Za-z0-9](?:[A-Za-z0-9 ._+/()-]*[A-Za-z0-9._+()-])?", re.ASCII)
# What it takes on a line of its own: ranges in braces and letters of any alphabet too.
_PLAIN_ON_A_LINE = re.compile(r"[^\W_](?:[\w ./+(){},-]*[\w.+(){}-])?")


def scalar(text: str) -> str:
    """The text as a value or a key, in braces or out of them.

    >>> scalar("Pre 4 in"), scalar("Cue {1-4}")
    ('Pre 4 in', '"Cue {1-4}"')
    """
    return text if _PLAIN.fullmatch(text) else _in_quotes(text)


def on_a_line(text: str) -> str:
    """The text as a value or a key on a line of its own, not between braces.

    >>> on_a_line("Cue {1-4} {L,R}"), on_a_line("#7: red")
    ('Cue {1-4} {L,R}', '"#7: red"')
    """
    return text if _PLAIN_ON_A_LINE.fullmatch(text) else _in_quotes(text)


def decimal(number: float) -> str:
    """A number that is read back as the same number, without a point where it is whole.

    >>> decimal(2400.0), decimal(1.5)
    ('2400', '1.5')
    """
    return repr(number).removesuffix(".0")


def table(entries: list[tuple[str, str]]) -> str:
    """Keys and values, as they are, between braces."""
    return f"{{{', '.join(f'{key}: {value}' for key, value in entries)}}}"


def _in_quotes(text: str) -> str:
    # JSON's quoted text is YAML's double-quoted text
    return json.dumps(text, ensure_ascii=False)
