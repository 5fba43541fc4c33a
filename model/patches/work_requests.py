"""The work list and the holds as lines to type: what is left, done, skipped, put away; cords that are to stay."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING

from model.bay.refusals import Malformed, NotNow
from model.commands.command import Line, nothing_after
from model.entry.requests import ActsAtBay, Answer, Asks
from model.language.names import Names
from model.live.words import action_words
from model.patches.reset_report import report_lines, reset_report
from model.patches.shelf import Hold, Skip
from model.patches.work import list_answer, next_lines, next_step, offers, under_way
from model.patches.worklist import WorkStep

if TYPE_CHECKING:
    from model.session import Session

LONGEST_REASON = 500  # characters
_BECAUSE = re.compile(r"(?:(.*?)\s+)?because(?:\s+(.*))?", re.IGNORECASE)
_AT = re.compile(r"at\s+(\d{4}-\d{2}-\d{2} \d{2}:\d{2})", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class ShowList:
    """The work list as it stands."""

    kept = False

    def __str__(self) -> str:
        return "worklist"

    def run(self, session: Session) -> Answer:
        """Show it."""
        return list_answer(session)

    def preview(self, session: Session) -> Answer:
        """Show it."""
        return list_answer(session)


@dataclass(frozen=True, slots=True)
class Done(ActsAtBay):
    """Tick the next step: it has been done in the room. ``line`` says which step is meant, so that no other is ticked."""

    line: str = ""
    kept = True

    def __str__(self) -> str:
        return f"done {self.line}".rstrip()

    def run(self, session: Session) -> Answer:
        """Do the step's action; the record keeps the action, which says more than that a step was done."""
        step = _step_meant(session, self.line)
        change = session.act(step.action)
        found = under_way(session)
        words = (f"done: {step.words}", *action_words(step.action, session.room), *next_lines(session, found))
        return Answer(change, words, offers=offers(found), kept_as=step.action)

    def preview(self, session: Session) -> Answer:
        """What the step does."""
        step = _step_meant(session, self.line)
        return Answer(
            session.patch.preview(step.action), (step.words, *(f"caution: {caution}" for caution in step.caution))
        )


def _step_meant(session: Session, line: str) -> WorkStep:
    """The next step, which is the one that the line means; refused where it is another."""
    step = next_step(under_way(session))
    if line and line.casefold().split() != str(step.action).casefold().split():
        raise NotNow(f"the next step is '{step.action}' now, and not '{line}'", line)
    return step


@dataclass(frozen=True, slots=True)
class SkipStep:
    """Leave the next step out, with a reason, for as long as what it is about stays as it is."""

    line: str
    why: str
    kept = True

    def __str__(self) -> str:
        return " ".join(filter(None, ("skip", self.line, "because", self.why)))

    def run(self, session: Session) -> Answer:
        """Leave it out."""
        step = _step_meant(session, self.line)
        session.shelf.skip(Skip(str(step.action), step.about, self.why))
        found = under_way(session)
        return Answer(words=(f"skipped: {step.words} ({self.why})", *next_lines(session, found)), offers=offers(found))

    def preview(self, session: Session) -> Answer:
        """Say which step it is."""
        return Answer(words=(f"skips: {_step_meant(session, self.line).words}",))


@dataclass(frozen=True, slots=True)
class Leave:
    """Put the work list away; a reset ends in its report. ``when``: local time, to the minute."""

    when: str
    kept = True

    def __str__(self) -> str:
        return f"leave at {self.when}"

    def _words(self, session: Session) -> tuple[str, ...]:
        found = under_way(session)
        if found.work.goal is None:
            return tuple(report_lines(reset_report(session, found, self.when)))
        steps = len(found.todo.steps)
        left = f"{steps} step{'' if steps == 1 else 's'} left" if steps else "nothing is left to do"
        alone = [f"left alone: {left.what} ({left.why})" for left in found.left]
        return (f"{found.title} is put away: {left}", *alone)

    def run(self, session: Session) -> Answer:
        """Put it away."""
        words = self._words(session)
        work = session.shelf.work
        if work is not None and work.goal is None:
            session.shelf.report = words
        session.shelf.work = None
        return Answer(words=words)

    def preview(self, session: Session) -> Answer:
        """Show the report as it would be."""
        return Answer(words=self._words(session))


@dataclass(frozen=True, slots=True)
class ShowReport(Asks):
    """The report of the last reset."""

    def __str__(self) -> str:
        return "report"

    def run(self, session: Session) -> Answer:
        """Show it."""
        if not session.shelf.report:
            raise NotNow("there is no report yet: a reset ends in one, when 'leave' puts its list away")
        return Answer(words=session.shelf.report)


# Holds


@dataclass(frozen=True, slots=True)
class HoldCord:
    """A cord that recall and reset leave where it is."""

    cord: int
    why: str
    kept = True

    def __str__(self) -> str:
        return f"hold #{self.cord} because {self.why}"

    def preview(self, session: Session) -> Answer:
        """Say that it would stay."""
        if self.cord not in session.patch.state.cords:
            raise NotNow(f"no cord {self.cord} is in the bay", f"#{self.cord}")
        return Answer(words=(f"cord {self.cord} stays through recall and reset: {self.why}",))

    def run(self, session: Session) -> Answer:
        """Hold it."""
        answer = self.preview(session)
        jacks = session.patch.state.cords[self.cord].plugs
        addresses = tuple(session.room.jacks[jack].address for jack in jacks)
        session.shelf.holds[self.cord] = Hold(self.cord, addresses, self.why)
        return answer


@dataclass(frozen=True, slots=True)
class Release:
    """A cord that is no longer on hold."""

    cord: int
    kept = True

    def __str__(self) -> str:
        return f"release #{self.cord}"

    def preview(self, session: Session) -> Answer:
        """Say that it would be free."""
        hold = session.shelf.standing_holds(session.patch.state).get(self.cord)
        if hold is None:
            raise NotNow(f"cord {self.cord} is not on hold", f"#{self.cord}")
        return Answer(words=(f"cord {self.cord} is free again (it was on hold: {hold.why})",))

    def run(self, session: Session) -> Answer:
        """Let it go."""
        answer = self.preview(session)
        del session.shelf.holds[self.cord]
        return answer


# Reading


def _reason(text: str, such_as: str) -> tuple[str, str]:
    """What stands before 'because', and the reason after it."""
    found = _BECAUSE.fullmatch(text.strip())
    if found is None or not found[2]:
        raise Malformed(f"say why: {such_as}", text)
    if len(found[2]) > LONGEST_REASON:
        raise Malformed(f"a reason has at most {LONGEST_REASON} characters, and this one {len(found[2])}")
    return (found[1] or "").strip(), found[2].strip()


def read_done(text: str, _names: Names) -> Line:
    """Nothing, or the line of the step that is meant."""
    return Done(text.strip())


def read_skip(text: str, _names: Names) -> Line:
    """'because TEXT', with the line of the step before it or without."""
    line, why = _reason(text, "skip because the singer is still on it")
    return SkipStep(line, why)


def read_leave(text: str, _names: Names) -> Line:
    """Nothing: the time is now. The record writes when it was."""
    if not text.strip():
        return Leave(datetime.now().strftime("%Y-%m-%d %H:%M"))
    found = _AT.fullmatch(text.strip())
    if found is None:
        raise Malformed("'leave' stands alone; the record writes when: leave at 2031-04-01 23:40", text)
    return Leave(found[1])


def _cord(text: str, names: Names) -> int:
    """The number of a cord: '#7', or the cord in a jack."""
    number = names.cord(text)
    if number is None:
        jack = names.jack(text, held=True)
        number = names.state.plugs.get(jack)
        if number is None:
            raise NotNow(f"{names.address(jack)} is empty", text)
    return number


def read_hold(text: str, names: Names) -> Line:
    """'#7 because TEXT', or a jack in place of the number."""
    cord, why = _reason(text, "hold #7 because the singer's chain stays")
    return HoldCord(_cord(cord, names), why)


def read_release(text: str, names: Names) -> Line:
    """'#7', or a jack that holds a plug of it."""
    return Release(_cord(text, names))


read_worklist = nothing_after("worklist", ShowList())
read_report = nothing_after("report", ShowReport())
