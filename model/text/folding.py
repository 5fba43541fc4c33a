"""The way back from names and numbers to ranges: ``Pre 1`` to ``Pre 16`` is ``Pre {1-16}``, 1, 2, 3, 5 is ``1-3, 5``."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from typing import NamedTuple

# What may vary within a range: a number, or a letter that stands alone, such as L and R.
_TOKEN = re.compile(r"(\d+|\b[A-Z]\b)", re.ASCII)


class Fold(NamedTuple):
    """A name with ranges, and how many names it stands for."""

    template: str
    count: int  # type: ignore[assignment]  # hides a tuple's count(), which nothing here calls


class _Part(NamedTuple):
    """A name or a fold of names, cut at what may vary; ``count`` is how many names it stands for."""

    texts: tuple[str, ...]  # literal, token, literal, ...
    count: int  # type: ignore[assignment]  # as above
    firm: int  # tokens from this place on hold a range already: of several ranges the last runs fastest


def fold_names(names: Sequence[str]) -> list[Fold]:
    """Names side by side as few names with ranges; expanded one after the other, they are the names again.

    >>> fold_names(["Pre 1 in", "Pre 2 in", "Pre 3 in", "Mix L", "Mix R", "Wedge"])
    [Fold(template='Pre {1-3} in', count=3), Fold(template='Mix {L,R}', count=2), Fold(template='Wedge', count=1)]
    >>> fold_names(["Cue 1 L", "Cue 1 R", "Cue 2 L", "Cue 2 R"])
    [Fold(template='Cue {1-2} {L,R}', count=4)]
    """
    parts = [_cut(name) for name in names]
    while True:
        folded = _once(parts)
        if len(folded) == len(parts):
            return [Fold("".join(part.texts), part.count) for part in parts]
        parts = folded


def fold_numbers(numbers: Iterable[int]) -> str:
    """Numbers as ranges, in the order given.

    >>> fold_numbers([1, 2, 3, 5])
    '1-3, 5'
    """
    return ", ".join(str(first) if first == last else f"{first}-{last}" for first, last in runs(numbers))


def runs(numbers: Iterable[int]) -> list[tuple[int, int]]:
    """The first and the last of each run of numbers that follow one another."""
    found: list[tuple[int, int]] = []
    for number in numbers:
        if found and found[-1][1] + 1 == number:
            found[-1] = (found[-1][0], number)
        else:
            found.append((number, number))
    return found


def _cut(name: str) -> _Part:
    if "{" in name or "}" in name:
        return _Part((name,), 1, 0)
    texts = tuple(_TOKEN.split(name))
    return _Part(texts, 1, len(texts))


def _once(parts: list[_Part]) -> list[_Part]:
    """One pass: each run of parts that differ in one token alone becomes one part."""
    folded: list[_Part] = []
    at = 0
    while at < len(parts):
        first = parts[at]
        slot = _slot(first, parts[at + 1]) if at + 1 < len(parts) else None
        last = at
        if slot is not None:
            while last + 1 < len(parts) and _slot(parts[last], parts[last + 1]) == slot:
                last += 1
        if slot is None or last == at:
            folded.append(first)
            at += 1
            continue
        tokens = [part.texts[slot] for part in parts[at : last + 1]]
        inside = f"{tokens[0]}-{tokens[-1]}" if tokens[0].isdigit() else ",".join(tokens)
        texts = (*first.texts[:slot], f"{{{inside}}}", *first.texts[slot + 1 :])
        folded.append(_Part(texts, first.count * len(tokens), slot))
        at = last + 1
    return folded


def _slot(one: _Part, other: _Part) -> int | None:
    """The one token in which two parts differ and by which they can be folded, or None."""
    if len(one.texts) != len(other.texts) or one.count != other.count or one.firm != other.firm:
        return None
    differing = [place for place, (a, b) in enumerate(zip(one.texts, other.texts, strict=True)) if a != b]
    if len(differing) != 1 or not differing[0] % 2 or differing[0] >= one.firm:
        return None
    return differing[0] if _follows(one.texts[differing[0]], other.texts[differing[0]]) else None


def _follows(token: str, after: str) -> bool:
    """Whether one token comes after another in a range: the next number as it is written, or any later letter."""
    if token.isdigit() and after.isdigit():
        if len(token) > 7 or len(after) > 7 or int(after) != int(token) + 1:
            return False
        # {09-10} keeps its noughts, and {9-10} has none
        return len(token) == len(after) if token[0] == "0" else after[0] != "0"
    return not token.isdigit() and not after.isdigit() and token < after
