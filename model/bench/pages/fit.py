"""Text cut to a width of cells."""

from __future__ import annotations


def cut(text: str, width: int) -> str:
    """The text in so many characters; one that is longer ends in an ellipsis.

    >>> cut("Tallow 16 out", 9)
    'Tallow 1…'
    """
    return text if len(text) <= width else f"{text[: width - 1]}…"
