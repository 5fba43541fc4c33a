"""What a typed line did, or would do, in words with their marks: for the preview and for the list of what happened."""

from __future__ import annotations

from typing import NamedTuple

from model.session import Outcome
from model.warning import DANGER, NOTE, WARNING, Warn, figure_words
from model.words import BROKEN, CAUTION, CLEARED, MADE, RAISED, SAID, SPLIT, TIED, Told, told
from tui.ink import Ink, Piece, Words


class Saying(NamedTuple):
    """How a kind of consequence is said: its mark, the word before Enter, and the word after it."""

    mark: str
    would: str
    did: str


SAYINGS: dict[str, Saying] = {
    CAUTION: Saying("danger", "first:", "caution:"),
    RAISED: Saying("warning", "raises", "raised"),
    TIED: Saying("tied", "ties", "tied"),
    BROKEN: Saying("broken", "breaks", "broke"),
    MADE: Saying("made", "makes", "made"),
    SPLIT: Saying("split", "splits", "split"),
    CLEARED: Saying("cleared", "ends", "ended"),
    SAID: Saying("said", "", ""),
}


WORD_ROLES: dict[str, str] = {DANGER: "alarm", WARNING: "warning", NOTE: "note"}


class Entry(NamedTuple):
    """One entry of a list: its words, and how far in they go on where they are wrapped."""

    words: Words
    hang: int = 2


def sayings(ink: Ink, outcome: Outcome) -> list[Entry]:
    """The consequences of a line, one an entry: cautions first, then warnings, then connections, then its answer."""
    lines = [*told(outcome.change), *(Told(SAID, words) for words in outcome.answer.words)]
    return [_entry(ink, line, outcome.asked) for line in lines]


def _entry(ink: Ink, line: Told, would: bool) -> Entry:
    saying = SAYINGS[line.kind]
    mark = ink.mark(line.severity if line.severity and line.kind != CLEARED else saying.mark)
    verb = saying.would if would else saying.did
    if line.kind == RAISED:
        verb = f"{line.severity}:"
    words: Words = [mark, Piece(" ")]
    if verb:
        words += [Piece(verb, WORD_ROLES[line.severity] if line.kind in (RAISED, CAUTION) else "faint"), Piece(" ")]
    return Entry([*words, Piece(line.text)], 2 + len(line.text) - len(line.text.lstrip(" ")))


def would_do(ink: Ink, outcome: Outcome, mind: str) -> list[Entry]:
    """The preview of a line that can be read; ``mind`` is what must be minded before it."""
    entries = sayings(ink, outcome)
    first = (
        [Entry([ink.mark("warning"), Piece(" first: ", "warning"), Piece(mind)])]
        if mind and not outcome.change.cautions
        else []
    )
    if not entries:
        entries = [Entry([ink.mark("said"), Piece(" changes no connection", "faint")])]
    return [*first, *entries]


def did(ink: Ink, outcome: Outcome) -> list[Entry]:
    """The entries of an accepted line in the list of what happened: what was typed, then what it did."""
    words: Words = [Piece(f"> {outcome.typed.strip()}", "strong")]
    if outcome.change.cord is not None:
        words.append(Piece(f"  #{outcome.change.cord}", "plugged"))
    entries = sayings(ink, outcome) or [Entry([ink.mark("said"), Piece(" changed no connection", "faint")])]
    return [Entry(words), *entries]


def refused(ink: Ink, reason: str) -> list[Entry]:
    """Why a line was not taken."""
    return [Entry([ink.mark("refused"), Piece(" not done: ", "strong"), Piece(reason.removeprefix("not done, "))])]


def not_yet(ink: Ink, reason: str) -> list[Entry]:
    """Why a line that is still being typed cannot be done yet."""
    return [Entry([Piece(ink.characters["dot"], "faint"), Piece(f" not yet: {reason}", "faint")])]


def standing(ink: Ink, warning: Warn) -> list[Entry]:
    """A standing warning: what is wrong, its figures, its cure."""
    said = [ink.mark(warning.severity), Piece(" "), Piece(f"{warning.severity}:", WORD_ROLES[warning.severity])]
    entries = [Entry([*said, Piece(f" {warning.text}")])]
    if warning.figures:
        entries.append(Entry([Piece(f"  figures: {figures_words(warning)}", "faint")]))
    if warning.cure:
        entries.append(Entry([Piece("  cure: ", "faint"), Piece(warning.cure)]))
    return entries


def figures_words(warning: Warn) -> str:
    """A warning's figures, rounded for the eye, each with its name and unit."""
    words = [f"{_figure_name(name)} {figure_words(name, value)}" for name, value in sorted(warning.figures.items())]
    return "; ".join(words)


def _figure_name(name: str) -> str:
    has_unit = " " in figure_words(name, 2.0)
    return (name.rpartition("_")[0] if has_unit else name).replace("_", " ")
