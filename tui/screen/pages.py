"""The lists that can be shown: each a title, and a function from the screen's session to its entries.

A further list is a further line of the table.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import NamedTuple

from model.session import Outcome, Session
from model.text.listing import counted
from tui.screen.ink import Ink, Piece
from tui.screen.told_words import Item, did, standing

MAX_ENTRIES = 2000


class Happened:
    """What the lines of this session did, in words, newest last."""

    def __init__(self) -> None:
        self.entries: list[Item] = []
        self.newest: list[Item] = []

    def add(self, entries: list[Item]) -> None:
        """The next line's entries."""
        self.newest = entries
        self.entries += entries
        if len(self.entries) > MAX_ENTRIES:
            self.entries[: -MAX_ENTRIES + 1] = [Item([Piece("what happened before is not shown here", "faint")])]


class Page(NamedTuple):
    """A list: its title, its entries, and whether its end is what counts."""

    title: str
    entries: Callable[[Session, Happened, Ink], list[Item]]
    at_end: bool


def _happened(_session: Session, happened: Happened, _ink: Ink) -> list[Item]:
    return happened.entries or [Item([Piece("nothing yet", "faint")])]


def _warnings(session: Session, _happened: Happened, ink: Ink) -> list[Item]:
    standing_now = session.patch.standing_warnings()
    if not standing_now:
        return [Item([Piece("no warning stands: that is what the record implies, not that the room is safe", "faint")])]
    return [entry for warning in standing_now for entry in standing(ink, warning)]


PAGES: dict[str, Page] = {
    "warnings": Page("warnings", _warnings, False),
    "happened": Page("what happened", _happened, True),
}
LISTS = ("warnings", "happened")  # the pages that have a place of their own where there is room


def house_patch(session: Session, enter: Callable[[Sequence[str]], list[Outcome]], ink: Ink) -> list[Item]:
    """Plug the room's house patch, whole or not at all; the answer is what that did."""
    outcomes = enter(session.house_entries())
    if not outcomes:
        return []
    refused = outcomes[-1]
    if refused.error is not None:
        words = f" the house patch is not plugged: {refused.typed}: {refused.error}"
        return [Item([ink.mark("refused"), Piece(words)])]
    entries = [Item([Piece(f"the house patch, {counted(len(outcomes), 'cord')}:", "title")])]
    return entries + [entry for outcome in outcomes for entry in did(ink, outcome)]
