"""How the commands for hands at the bay are read: cords, phantom, the input list, undo, notes."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from model.bay import actions
from model.bay.refusals import Malformed, NotNow, Refusal
from model.entry.alone import nothing_after
from model.entry.answer import Answer
from model.entry.draft import Draft
from model.entry.entry import Acts, AtBay, Changes, Entry
from model.entry.notes import NOTES
from model.entry.session_state import Taken
from model.language.names import IN, OUT, Names
from model.live.told import said
from model.room.cord_length import split_length

LONGEST_NOTE = 1000  # characters
_TAG = re.compile(r"\s+as\s+#\s*(\d+)$", re.IGNORECASE | re.ASCII)


def _ends(text: str) -> list[str]:
    ends = [part.strip() for part in text.split(">")]
    if "" in ends and len(ends) > 1:
        raise Malformed("a name is missing beside '>'", text)
    return ends


def _split_cord(text: str) -> tuple[str, float | None, int | None]:
    """A line without what it says of its cord at the end, in either order: the length in cm, and the number on its tag."""
    length = number = None
    while True:
        try:
            shorter, found = split_length(text)
        except ValueError as why:
            raise Malformed(str(why), text) from None
        tag = None if found is not None else _TAG.search(text)
        if found is None and tag is None:
            return text, length, number
        if (length if found is not None else number) is not None:
            raise Malformed(f"a cord has one {'length' if found is not None else 'number'}, and two are given", text)
        if found is not None:
            text, length = shorter, found
        elif tag is not None:
            text, number = text[: tag.start()], int(tag[1][:7])


def _other_way(names: Names, jacks: Sequence[int]) -> str:
    """Either way round: what a cord that stands at inputs alone is to meet is the output that feeds them."""
    ports = [names.room.ports[at] for jack in jacks if (at := names.room.port_at[jack]) >= 0]
    return OUT if ports and not any(port.kind.is_output for port in ports) else IN


def read_plug(text: str, names: Names) -> AtBay:
    """'X > Y', 'X' for a loose end, '#7 > Y' for the loose end of a cord; 'X > Y > Z' for a cord of three plugs."""
    text, length, number = _split_cord(text)
    ends = _ends(text)
    cord = names.cord(ends[0])
    if cord is not None:
        if len(ends) != 2:
            raise Malformed(f"say where the loose end of cord {cord} goes: #{cord} > C3", text)
        if length is not None or number is not None:
            raise Malformed(f"cord {cord} has its number and its length already", text)
        known = names.state.cords.get(cord)
        way = IN if known is None else _other_way(names, known.plugs)
        return AtBay(actions.PlugLooseEnd(cord, names.address(names.jack(ends[1], way, held=False))))
    if len(ends) > 1 and names.cord(ends[-1]) is not None:
        raise Malformed(f"the cord comes first: {ends[-1]} > {ends[0]}", text)
    jacks = [names.jack(ends[0], OUT, held=False)]
    way = _other_way(names, jacks) if len(ends) == 2 else IN
    jacks += [names.jack(end, way, held=False) for end in ends[1:]]
    return AtBay(actions.Plug(tuple(names.address(jack) for jack in jacks), number, length))


def read_unplug(text: str, names: Names) -> AtBay:
    """'C3': the plug in that jack; '#7': the whole cord."""
    number = names.cord(text)
    if number is not None:
        return AtBay(actions.Pull(number))
    return AtBay(actions.Unplug(names.address(names.jack(text, held=True))))


def read_pull(text: str, names: Names) -> AtBay:
    """'#7', the cord in a jack, or 'all'."""
    if text.strip().casefold() == "all":
        return AtBay(actions.PullAll())
    number = names.cord(text)
    if number is None:
        jack = names.jack(text, held=True)
        number = names.state.plugs.get(jack)
        if number is None:
            raise NotNow(f"{names.address(jack)} is empty", text)
    return AtBay(actions.Pull(number))


def read_move(text: str, names: Names) -> AtBay:
    """'C3 > C9': one plug from one jack to another."""
    ends = _ends(text)
    if len(ends) != 2:
        raise Malformed("say from which jack to which: move C3 > C9", text)
    source = names.jack(ends[0], held=True)
    port = names.room.port_at[source]
    way = names.room.ports[port].kind.way if port >= 0 else IN
    return AtBay(actions.Move(names.address(source), names.address(names.jack(ends[1], way, held=False))))


def read_phantom(text: str, names: Names) -> AtBay:
    """'X on' or 'X off'."""
    words = text.rsplit(None, 1)
    if len(words) != 2 or words[1].casefold() not in ("on", "off"):
        raise Malformed("say whose phantom, and on or off: phantom pre 4 on", text)
    return AtBay(actions.Phantom(names.supply(words[0]).name, words[1].casefold() == "on"))


def read_put(text: str, names: Names) -> AtBay:
    """'MICROPHONE on LINE'."""
    parts = re.split(r"\s+on\s+", text.strip(), flags=re.IGNORECASE)
    if len(parts) < 2:
        raise Malformed("say which microphone on which line: put ribbon on live 3", text)
    refusal: Refusal | None = None
    for cut in range(1, len(parts)):  # a name may hold the word 'on' itself
        try:
            mic = names.mic(" on ".join(parts[:cut]))
            return AtBay(actions.Put(mic.name, names.mic_line(" on ".join(parts[cut:])).name))
        except Refusal as why:
            refusal = refusal or why
    assert refusal is not None
    raise refusal


def read_clear(text: str, names: Names) -> AtBay:
    """'LINE': its microphone goes back to the locker."""
    return AtBay(actions.Clear(names.mic_line(text).name))


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
