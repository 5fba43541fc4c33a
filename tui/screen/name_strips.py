"""The strips above and below a bay: the names of jacks side by side, taken together as 'Tallow 1-16 in'."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple


class Run(NamedTuple):
    """Jacks side by side that go by one name: where the first stands, how many, and the name."""

    first: int
    jacks: int
    name: str


def _is_label(word: str) -> bool:
    """Whether a word tells like things apart: a number, or one letter ('L')."""
    return word.isdigit() or (len(word) == 1 and word.isalpha())


def _kind(name: str) -> tuple[str, ...]:
    return tuple(word for word in name.split() if not _is_label(word))


def runs(names: Sequence[str]) -> list[Run]:
    """The names of a row's jacks taken together; empty names are left out.

    >>> runs(["Pre 1 in", "Pre 2 in", "", "Mix L", "Mix R", "Echo"])
    [Run(first=0, jacks=2, name='Pre 1-2 in'), Run(first=3, jacks=2, name='Mix L-R'), Run(first=5, jacks=1, name='Echo')]
    """
    found: list[Run] = []
    start = 0
    for at in range(1, len(names) + 1):
        if at == len(names) or bool(names[at]) != bool(names[start]) or _kind(names[at]) != _kind(names[start]):
            if names[start]:
                found.append(Run(start, at - start, together(names[start], names[at - 1])))
            start = at
    return found


def together(first: str, last: str) -> str:
    """The first and the last of some like names as one.

    >>> together("Cue 1 L", "Cue 4 R")
    'Cue 1 L-4 R'
    """
    if first == last:
        return first
    a, b = first.split(), last.split()
    if len(a) != len(b):
        return f"{first} - {last}"
    differ = [at for at, (one, other) in enumerate(zip(a, b, strict=True)) if one != other]
    start = end = differ[0]
    while start and _is_label(a[start - 1]):
        start -= 1
    while end + 1 < len(a) and _is_label(a[end + 1]):
        end += 1
    end = max(end, differ[-1])
    return " ".join([*a[:start], f"{' '.join(a[start : end + 1])}-{' '.join(b[start : end + 1])}", *a[end + 1 :]])
