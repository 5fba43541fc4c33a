"""The help, made from the table of commands, the table of keys and the table of marks."""

from __future__ import annotations

from model.commands.table import GROUPS
from model.text.caution import CAUTION
from tui.screen.ink import Ink, Piece, cells
from tui.screen.keys import PLACES, WORDS, keys_of
from tui.screen.marks import LEGEND
from tui.screen.reading import ReadingScreen
from tui.screen.told_words import Item

MOUSE = (
    "A click on an empty jack, then on another: a cord between them, ready for Enter. The same jack twice: a loose end.",
    "A click on a plug: pull its cord; again: unplug that plug alone; then on an empty jack: move the plug there.",
    "A click on the preview does the entry. The names offered and the keys at the foot can be clicked. The wheel scrolls.",
)
COLUMN = 30  # cells for what is typed or pressed


def help_items(ink: Ink) -> list[Item]:
    """All of the help."""
    return [
        Item([ink.mark("warning"), Piece(f" {CAUTION}")]),
        *_commands(ink),
        *_keys(),
        *_heading("With the mouse"),
        *(Item([Piece(text)]) for text in MOUSE),
        *_marks(ink),
    ]


def _heading(text: str) -> list[Item]:
    return [Item([]), Item([Piece(text, "title")])]


def _row(left: str, right: str) -> Item:
    gap = " " * max(2, COLUMN - cells(left))
    return Item([Piece(left, "key"), Piece(gap), Piece(right)], COLUMN)


def _commands(ink: Ink) -> list[Item]:
    entries = []
    cautioned: dict[str, list[str]] = {}
    for title, commands in GROUPS:
        entries += _heading(f"Typed: {title}")
        for command in commands:
            entries += [_row(form.usage, form.does) for form in command.forms]
            if command.caution:
                cautioned.setdefault(command.caution, []).append(command.word)
    entries += _heading("Typed: always")
    entries.append(_row("any of these and  ?", "says what would happen, and changes nothing"))
    entries.append(_row(", ".join(WORDS), "do what a key does (see below)"))
    entries.append(Item([Piece("A jack is its address (A28) or a name: short, in any case, its words in any order.")]))
    for caution, words in cautioned.items():
        entries.append(Item([ink.mark("warning"), Piece(f" Before {', '.join(words)}: {caution}")]))
    return entries


def _keys() -> list[Item]:
    entries = []
    for place, title in PLACES.items():
        entries += _heading(title)
        entries += [_row(key.shown, key.does) for key in keys_of(place)]
    return entries


def _marks(ink: Ink) -> list[Item]:
    entries = []
    for title, marks in LEGEND:
        entries += _heading(title)
        entries += [Item([Piece("  "), ink.mark(mark.name), Piece(f"  {mark.means}")], 5) for mark in marks]
    return entries


class HelpScreen(ReadingScreen):
    """The help over everything else."""

    def __init__(self, ink: Ink) -> None:
        super().__init__(ink, "help", help_items(ink))
