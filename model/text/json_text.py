"""JSON of which nothing can steer a terminal: what cannot be seen is escaped (RFC 8259, section 7)."""

from __future__ import annotations

import json
import re

_ESCAPED_ANYWAY = re.compile(r"[^\x20-\x7e]")


def json_text(value: object) -> str:
    """One JSON text on one line. A reader gets back what it was made of; controls and marks of direction are escaped.

    >>> json_text({"typed": "Löwe" + chr(0x202E)})
    '{"typed": "Löwe\\\\u202e"}'
    """
    text = json.dumps(value, ensure_ascii=False, allow_nan=False)
    return text if text.isprintable() else _ESCAPED_ANYWAY.sub(_seen, text)


def escaped(text: str) -> str:
    """Characters as JSON escapes them: four hexadecimal digits a UTF-16 unit.

    >>> escaped(chr(0x1D11E))
    '\\\\ud834\\\\udd1e'
    """
    units = text.encode("utf-16-be", "surrogatepass")
    return "".join(f"\\u{units[at]:02x}{units[at + 1]:02x}" for at in range(0, len(units), 2))


def _seen(found: re.Match[str]) -> str:
    character = found.group()
    return character if character.isprintable() else escaped(character)
