"""A jack's address: its row's name and its point, 'A5' or 'MR-C12'."""

from __future__ import annotations


def split_address(text: str) -> tuple[str, int] | None:
    """The row's name and the point of an address, or None where the text has not that form.

    >>> split_address("MR-C12")
    ('MR-C', 12)
    >>> split_address("Tie") is None
    True
    """
    row = text.rstrip("0123456789")
    point = text[len(row) :]
    if not row or not point or len(point) > 7 or not row[-1].isalpha() or not row[0].isalnum() or not point.isascii():
        return None
    return row, int(point)
