"""A list of names as it is typed: 'hall 1-8', 'hall 2, 3, 7', 'A1-8', 'mix l, r', and what each may stand for."""

from __future__ import annotations

import re
from itertools import islice, product

from model.bay.refusals import Malformed

MOST = 96  # names in a list
_RANGE = re.compile(r"(?<!\d)(\d{1,5})\s*-\s*(\d{1,5})(?!\d)")
_NUMBER = re.compile(r"\d+(?=\D*$)")
_SIDE = re.compile(r"(?<![^\W\d_])[lr](?![^\W\d_])(?!.*(?<![^\W\d_])[lr](?![^\W\d_]))", re.IGNORECASE)
_MOST_FORMS = 64

Texts = tuple[str, ...]


def forms(text: str) -> list[Texts]:
    """All lists of names that a text may be: commas part it, a name with a dash may be a range.

    >>> forms("hall 1-3"), forms("mix l, r")
    ([('hall 1-3',), ('hall 1', 'hall 2', 'hall 3')], [('mix l', 'mix r')])
    """
    text = text.strip()
    items = [item.strip() for item in text.split(",")]
    if "" in items and len(items) > 1:
        raise Malformed("a name is missing beside ','", text)
    whole: list[str] = []
    choices: list[list[Texts]] = []
    for item in items:
        item = _continued(item, whole[-1], text) if whole else item
        ranged = _ranged(item)
        choices.append([(item,), *([ranged] if ranged is not None else [])])
        whole.append(item if ranged is None else ranged[-1])
    found = [sum(chosen, ()) for chosen in islice(product(*choices), _MOST_FORMS)]
    for each in found:
        _bounded(len(each), text)
    return found


def _ranged(item: str) -> Texts | None:
    """The names of a range; None where the text holds none, or several."""
    found = list(_RANGE.finditer(item))
    if len(found) != 1:
        return None
    first, last = int(found[0][1]), int(found[0][2])
    step = 1 if first <= last else -1
    _bounded(abs(last - first) + 1, item)
    before, after = item[: found[0].start()], item[found[0].end() :]
    return tuple(f"{before}{number}{after}" for number in range(first, last + step, step))


def _continued(item: str, before: str, text: str) -> str:
    """An item that only goes on from the one before it, written out: a number, a range, L or R."""
    if re.fullmatch(r"\d+(\s*-\s*\d+)?", item, re.ASCII):
        return _in_place(_NUMBER, item, before, text)
    if item.casefold() in ("l", "r"):
        return _in_place(_SIDE, item, before, text)
    return item


def _in_place(pattern: re.Pattern[str], item: str, before: str, text: str) -> str:
    found = pattern.search(before)
    if found is None:
        raise Malformed(f"'{item}' goes on from '{before}', which ends in no such thing", text)
    return f"{before[: found.start()]}{item}{before[found.end() :]}"


def _bounded(count: int, text: str) -> None:
    if count > MOST:
        raise Malformed(f"a list has at most {MOST} names, and this one {count}", text)
