"""The lists that can be shown: each a title, and a function from the screen's session to its entries.

A further list is a further line of the table.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

from model.session import Outcome, Session
from tui.screen.ink import Ink, Piece
from tui.screen.line_words import Entry, did, standing

MAX_ENTRIES = 2000


class Happened:
    """What the lines of this session did, in words, newest last."""

    def __init__(self) -> None:
        self.entries: list[Entry] = []
        self.newest: list[Entry] = []

    def add(self, entries: list[Entry]) -> None:
        """The next line's entries."""
        self.newest = entries
        self.entries += entries
        if len(self.entries) > MAX_ENTRIES:
            self.entries[: -MAX_ENTRIES + 1] = [Entry([Piece("what happened before is not shown here", "faint")])]


class Page(NamedTuple):
    """A list: its title, its entries, and whether its end is what counts."""

    title: str
    entries: Callable[[Session, Happened, Ink], list[Entry]]
    at_end: bool


def _happened(_session: Session, happened: Happened, _ink: Ink) -> list[Entry]:
    return happened.entries or [Entry([Piece("nothing yet", "faint")])]


def _warnings(session: Session, _happened: Happened, ink: Ink) -> list[Entry]:
    standing_now = session.patch.standing_warnings()
    if not standing_now:
        return [
            Entry([Piece("no warning stands: that is what the record implies, not that the room is safe", "faint")])
        ]
    return [entry for warning in standing_now for entry in standing(ink, warning)]


PAGES: dict[str, Page] = {
    "warnings": Page("warnings", _warnings, False),
    "happened": Page("what happened", _happened, True),
}
LISTS = ("warnings", "happened")  # the pages that have a place of their own where there is room


def house_patch(session: Session, enter: Callable[[str], Outcome], ink: Ink) -> list[Entry]:
    """Plug the room's house patch, line by line; the answer is what that did."""
    lines = session.house_entries()
    entries: list[Entry] = []
    if lines:
        entries.append(Entry([Piece(f"the house patch, {len(lines)} cord{'' if len(lines) == 1 else 's'}:", "title")]))
    for line in lines:
        outcome = enter(line)
        if outcome.error is None:
            entries += did(ink, outcome)
        else:
            entries.append(Entry([ink.mark("refused"), Piece(f" house patch: {line}: {outcome.error}")]))
    return entries
