"""The work list and the holds as lines to type: what is left, done, skipped, put away; cords that are to stay."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace

from model.bay.refusals import Malformed, NotNow
from model.entry.alone import nothing_after
from model.entry.answer import Answer
from model.entry.draft import Draft
from model.entry.entry import Acts, Asks, Changes, Entry
from model.language.names import Names
from model.live.told import action_words, said
from model.patches.reset_report import report_lines, reset_report
from model.patches.shelf import SHELF, Hold, Skip
from model.patches.work import list_answer, next_step, next_told, offers, under_way
from model.patches.worklist import WorkStep
from model.text.listing import counted

LONGEST_REASON = 500  # characters
_BECAUSE = re.compile(r"(?:(.*?)\s+)?because(?:\s+(.*))?", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class ShowList(Asks):
    """The work list as it stands."""

    def __str__(self) -> str:
        return "worklist"

    def run(self, draft: Draft) -> Answer:
        """Show it."""
        return list_answer(draft)


@dataclass(frozen=True, slots=True)
class Done(Acts):
    """Tick the next step: it has been done in the room. ``entry`` says which step is meant, so that no other is ticked."""

    entry: str = ""

    def __str__(self) -> str:
        return f"done {self.entry}".rstrip()

    def run(self, draft: Draft) -> Answer:
        """Do the step's action; the record keeps the action, which says more than that a step was done."""
        step = _step_meant(draft, self.entry)
        change = draft.act(step.action)
        found = under_way(draft)
        words = (*said(f"done: {step.words}", *action_words(step.action, draft.room)), *next_told(draft, found))
        return Answer(change, words, offers=offers(found), canonical=str(step.action))


def _step_meant(draft: Draft, line: str) -> WorkStep:
    """The next step, which is the one that the line means; refused where it is another."""
    step = next_step(under_way(draft))
    if line and line.casefold().split() != str(step.action).casefold().split():
        raise NotNow(f"the next step is '{step.action}' now, and not '{line}'", line)
    return step


@dataclass(frozen=True, slots=True)
class SkipStep(Changes):
    """Leave the next step out, with a reason, for as long as what it is about stays as it is."""

    entry: str
    why: str

    def __str__(self) -> str:
        return " ".join(filter(None, ("skip", self.entry, "because", self.why)))

    def run(self, draft: Draft) -> Answer:
        """Leave it out."""
        step = _step_meant(draft, self.entry)
        draft.put(SHELF, draft.get(SHELF).with_skip(Skip(str(step.action), step.about, self.why)))
        found = under_way(draft)
        return Answer(
            said=(*said(f"skipped: {step.words} ({self.why})"), *next_told(draft, found)), offers=offers(found)
        )


@dataclass(frozen=True, slots=True)
class Leave(Changes):
    """Put the work list away; a reset ends in its report."""

    def __str__(self) -> str:
        return "leave"

    def run(self, draft: Draft) -> Answer:
        """Put it away."""
        found = under_way(draft)
        shelf = replace(draft.get(SHELF), work=None)
        if found.work.goal is None:
            when = draft.clock().strftime("%Y-%m-%d %H:%M")
            shelf = replace(shelf, report=tuple(report_lines(reset_report(draft, found, when))))
            draft.put(SHELF, shelf)
            return Answer(said=said(*shelf.report))
        draft.put(SHELF, shelf)
        steps = len(found.todo.steps)
        left = f"{counted(steps, 'step')} left" if steps else "nothing is left to do"
        alone = [f"left alone: {left.what} ({left.why})" for left in found.left]
        return Answer(said=said(f"{found.title} is put away: {left}", *alone))


@dataclass(frozen=True, slots=True)
class ShowReport(Asks):
    """The report of the last reset."""

    def __str__(self) -> str:
        return "report"

    def run(self, draft: Draft) -> Answer:
        """Show it."""
        report = draft.get(SHELF).report
        if not report:
            raise NotNow("there is no report yet: a reset ends in one, when 'leave' puts its list away")
        return Answer(said=said(*report))


# Holds


@dataclass(frozen=True, slots=True)
class HoldCord(Changes):
    """A cord that recall and reset leave where it is."""

    cord: int
    why: str

    def __str__(self) -> str:
        return f"hold #{self.cord} because {self.why}"

    def run(self, draft: Draft) -> Answer:
        """Hold it."""
        cord = draft.patch.state.cords.get(self.cord)
        if cord is None:
            raise NotNow(f"no cord {self.cord} is in the bay", f"#{self.cord}")
        hold = Hold(self.cord, tuple(draft.room.jacks[jack].address for jack in cord.plugs), self.why)
        shelf = draft.get(SHELF)
        draft.put(SHELF, replace(shelf, holds={**shelf.holds, self.cord: hold}))
        return Answer(said=said(f"cord {self.cord} stays through recall and reset: {self.why}"))


@dataclass(frozen=True, slots=True)
class Release(Changes):
    """A cord that is no longer on hold."""

    cord: int

    def __str__(self) -> str:
        return f"release #{self.cord}"

    def run(self, draft: Draft) -> Answer:
        """Let it go."""
        shelf = draft.get(SHELF)
        hold = shelf.standing_holds(draft.patch.state).get(self.cord)
        if hold is None:
            raise NotNow(f"cord {self.cord} is not on hold", f"#{self.cord}")
        holds = {number: held for number, held in shelf.holds.items() if number != self.cord}
        draft.put(SHELF, replace(shelf, holds=holds))
        return Answer(said=said(f"cord {self.cord} is free again (it was on hold: {hold.why})"))


# Reading


def _reason(text: str, such_as: str) -> tuple[str, str]:
    """What stands before 'because', and the reason after it."""
    found = _BECAUSE.fullmatch(text.strip())
    if found is None or not found[2]:
        raise Malformed(f"say why: {such_as}", text)
    if len(found[2]) > LONGEST_REASON:
        raise Malformed(f"a reason has at most {LONGEST_REASON} characters, and this one {len(found[2])}")
    return (found[1] or "").strip(), found[2].strip()


def read_done(text: str, _names: Names) -> Entry:
    """Nothing, or the line of the step that is meant."""
    return Done(text.strip())


def read_skip(text: str, _names: Names) -> Entry:
    """'because TEXT', with the line of the step before it or without."""
    line, why = _reason(text, "skip because the singer is still on it")
    return SkipStep(line, why)


def read_hold(text: str, names: Names) -> Entry:
    """'#7 because TEXT', or a jack in place of the number."""
    cord, why = _reason(text, "hold #7 because the singer's chain stays")
    return HoldCord(names.cord_meant(cord), why)


def read_release(text: str, names: Names) -> Entry:
    """'#7', or a jack that holds a plug of it."""
    return Release(names.cord_meant(text))


read_leave = nothing_after("leave", Leave())
read_worklist = nothing_after("worklist", ShowList())
read_report = nothing_after("report", ShowReport())
