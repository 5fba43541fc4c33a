"""Every character by which the screen marks something: its Unicode form, its ASCII form, and what it means.

Shape comes first and colour only repeats it, so no two states share a character. The help screen prints this table.
"""

from __future__ import annotations

from typing import NamedTuple


class Mark(NamedTuple):
    """One mark. Each form is one cell wide. ``role`` is its colour (see :mod:`tui.screen.theme`)."""

    name: str
    unicode: str
    ascii: str
    role: str
    means: str


JACKS: tuple[Mark, ...] = (
    Mark("wired", "○", "o", "empty", "empty jack; a port is wired to it"),
    Mark("tie", "◇", "t", "empty", "empty jack; a tie line is wired to it"),
    Mark("mult", "□", "m", "empty", "empty jack; it belongs to a mult"),
    Mark("bare", "·", ".", "faint", "empty jack; nothing is wired to it"),
)

# What stands before a jack. The first that applies is shown.
BESIDE_JACKS: tuple[Mark, ...] = (
    Mark("cursor", "▸", ">", "cursor", "the jack that is described"),
    Mark("wanted", "?", "?", "wanted", "the entry being typed is about this jack"),
    Mark("lit", "*", "*", "lit", "lit by the last answer"),
    Mark("danger", "▲", "X", "danger", "danger on this net: it can hurt gear or ears"),
    Mark("warning", "!", "!", "warning", "warning on this net: it spoils the signal"),
    Mark("loose", "╰", ",", "note", "loose end: the cord's other plug is in no jack"),
    Mark("changed", "•", "=", "changed", "changed by the last entry"),
    Mark("note", "i", "i", "note", "note on this net: worth knowing"),
)

# The bar of a normal stands where a plug breaks it: below, above, at both, at neither.
NORMALS: tuple[Mark, ...] = (
    Mark("full", "┼", "+", "normal", "full normal: a plug in either jack breaks it"),
    Mark("half", "┴", "L", "normal", "half normal: only a plug in the bottom jack breaks it"),
    Mark("half top", "┬", "T", "normal", "half normal, broken at the top: only a plug in the top jack breaks it"),
    Mark("parallel", "║", "H", "normal", "parallel: no plug breaks it"),
)

BESIDE_NORMALS: tuple[Mark, ...] = (
    Mark("open", "╱", "/", "open", "before a normal: it is open now"),
    Mark("cross above", "↑", "^", "normal", "the jack above has a cross normal, closed now"),
    Mark("cross above, open", "⇡", "'", "open", "the jack above has a cross normal, open now"),
    Mark("cross below", "↓", "v", "normal", "the jack below has a cross normal, closed now"),
    Mark("cross below, open", "⇣", "`", "open", "the jack below has a cross normal, open now"),
    Mark("cross both", "↕", "x", "normal", "both jacks have cross normals, all closed now"),
    Mark("cross both, open", "↨", "%", "open", "both jacks have cross normals, one or more open now"),
)

# What an entry does, in lists.
LISTS: tuple[Mark, ...] = (
    Mark("made", "+", "+", "made", "connection made"),
    Mark("broken", "╱", "/", "broken", "connection broken"),
    Mark("split", "<", "<", "text", "one output feeds more than one input"),
    Mark("joined", "»", "&", "warning", "outputs meet on one line"),
    Mark("cleared", "✓", "v", "made", "a warning's cause is gone; a step of the work list is done"),
    Mark("said", "·", "-", "text", "an answer in words"),
    Mark("refused", "×", "x", "danger", "the entry was not taken, and why"),
)

OTHER: tuple[Mark, ...] = (
    Mark("cut", "…", "~", "faint", "text is cut here"),
    Mark("rule", "─", "-", "faint", ""),
    Mark("dot", "·", "-", "faint", ""),
    Mark("bar", "│", "|", "faint", ""),
    Mark("thumb", "█", "#", "text", "how far a list or the bays are scrolled"),
    Mark("up", "▲", "^", "text", ""),
    Mark("down", "▼", "v", "text", ""),
)

TABLES = (JACKS, BESIDE_JACKS, NORMALS, BESIDE_NORMALS, LISTS, OTHER)
LEGEND: tuple[tuple[str, tuple[Mark, ...]], ...] = (
    ("A jack (a number is the cord's that it holds)", JACKS),
    ("Before a jack", BESIDE_JACKS),
    ("A normal, between its jacks", NORMALS),
    ("Beside a normal", BESIDE_NORMALS),
    ("In lists", LISTS),
)

MARKS: dict[str, Mark] = {mark.name: mark for table in TABLES for mark in table}


def characters(ascii_only: bool) -> dict[str, str]:
    """The character of each mark."""
    return {name: mark.ascii if ascii_only else mark.unicode for name, mark in MARKS.items()}
