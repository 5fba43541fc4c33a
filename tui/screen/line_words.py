"""What a typed line did, or would do, in words with their marks: for the preview and for the list of what happened."""

from __future__ import annotations

import re
from typing import NamedTuple

from model.entry.requests import ActsAtBay
from model.live.words import BROKEN, CAUTION, CLEARED, JOINED, MADE, RAISED, SAID, SPLIT, Told, told
from model.session import Outcome
from model.signal.warning import DANGER, NOTE, WARNING, Alert, figure_words
from tui.screen.ink import Ink, Piece, Words


class Saying(NamedTuple):
    """How a kind of consequence is said: its mark, the word before Enter, and the word after it."""

    mark: str
    would: str
    did: str


SAYINGS: dict[str, Saying] = {
    CAUTION: Saying("danger", "first:", "caution:"),
    RAISED: Saying("warning", "raises", "raised"),
    JOINED: Saying("joined", "joins", "joined"),
    BROKEN: Saying("broken", "breaks", "broke"),
    MADE: Saying("made", "makes", "made"),
    SPLIT: Saying("split", "splits", "split"),
    CLEARED: Saying("cleared", "ends", "ended"),
    SAID: Saying("said", "", ""),
}


WORD_ROLES: dict[str, str] = {DANGER: "alarm", WARNING: "warning", NOTE: "note"}


# What a line of an answer begins with where a step of the work list must be cautioned, and its mark.
STEP_MARKS: dict[str, str] = {"caution:": "warning", "danger:": "danger"}
# A consequence as a proposal tells it: its kind, how bad it is, its words.
_CONSEQUENCE = re.compile(r" {5}(\w+) (?:\[(\w+)\] )?(.*)")


class Entry(NamedTuple):
    """One entry of a list: its words, and how far in they go on where they are wrapped."""

    words: Words
    hang: int = 2


def sayings(ink: Ink, outcome: Outcome) -> list[Entry]:
    """The consequences of a line, one an entry: cautions first, then warnings, then connections, then its answer."""
    return [
        *(_entry(ink, line, outcome.asked) for line in told(outcome.change)),
        *(_said(ink, text, outcome) for text in outcome.answer.words),
    ]


def _said(ink: Ink, text: str, outcome: Outcome) -> Entry:
    """A line of an answer. What a proposal would do, and what must be cautioned at a step, has its mark as elsewhere."""
    if "proposals" in outcome.answer.extra:
        found = _CONSEQUENCE.fullmatch(text)
        if found is not None and found[1] in SAYINGS:
            entry = _entry(ink, Told(found[1], found[3], found[2] or ""), True)
            return Entry([Piece("     "), *entry.words], 7)
    kind = step_mark(text, outcome)
    if kind:
        words = text.lstrip(" ")
        indent = len(text) - len(words)
        return Entry([ink.mark(STEP_MARKS[kind]), Piece(f" {' ' * indent}"), Piece(words)], 2 + indent)
    return _entry(ink, Told(SAID, text), outcome.asked)


def step_mark(text: str, outcome: Outcome) -> str:
    """Whether a line of an answer says what must be cautioned at a step, and which of the table's words it begins with."""
    word = text.split(None, 1)[0] if text.strip() else ""
    ours = isinstance(outcome.line, ActsAtBay) or text.startswith("   ")
    return word if ours and word in STEP_MARKS else ""


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


def would_do(ink: Ink, outcome: Outcome, caution: str) -> list[Entry]:
    """The preview of a line that can be read; ``caution`` is what must be cautioned before it."""
    cautions = [text for text in outcome.answer.words if not text.startswith(" ") and step_mark(text, outcome)]
    rest = tuple(text for text in outcome.answer.words if text not in cautions)
    entries = sayings(ink, outcome._replace(answer=outcome.answer._replace(words=rest)))
    told_first = [text.partition(" ")[2] for text in cautions]
    if caution and not cautions and not outcome.change.cautions:
        told_first = [caution]
    first = [first_of_all(ink, text) for text in told_first]
    if not entries:
        entries = [Entry([ink.mark("said"), Piece(" changes no connection", "faint")])]
    return [*first, *entries]


def first_of_all(ink: Ink, caution: str) -> Entry:
    """What must be cautioned before anything else."""
    return Entry([ink.mark("warning"), Piece(" first: ", "warning"), Piece(caution)])


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


def standing(ink: Ink, warning: Alert) -> list[Entry]:
    """A standing warning: what is wrong, its figures, its fix."""
    said = [ink.mark(warning.severity), Piece(" "), Piece(f"{warning.severity}:", WORD_ROLES[warning.severity])]
    entries = [Entry([*said, Piece(f" {warning.text}")])]
    if warning.figures:
        entries.append(Entry([Piece(f"  figures: {figures_words(warning)}", "faint")]))
    if warning.fix:
        entries.append(Entry([Piece("  fix: ", "faint"), Piece(warning.fix)]))
    return entries


def figures_words(warning: Alert) -> str:
    """A warning's figures, rounded for the eye, each with its name and unit."""
    words = [f"{_figure_name(name)} {figure_words(name, value)}" for name, value in sorted(warning.figures.items())]
    return "; ".join(words)


def _figure_name(name: str) -> str:
    has_unit = " " in figure_words(name, 2.0)
    return (name.rpartition("_")[0] if has_unit else name).replace("_", " ")
