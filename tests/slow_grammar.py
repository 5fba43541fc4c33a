"""A slow reader of cords: every way to part a text is tried, every name is compared with every other.

It knows the grammar of the help's topic on entries, and shares with the program only what one name means by itself.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from itertools import combinations, pairwise, permutations, product

from model.bay.actions import Plug, together
from model.bay.refusals import Refusal
from model.language.nameindex import words_of
from model.language.names import IN, OUT, Names


def cords(text: str, names: Names) -> set[str]:
    """The canonical forms of all that a text without its command's word can be: cords from a list to a list."""
    found: set[str] = set()
    for ends in _parted(text):
        for left in _lists(ends[0], OUT, names):
            way = IN if len(ends) > 2 else _other(left, names)
            for sides in product([left], *(_lists(end, way, names) for end in ends[1:])):
                if len({len(side) for side in sides}) == 1:
                    jacks = [tuple(names.address(jack) for jack in cord) for cord in zip(*sides, strict=True)]
                    found.add(str(together([Plug(cord) for cord in jacks])))
    return found


def _parted(text: str) -> Iterator[list[str]]:
    """All ways to part a text into two ends and, after 'and', more: a sign parts it always, a word wherever it may."""
    if ">" in text:
        firsts = [re.split(r"->|>", text)]
    else:
        words = text.split()
        places = [at for at, word in enumerate(words) if word.lower() == "to"]
        firsts = [[" ".join(words[:at]), " ".join(words[at + 1 :])] for at in places]
    for ends in firsts:
        if len(ends) != 2 or not all(end.strip() for end in ends):
            continue
        words = ends[1].split()
        places = [at for at, word in enumerate(words) if word.lower() == "and"]
        for count in range(len(places) + 1):
            for chosen in combinations(places, count):
                bounds = [-1, *chosen, len(words)]
                others = [" ".join(words[a + 1 : b]) for a, b in pairwise(bounds)]
                if all(others):
                    yield [ends[0], *others]


def _lists(text: str, way: str, names: Names) -> set[tuple[int, ...]]:
    """The jacks of all lists that a text can be."""
    found = set()
    items = [item.strip() for item in text.split(",")]
    for stretched in product(*(_item(items, at) for at in range(len(items)))):
        try:
            jacks = tuple(names.jack(name, way, held=False) for name in sum(stretched, ()))
        except Refusal:
            continue
        if len(set(jacks)) == len(jacks):
            found.add(jacks)
    if len(items) == 1:
        found |= _pairs(items[0], way, names)
    return found


def _item(items: list[str], at: int) -> list[tuple[str, ...]]:
    """What one item of a list can be: a name, and where it holds two numbers and a dash all from one to the other."""
    item = items[at]
    before = items[at - 1] if at else ""
    if at and re.fullmatch(r"\d+(\s*-\s*\d+)?", item):
        before = _last_of(items, at - 1)
        stem = re.search(r"\d+(?=\D*$)", before)
        if stem is None:
            return []
        item = before[: stem.start()] + item + before[stem.end() :]
    elif at and item.lower() in ("l", "r"):
        sides = [word for word in re.finditer(r"\w+", _last_of(items, at - 1)) if word[0].lower() in ("l", "r")]
        if not sides:
            return []
        before = _last_of(items, at - 1)
        item = before[: sides[-1].start()] + item + before[sides[-1].end() :]
    ranges = re.findall(r"(?<!\d)\d+\s*-\s*\d+(?!\d)", item)
    if len(ranges) != 1:
        return [(item,)]
    first, last = map(int, ranges[0].split("-"))
    numbers = range(first, last + 1) if first <= last else range(first, last - 1, -1)
    return [(item,), tuple(item.replace(ranges[0], str(number)) for number in numbers)]


def _last_of(items: list[str], at: int) -> str:
    """The last name for which an item stands."""
    forms = _item(items, at)
    return forms[-1][-1] if forms else ""


def _pairs(text: str, way: str, names: Names) -> set[tuple[int, ...]]:
    """The pair that a text means: two names alike but for L and R are all that it fits best."""
    for group in names.index.matching(text):
        entries = [names.entries[entry] for entry in group.entries]
        entries = [entry for entry in entries if entry.way == way] or entries
        for left, right in permutations(entries, 2):
            one, other = words_of(left.name), words_of(right.name)
            swapped = [{"l": "r"}.get(word, word) for word in one]
            single = sum(word in ("l", "r") for word in one) == 1
            if single and swapped == other and one != other and len(entries) == 2:
                return {tuple(names.jack_of(entry, False, text) for entry in (left, right))}
        return set()
    return set()


def _other(left: tuple[int, ...], names: Names) -> str:
    room = names.room
    ports = [room.ports[room.port_at[jack]] for jack in left if room.port_at[jack] >= 0]
    return OUT if ports and all(port.kind.way == IN for port in ports) else IN
