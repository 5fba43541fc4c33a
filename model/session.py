"""A session at one seat: typed entries in, answers out.

The spine: an entry is read, decided on a draft of the session, and taken; a preview stops before it is taken. Whoever keeps a
record sets the outcome down between the two (:mod:`model.record`).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import datetime
from typing import Any, NamedTuple

from model.bay.actions import Plug
from model.bay.places import Places
from model.bay.refusals import Refusal, UnknownName
from model.bay.state import Difference, reversed_difference
from model.commands.instead import instead
from model.commands.reading import Read, command_of, read_entry, split_question
from model.entry.answer import Answer
from model.entry.draft import Draft, Recording, RoomTables
from model.entry.guarded import with_anyway
from model.entry.labels import LABELS
from model.entry.part import Part
from model.entry.session_state import SessionState, T
from model.language.names import Names
from model.live.change import Change
from model.live.look import Standing
from model.live.patch import Patch
from model.room.wiring import Room
from model.text.suggest import did_you_mean

MOST_TRIED = 12  # entries that are tried in the place of a refused one


class Outcome(NamedTuple):
    """What came of one typed entry: an answer, or the reason for which it was refused.

    ``before`` and ``after`` are the session without it and with it; they are the same where it changed nothing. ``instead``:
    what it would do now, where it was refused because its preview had said something else.
    """

    typed: str
    read: Read | None  # what it was read as
    answer: Answer
    before: SessionState
    after: SessionState
    error: str | None = None
    asked: bool = False  # it only asked what would happen
    step: str = ""  # what it did to the steps that undo reaches: 'act', 'undo', 'redo', or nothing
    instead: Outcome | None = None
    wrong: str = ""  # the part of a refused entry that the refusal is about

    @property
    def ok(self) -> bool:
        """Whether the entry was accepted."""
        return self.error is None

    @property
    def change(self) -> Change:
        """What it changed at the bay."""
        return self.answer.change

    @property
    def changes(self) -> bool:
        """Whether it changes the session, and so belongs in the record."""
        return self.ok and not self.asked and self.read is not None and self.read.entry.changes

    @property
    def canonical(self) -> str:
        """The entry as the record writes it."""
        if self.read is None:
            return self.answer.canonical
        return with_anyway(self.answer.canonical or str(self.read.entry), self.read.anyway)

    @property
    def difference(self) -> Difference:
        """What it set at the bay."""
        if self.step == "act":
            return self.after.taken[-1].difference
        if self.step == "undo":
            return reversed_difference(self.before.taken[-1].difference)
        return self.before.undone[-1].difference if self.step else ()

    def does_as(self, seen: Outcome) -> bool:
        """Whether it does what a preview said: the same actions, cords, connections and warnings."""
        return (self.ok, self._deeds) == (seen.ok, seen._deeds)

    @property
    def _deeds(self) -> tuple[object, ...]:
        change = self.change
        alerts = (change.raised, change.cleared, change.cautions, change.passing)
        warnings = [[alert.identity for alert in each] for each in alerts]
        return self.canonical, self.difference, change.cords, change.made, change.broken, warnings

    def unless_seen_otherwise(self, seen: Outcome | None) -> Outcome:
        """The outcome; refused where a preview of exactly this text had said something else."""
        if seen is None or seen.typed != self.typed or not self.changes or self.does_as(seen):
            return self
        error = "not done: it would do something else now than its preview said. Enter once more does it"
        return Outcome(
            self.typed, self.read, Answer(), self.before, self.before, error, instead=self._replace(asked=True)
        )


class Session:
    """A room, and what the entries typed so far have made of it.

    ``seat`` says who types here, where there are several. ``at_rest``: the warnings that stand in the room at rest, where they
    were found before.
    """

    def __init__(self, room: Room, seat: str = "", at_rest: Standing | None = None) -> None:
        self.room = room
        self.seat = seat
        self.now = SessionState(Patch.of_room(room, at_rest))
        self.proposals: tuple[Any, ...] = ()  # what was proposed last, to be used by number
        self.recording: Callable[[], Recording] | None = None  # says whether the record is kept; None: there is none
        self.clock: Callable[[], datetime] = datetime.now
        self._tables = RoomTables(room)

    @property
    def patch(self) -> Patch:
        """The live patch."""
        return self.now.patch

    @property
    def names(self) -> Names:
        """What typed names mean now."""
        return Names(self.patch.state, self._tables.indexes, self.get(LABELS))

    @property
    def places(self) -> Places:
        """Which jacks a cord can join."""
        return self._tables.places

    def get(self, part: Part[T]) -> T:
        """What a part of the session holds."""
        return self.now.part(part)

    def house_entries(self) -> list[str]:
        """The house patch as typed entries."""
        jacks = self.room.jacks
        return [
            str(Plug(tuple(jacks[j].address for j in cord.jacks), None, cord.length_cm))
            for cord in self.room.house_patch
        ]

    # The spine

    def enter(self, typed: str, seen: Outcome | None = None) -> Outcome:
        """Do a typed entry. One with ' ?' at its end is only previewed.

        ``seen``: the preview that was drawn last. Where it was of exactly this text, the entry does what it said, or nothing.
        """
        outcome = self.decide(typed).unless_seen_otherwise(seen)
        self.take(outcome)
        return outcome

    def enter_together(self, entries: Sequence[str]) -> list[Outcome]:
        """Do entries one after the other, all or none: the last outcome is the refusal where there is one."""
        before, proposals = self.now, self.proposals
        outcomes: list[Outcome] = []
        for typed in entries:
            outcomes.append(self.enter(typed))
            if not outcomes[-1].ok:
                self.now, self.proposals = before, proposals
                break
        return outcomes

    def preview(self, typed: str) -> Outcome:
        """What an entry would do, with ' ?' at its end or without. Nothing is changed."""
        return self.decide(typed)._replace(asked=True)

    def decide(self, typed: str) -> Outcome:
        """What becomes of an entry: it is read once, and done on a draft. The session stays as it is."""
        text, asked = split_question(typed)
        read: Read | None = None
        try:
            read = read_entry(text, self.names)
            draft = self.draft(read.anyway)
            answer = read.entry.run(draft)
        except Refusal as refusal:
            offered = self._instead(text, refusal)
            why = self._why_refused(refusal, offered)
            answer = Answer(offers=(offered,) if offered else ())
            return Outcome(typed, read, answer, self.now, self.now, why, asked, wrong=refusal.typed.strip())
        return Outcome(typed, read, answer, self.now, draft.state, None, asked, draft.step)

    def take(self, outcome: Outcome) -> None:
        """The session is from now on what an outcome says, unless it was refused, or only asked."""
        if outcome.ok and not outcome.asked:
            self.now = outcome.after
            if outcome.answer.proposals is not None:
                self.proposals = outcome.answer.proposals

    def draft(self, anyway: bool = False) -> Draft:
        """A draft of the session, on which an entry can be done."""
        return Draft(
            self.now,
            self._tables,
            seat=self.seat,
            anyway=anyway,
            proposals=self.proposals,
            recording=self.recording,
            clock=self.clock,
        )

    def _instead(self, text: str, refusal: Refusal) -> str:
        """The first entry that a refused one may have meant and that would be done now, sooner one that raises no warning.

        Empty where none is found.
        """
        tried: list[str] = []
        warned = ""
        for candidate in instead(text, refusal, self.draft()):
            if candidate in tried or candidate == text:
                continue
            if len(tried) >= MOST_TRIED:
                break
            tried.append(candidate)
            try:
                read = read_entry(candidate, self.names)
                answer = read.entry.run(self.draft(read.anyway))
            except Refusal:
                continue
            if not answer.change.raised:
                return candidate
            warned = warned or candidate
        return warned

    def _why_refused(self, refusal: Refusal, offered: str) -> str:
        """A refusal's reason, with the entry to type instead; where none is known and a name is not either, the nearest."""
        reason, near = refusal.reason, ""
        if isinstance(refusal, UnknownName):
            names = self.names.nearest(refusal.typed) if refusal.nearest is None else refusal.nearest
            if not offered or any(name in offered for name in names):
                near = did_you_mean(names)
        if not offered:
            return reason + near
        end = "?" if (reason + near).endswith("?") else ""
        return f"{(reason + near).removesuffix('?')}{end}{' Type' if end else '; type'} '{offered}'"

    def warm(self) -> None:
        """Make what a first keystroke would otherwise wait for."""
        self._tables.indexes.warm()


def caution_for(text: str) -> str:
    """The caution before an entry, where its command can hurt hearing or gear; empty otherwise."""
    return command_of(split_question(text)[0])[0].caution


def awaited(text: str) -> str:
    """What is said of an entry that is still being typed, where its answer has to wait for Enter; empty otherwise."""
    entry, asked = split_question(text)
    return "" if asked else command_of(entry)[0].waits
