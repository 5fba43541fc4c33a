"""How many there are, and names as a sentence has them."""

from __future__ import annotations


def counted(number: int, what: str) -> str:
    """How many there are of something.

    >>> counted(1, "jack"), counted(2, "jack"), counted(2, "entry")
    ('1 jack', '2 jacks', '2 entries')
    """
    if number != 1:
        what = f"{what[:-1]}ies" if what.endswith("ry") else f"{what}s"
    return f"{number} {what}"


def list_words(names: tuple[str, ...] | list[str], most: int = 1000) -> str:
    """Names as a sentence has them: 'a', 'a and b', 'a, b and c'; beyond ``most``, how many more there are."""
    if len(names) > most:
        names = [*names[:most], f"{len(names) - most} more"]
    *first, last = names or ("nothing",)
    return f"{', '.join(first)} and {last}" if first else last
