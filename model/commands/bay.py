"""How the commands beside cords and phantom are read at the bay: the input list, undo, notes."""

from __future__ import annotations

import re
from dataclasses import dataclass

from model.bay import actions
from model.bay.refusals import Malformed
from model.entry.alone import nothing_after
from model.entry.answer import Answer
from model.entry.draft import Draft
from model.entry.entry import Acts, AtBay, Changes, Entry
from model.entry.notes import NOTES
from model.entry.session_state import Taken
from model.language.ends import Ends
from model.language.names import Names
from model.language.quotes import Quotes
from model.language.readings import Readings
from model.live.told import said

LONGEST_NOTE = 1000  # characters
_ON = re.compile(r"\s+on\s+", re.IGNORECASE)


def read_put(text: str, names: Names) -> AtBay:
    """'MICROPHONE on LINE', or on several lines."""
    quotes = Quotes(text.strip())
    ends = Ends(names, quotes)
    readings: Readings[AtBay] = Readings()
    parts = _ON.split(quotes.text)
    if len(parts) < 2:
        raise Malformed("say which microphone on which line: put MICROPHONE on X", text)
    for cut in range(1, len(parts)):  # a name may hold the word 'on' itself
        mic, lines = " on ".join(parts[:cut]), " on ".join(parts[cut:])
        for texts in ends.forms(lines, readings):
            readings.attempt(lambda mic=mic, texts=texts: _put(mic, texts, ends))  # type: ignore[misc]
    return readings.one(text.strip())


def _put(mic: str, lines: tuple[str, ...], ends: Ends) -> AtBay:
    name = ends.names.mic(ends.quotes.bare(mic)).name
    ports = [ends.names.mic_line(ends.quotes.bare(line)).name for line in lines]
    return AtBay(actions.together([actions.Put(name, port) for port in dict.fromkeys(ports)]))


def read_clear(text: str, names: Names) -> AtBay:
    """'LINE', or several: their microphones go back to the locker."""
    quotes = Quotes(text.strip())
    ends = Ends(names, quotes)
    readings: Readings[AtBay] = Readings()
    for texts in ends.forms(quotes.text, readings):
        readings.attempt(lambda texts=texts: _clear(texts, ends))  # type: ignore[misc]
    return readings.one(text.strip())


def _clear(lines: tuple[str, ...], ends: Ends) -> AtBay:
    ports = [ends.names.mic_line(ends.quotes.bare(line)).name for line in lines]
    return AtBay(actions.together([actions.Clear(port) for port in dict.fromkeys(ports)]))


def read_note(text: str, names: Names) -> Entry:
    """Any words."""
    if not text.strip():
        raise Malformed("a note needs words: note kick mic hums")
    if len(text) > LONGEST_NOTE:
        raise Malformed(f"a note has at most {LONGEST_NOTE} characters, and this one {len(text)}")
    return Note(text.strip())


@dataclass(frozen=True, slots=True)
class Undo(Acts):
    """Take the last step back, whoever did it."""

    def __str__(self) -> str:
        return "undo"

    def run(self, draft: Draft) -> Answer:
        """Take it back."""
        step, change = draft.undo()
        return Answer(change, said(f"undone: {step.entry}{_typed_by(step, draft)}"))


@dataclass(frozen=True, slots=True)
class Redo(Acts):
    """Do again what was taken back last."""

    def __str__(self) -> str:
        return "redo"

    def run(self, draft: Draft) -> Answer:
        """Do it again."""
        step, change = draft.redo()
        return Answer(change, said(f"done again: {step.entry}{_typed_by(step, draft)}"))


def _typed_by(step: Taken, draft: Draft) -> str:
    return "" if step.by in ("", draft.seat) else f" (typed by {step.by})"


@dataclass(frozen=True, slots=True)
class Note(Changes):
    """Words for the record."""

    text: str

    def __str__(self) -> str:
        return f"note {self.text}"

    def run(self, draft: Draft) -> Answer:
        """Keep them."""
        draft.put(NOTES, (*draft.get(NOTES), self.text))
        return Answer(said=said(f"noted: {self.text}"))


read_undo = nothing_after("undo", Undo())
read_redo = nothing_after("redo", Redo())
