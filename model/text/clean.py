"""Labels made safe to show: nothing that a file, a paste or a path contains may steer the terminal.

The room keeps each label as its file writes it; whatever shows one shows :func:`shown` of it.
"""

from __future__ import annotations

import unicodedata


def _replacements() -> dict[int, str]:
    """Each character that a terminal might obey or hide, and the visible mark that stands in for it."""
    unseen = "\N{REPLACEMENT CHARACTER}"
    # Unicode has a picture of each control character of ASCII: U+2400 and on, and U+2421 for DEL.
    table = {code: chr(0x2400 + code) for code in range(0x20)}
    table[0x7F] = "\N{SYMBOL FOR DELETE}"
    table |= dict.fromkeys(range(0x80, 0xA0), unseen)  # C1: U+009B starts an escape sequence, as ESC [ does
    table |= dict.fromkeys(
        (0x061C, 0x200E, 0x200F, *range(0x202A, 0x202F), *range(0x2066, 0x206A)), unseen
    )  # direction
    table |= dict.fromkeys((0x200B, 0x200C, *range(0x2060, 0x2066), *range(0x206A, 0x2070), 0xFEFF), unseen)  # no width
    table |= dict.fromkeys(range(0xD800, 0xE000), unseen)  # halves of surrogate pairs: no stream can encode them
    table |= dict.fromkeys((0x2028, 0x2029, *range(0xFFF9, 0xFFFC)), unseen)  # line ends; marks of annotations
    table |= dict.fromkeys(range(0xE0000, 0xE0080), unseen)  # tags: letters that cannot be seen
    return table


_REPLACEMENTS = _replacements()


def shown(text: str) -> str:
    """The text as it may reach a terminal: no control character, override of direction or lone surrogate is left.

    Combined letters are composed (Unicode's NFC), so that a cell holds one. Markup such as ``[red]`` is left as it is:
    whoever shows the text must show it literally.

    >>> shown("Pre 4 in")
    'Pre 4 in'
    >>> shown("a" + chr(27) + "[2Jb")
    'a␛[2Jb'
    """
    if not text.isprintable():  # false for every character of the table, and for some that are harmless
        text = text.translate(_REPLACEMENTS)
    return text if text.isascii() else unicodedata.normalize("NFC", text)


def quoted(text: str, most: int = 60) -> str:
    """The text in quotes for a message, safe to show and cut short beyond ``most`` characters.

    >>> quoted("mic inn")
    "'mic inn'"
    """
    return f"'{shown(text if len(text) <= most else text[: most - 3] + '...')}'"
