"""The form of a name in which two names count as one."""

from __future__ import annotations

import unicodedata


def normalized(name: str) -> str:
    """The form in which two names count as one: in small letters, accents composed with their letters (NFC).

    >>> normalized("Pre 4 IN")
    'pre 4 in'
    """
    return name.lower() if name.isascii() else unicodedata.normalize("NFC", name).lower()
