"""Ranges of a room file: ``{1-16}`` and ``{L,R}`` in names, ``1-12`` for points, ``A41-42`` for jacks.

Nothing here makes a range before its size is known and allowed.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from typing import NamedTuple

from model.text.addresses import split_address
from model.text.clean import quoted

MOST = 1_000_000  # names, points or jacks that one range may make
_OTHER_DASH = re.compile(r"\d\s*[–—−‐‑]\s*\d")  # meant as the plain one
_MOST_DIGITS = 7  # enough for MOST; Python itself refuses to read a number of thousands of digits


class RangeError(ValueError):
    """A range that cannot be read; the text says why, and what was probably meant."""


class TooMany(RangeError):
    """A range that would make more than it may."""


def expand(template: str, most: int = MOST) -> list[str]:
    """The names for which a name with ranges stands; of several ranges the last runs fastest.

    Raises :class:`RangeError` where a range cannot be read, :class:`TooMany` where there are more than ``most``.

    >>> expand("Pre {1-3} out")
    ['Pre 1 out', 'Pre 2 out', 'Pre 3 out']
    >>> expand("Cue {1-2} {L,R}")
    ['Cue 1 L', 'Cue 1 R', 'Cue 2 L', 'Cue 2 R']
    """
    names = [""]
    for literal, items in _parts(template, most):
        if len(names) * len(items) > most:
            raise TooMany(f"it stands for more than {most:,} names")
        names = [f"{name}{literal}{item}" for name in names for item in items]
    return names


def count(template: str, most: int = MOST) -> int:
    """How many names :func:`expand` would make; refuses what it refuses.

    >>> count("Cue {1-2} {L,R}")
    4
    """
    number = 1
    for _, items in _parts(template, most):
        number *= len(items)
        if number > most:
            raise TooMany(f"it stands for more than {most:,} names")
    return number


def _parts(template: str, most: int) -> Iterator[tuple[str, Sequence[object]]]:
    """The pieces of a name: what stands before each range, and what the range stands for; at last what stands after."""
    literal, *groups = template.split("{")
    if "}" in literal:
        raise RangeError("'}' closes a range, and no '{' opens it")
    for group in groups:
        inside, closing, after = group.partition("}")
        if not closing:
            raise RangeError("'{' opens a range, and no '}' closes it")
        if "}" in after:
            raise RangeError("'}' closes a range, and no '{' opens it")
        yield literal, _items(inside, most)
        literal = after
    yield literal, ("",)


def _items(inside: str, most: int) -> Sequence[object]:
    """What stands between the braces, one by one; a plain run of numbers as a range, which takes no room."""
    items: list[str] = []
    for part in inside.split(","):
        part = part.strip()
        low, dash, high = (side.strip() for side in part.partition("-"))
        if not part:
            raise RangeError(f"an empty place in {quoted(f'{{{inside}}}')}: a range is such as {{1-16}} or {{L,R}}")
        if not dash and not _OTHER_DASH.search(part):
            items.append(part)
            continue
        if not (_whole(low) and _whole(high)):
            meant = f": did you mean {quoted(f'{{{low},{high}}}')}?" if low and high else ""
            raise RangeError(f"{quoted(f'{{{inside}}}')} is not a range of numbers such as {{1-16}}{meant}")
        numbers = _run(low, high, f"{{{high}-{low}}}", most - len(items))
        width = len(low) if low[0] == "0" else 0  # {01-16} keeps its noughts
        if width <= 1 and part == inside.strip():
            return numbers
        items += [str(number).zfill(width) for number in numbers] if width > 1 else map(str, numbers)
    return items


def points(text: str, most: int = MOST) -> Sequence[int]:
    """The points for which ``1-12``, ``5`` or ``1-4, 9`` stands, in the order written.

    Raises :class:`RangeError` where the text is not such a range, :class:`TooMany` where it has more than ``most``.

    >>> list(points("1-4, 9"))
    [1, 2, 3, 4, 9]
    """
    if "," not in text:
        return _points(text, most)
    numbers: list[int] = []
    for part in text.split(","):
        numbers += _points(part, most - len(numbers))
    return numbers


def _points(text: str, most: int) -> range:
    low, dash, high = text.partition("-")
    low, high = low.strip(), high.strip() if dash else low.strip()
    if not (_whole(low) and _whole(high)):
        raise RangeError("points are written such as 5, 1-12 or 1-4, 9")
    if low.strip("0") == "":
        raise RangeError("points are counted from 1")
    return _run(low, high, f"{high}-{low}", most)


def _whole(digits: str) -> bool:
    return digits.isdigit() and digits.isascii()


def _run(low: str, high: str, turned: str, most: int) -> range:
    """The numbers from low to high, both counted in."""
    if len(low) > _MOST_DIGITS or len(high) > _MOST_DIGITS:
        raise TooMany(f"its numbers go beyond {MOST:,}")
    first, last = int(low), int(high)
    if last < first:
        raise RangeError(f"the range runs backwards: did you mean {turned}?")
    if last - first >= most:
        raise TooMany(f"it stands for {last - first + 1:,} places, at most {max(most, 0):,} are allowed")
    return range(first, last + 1)


class Stretch(NamedTuple):
    """Jacks side by side in one row: ``A41-42`` is row A from 41 to 42."""

    row: str
    first: int
    last: int


def stretch(text: str) -> Stretch | None:
    """The jacks that ``A5`` or ``MR-C12-16`` names, or None where the text has not that form.

    >>> stretch("MR-C12-16")
    Stretch(row='MR-C', first=12, last=16)
    >>> stretch("Mix L")
    """
    single = split_address(text)
    if single is not None:
        return Stretch(single[0], single[1], single[1])
    start, dash, last = text.rpartition("-")
    first = split_address(start)
    if not dash or first is None or not _whole(last) or len(last) > _MOST_DIGITS:
        return None
    return Stretch(first[0], first[1], int(last))
