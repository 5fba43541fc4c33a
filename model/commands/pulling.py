"""Cords and plugs out: 'pull hall 1-8', 'pull 8', 'unplug X, Y', by jacks, names and cords' numbers."""

from __future__ import annotations

import re
from collections.abc import Callable

from model.bay.actions import Action, Pull, PullAll, Unplug, together
from model.bay.refusals import NotNow
from model.entry.entry import AtBay
from model.language.ends import Ends
from model.language.names import Names
from model.language.quotes import Quotes
from model.language.readings import Readings

_NUMBERS = re.compile(r"#?\s*\d+(?:\s*-\s*\d+)?(?:\s*,\s*#?\s*\d+(?:\s*-\s*\d+)?)*", re.ASCII)


def numbered(text: str) -> str:
    """A list that begins with a bare number, as one of cords: '8' is '#8'.

    >>> numbered("8, 10-12"), numbered("hall 8"), numbered("#8, #9")
    ('#8, 10-12', 'hall 8', '#8, #9')
    """
    text = text.strip()
    return f"#{text}" if text[:1].isdecimal() and _NUMBERS.fullmatch(text) else text


def _of_list(text: str, names: Names, by_jack: Callable[[Ends, int, str], Action]) -> AtBay:
    quotes = Quotes(numbered(text))
    ends = Ends(names, quotes)
    readings: Readings[AtBay] = Readings()
    for texts in ends.forms(quotes.text, readings):
        readings.attempt(lambda texts=texts: _each(texts, ends, by_jack))  # type: ignore[misc]
    return readings.one(text.strip())


def _each(texts: tuple[str, ...], ends: Ends, by_jack: Callable[[Ends, int, str], Action]) -> AtBay:
    actions: dict[str, Action] = {}  # a cord with both plugs in the list is pulled once
    empty: list[str] = []
    names = ends.names
    for text in texts:
        number = names.cord(text)
        if number is not None:
            action: Action = Pull(number)
        else:
            jack = ends.end(text, "", True)[0]
            if len(texts) > 1 and jack not in names.state.plugs:
                empty.append(names.address(jack))
                continue
            action = by_jack(ends, jack, text)
        actions.setdefault(str(action), action)
    if empty:
        there = " and ".join([", ".join(empty[:-1]), empty[-1]] if empty[:-1] else empty)
        raise NotNow(f"{there} {'is' if len(empty) == 1 else 'are'} empty", ", ".join(map(str, actions.values())))
    return AtBay(together(list(actions.values())))


def read_unplug(text: str, names: Names) -> AtBay:
    """'C3': the plug in that jack; '#7', '7': the whole cord; lists of them."""
    return _of_list(text, names, lambda ends, jack, _: Unplug(ends.address(jack)))


def read_pull(text: str, names: Names) -> AtBay:
    """'#7', '7', the cord in a jack, lists of them, or 'all'."""
    if text.strip().casefold() == "all":
        return AtBay(PullAll())
    return _of_list(text, names, lambda ends, jack, said: Pull(ends.names.cord_in(jack, said)))
