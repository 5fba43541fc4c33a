"""What an entry did, or would do, in words with their marks: for the preview and for the list of what happened."""

from __future__ import annotations

from typing import NamedTuple

from model.live.told import (
    BROKEN,
    CAUTION,
    CHANGED,
    CLEARED,
    FIX,
    JOINED,
    MADE,
    PASSING,
    RAISED,
    SAID,
    SPLIT,
    Told,
    told,
)
from model.session import Outcome
from model.signal.warning import DANGER, NOTE, WARNING, Alert, figure_words
from tui.screen.ink import Ink, Piece, Words


class Saying(NamedTuple):
    """How a kind of consequence is said: its mark, and a word that is the same before Enter and after it."""

    mark: str
    word: str


SAYINGS: dict[str, Saying] = {
    CAUTION: Saying("danger", "caution:"),
    RAISED: Saying("warning", "raises"),
    JOINED: Saying("joined", "joins"),
    BROKEN: Saying("broken", "breaks"),
    MADE: Saying("made", "makes"),
    SPLIT: Saying("split", "splits"),
    CLEARED: Saying("cleared", "ends"),
    CHANGED: Saying("warning", "now:"),
    PASSING: Saying("danger", "danger"),
    FIX: Saying("said", "fix:"),
    SAID: Saying("said", ""),
}


WORD_ROLES: dict[str, str] = {DANGER: "alarm", WARNING: "warning", NOTE: "note"}


class Item(NamedTuple):
    """One entry of a list: its words, and how far in they go on where they are wrapped."""

    words: Words
    hang: int = 2


def sayings(ink: Ink, outcome: Outcome) -> list[Item]:
    """The consequences of an entry, one an item: cautions first, then warnings, then connections, then its answer."""
    return [_item(ink, each) for each in all_told(outcome)]


def all_told(outcome: Outcome) -> list[Told]:
    """All that is told of an outcome."""
    return [*told(outcome.change, outcome.before.patch.room), *outcome.answer.said]


def _item(ink: Ink, each: Told) -> Item:
    saying = SAYINGS[each.kind]
    mark = ink.mark(each.severity if each.severity and each.kind != CLEARED else saying.mark)
    verb = saying.word
    if each.kind == RAISED:
        verb = f"{each.severity}:"
    indent = Piece(" " * each.indent)
    words: Words = [mark, Piece(" "), indent] if each.kind == SAID else [indent, mark, Piece(" ")]
    if verb:
        role = WORD_ROLES[each.severity] if each.severity and each.kind in (RAISED, CAUTION, PASSING) else "faint"
        words += [Piece(verb, role), Piece(" ")]
    return Item([*words, Piece(each.words)], 2 + each.indent)


def would_do(ink: Ink, outcome: Outcome, caution: str) -> list[Item]:
    """The preview of an entry that can be read; ``caution`` is what it must say first where nothing worse does."""
    everything = all_told(outcome)
    cautions = [each for each in everything if each.kind == CAUTION and not each.indent]
    rest = [each for each in everything if each not in cautions]
    first = [_item(ink, each) for each in cautions]
    if caution and not any(each.kind == CAUTION for each in everything):
        first = [first_of_all(ink, caution)]
    entries = [_item(ink, each) for each in rest]
    if not entries:
        entries = [Item([ink.mark("said"), Piece(" changes no connection", "faint")])]
    return [*first, *entries]


def first_of_all(ink: Ink, caution: str) -> Item:
    """What must be cautioned before anything else."""
    return Item([ink.mark("warning"), Piece(" caution: ", "warning"), Piece(caution)])


def did(ink: Ink, outcome: Outcome) -> list[Item]:
    """The entries of an accepted entry in the list of what happened: what was typed, then what it did."""
    words: Words = [Piece(f"> {outcome.typed.strip()}", "strong")]
    words += [Piece(f"  #{number}", "plugged") for number in outcome.change.cords]
    entries = sayings(ink, outcome) or [Item([ink.mark("said"), Piece(" changed no connection", "faint")])]
    return [Item(words), *entries]


def refused(ink: Ink, reason: str) -> list[Item]:
    """Why an entry was not taken."""
    return [Item([ink.mark("refused"), Piece(" not done: ", "strong"), Piece(reason.removeprefix("not done, "))])]


def not_yet(ink: Ink, reason: str) -> list[Item]:
    """Why an entry that is still being typed cannot be done yet."""
    return [Item([Piece(ink.characters["dot"], "faint"), Piece(f" not yet: {reason}", "faint")])]


def standing(ink: Ink, warning: Alert) -> list[Item]:
    """A standing warning: what is wrong, its figures, its fix."""
    said = [ink.mark(warning.severity), Piece(" "), Piece(f"{warning.severity}:", WORD_ROLES[warning.severity])]
    entries = [Item([*said, Piece(f" {warning.text}")])]
    if warning.figures:
        entries.append(Item([Piece(f"  figures: {figures_words(warning)}", "faint")]))
    if warning.fix:
        entries.append(Item([Piece("  fix: ", "faint"), Piece(warning.fix)]))
    return entries


def figures_words(warning: Alert) -> str:
    """A warning's figures, rounded for the eye, each with its name and unit."""
    words = [f"{_figure_name(name)} {figure_words(name, value)}" for name, value in sorted(warning.figures.items())]
    return "; ".join(words)


def _figure_name(name: str) -> str:
    has_unit = " " in figure_words(name, 2.0)
    return (name.rpartition("_")[0] if has_unit else name).replace("_", " ")
