"""The work list of a session: what is left to do towards the goal that was named, in words."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from model.bay.refusals import NotNow
from model.entry.requests import Answer
from model.patches.placed import Placing
from model.patches.shelf import Work, goal_of
from model.patches.worklist import LeftAlone, WorkList, WorkStep, work_list
from model.signal.warning import DANGER, counted

if TYPE_CHECKING:
    from model.session import Session


class Standing(NamedTuple):
    """The work of a session as it stands now."""

    work: Work
    placing: Placing
    todo: WorkList
    elsewhere: str  # the name of the room where the goal was saved, where that is another

    @property
    def left(self) -> tuple[LeftAlone, ...]:
        """What the list does not bring about: what was skipped or is on hold, and what has no place in this room."""
        return (
            *self.todo.left,
            *(LeftAlone(f"cannot be placed: {lost.what}", lost.why) for lost in self.placing.unplaced),
        )

    @property
    def title(self) -> str:
        """Where it leads, in words."""
        return "reset to the house patch" if self.work.goal is None else f"recall of '{self.work.towards}'"


def standing(session: Session) -> Standing | None:
    """The work under way, worked out from the present state; None where there is none."""
    work = session.shelf.work
    if work is None:
        return None
    placing = goal_of(work, session.room)
    state = session.patch.state
    holds = {number: hold.why for number, hold in session.shelf.standing_holds(state).items()}
    skips = {skip.about: skip.why for skip in work.skips}
    saved_in = session.room.name if work.goal is None else work.goal.patch.room or session.room.name
    elsewhere = "" if saved_in == session.room.name else saved_in
    return Standing(work, placing, work_list(state, placing.placed, holds, skips), elsewhere)


def under_way(session: Session) -> Standing:
    """The work under way; refused where there is none."""
    found = standing(session)
    if found is None:
        raise NotNow("no work list is under way: recall NAME or reset makes one")
    return found


def next_step(found: Standing) -> WorkStep:
    """The first step that is left; refused where nothing is."""
    if not found.todo.steps:
        raise NotNow("nothing is left to do: 'leave' puts the list away")
    return found.todo.steps[0]


def step_lines(number: int, step: WorkStep) -> list[str]:
    """A step to read: its number on the list, its words, the line that does it, and what to caution."""
    return [f"{number:>3}  {step.words}   [{step.action}]", *(f"       caution: {caution}" for caution in step.caution)]


def list_lines(found: Standing) -> list[str]:
    """The whole list to read."""
    steps, todo = found.todo.steps, found.todo
    count = f"{counted(len(steps), 'step')}, {counted(todo.handlings, 'plug')} out or in"
    lines = [f"{found.title}: {count if steps else 'nothing is left to do'}"]
    if found.elsewhere:
        lines.append(f"it was saved in another room, {found.elsewhere}")
    for number, step in enumerate(steps, start=1):
        lines += step_lines(number, step)
    lines += [f"left alone: {left.what} ({left.why})" for left in found.left]
    lines += [f"rewired since: {words}" for words in found.placing.rewired]
    return lines


def next_lines(session: Session, found: Standing) -> list[str]:
    """What comes next, with the dangers that it would raise."""
    if not found.todo.steps:
        lines = [f"{found.title}: nothing is left to do; 'leave' puts the list away"]
        return lines + [f"left alone: {left.what} ({left.why})" for left in found.left]
    step = found.todo.steps[0]
    lines = step_lines(1, step)
    lines[0] = f"next, of {len(found.todo.steps)}: {step.words}   [{step.action}]"
    raised = session.patch.preview(step.action).raised
    return lines + [f"       danger: {warn.text} {warn.fix}" for warn in raised if warn.severity == DANGER]


def offers(found: Standing) -> tuple[str, ...]:
    """The line to type next. It names its step, so that it does nothing else where the list has changed meanwhile."""
    return (f"done {found.todo.steps[0].action}",) if found.todo.steps else ("leave",)


def list_answer(session: Session, *first: str) -> Answer:
    """The whole list as an answer, after what is said first."""
    found = under_way(session)
    return Answer(words=(*first, *list_lines(found)), offers=offers(found))
