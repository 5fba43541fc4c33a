"""The work list of a session: what is left to do towards the goal that was named, in words."""

from __future__ import annotations

from typing import NamedTuple

from model.bay.refusals import NotNow
from model.entry.answer import Answer
from model.entry.draft import Draft
from model.live.change import Change
from model.live.patch import Patch
from model.live.told import CAUTION, CHANGED, RAISED, SAID, Told, said, told
from model.patches.placed import Placing
from model.patches.shelf import SHELF, Work, goal_of
from model.patches.worklist import LeftAlone, WorkList, WorkStep, work_list
from model.room.wiring import Room
from model.signal.cautions import WORK_FIRST
from model.signal.warning import NOTE, WARNING
from model.text.listing import counted


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


def standing(draft: Draft) -> Standing | None:
    """The work under way, worked out from the present state; None where there is none."""
    shelf = draft.get(SHELF)
    work = shelf.work
    if work is None:
        return None
    placing = goal_of(work, draft.room)
    state = draft.patch.state
    holds = {number: hold.why for number, hold in shelf.standing_holds(state).items()}
    skips = {skip.about: skip.why for skip in work.skips}
    saved_in = draft.room.name if work.goal is None else work.goal.patch.room or draft.room.name
    elsewhere = "" if saved_in == draft.room.name else saved_in
    return Standing(work, placing, work_list(state, placing.placed, holds, skips), elsewhere)


def under_way(draft: Draft) -> Standing:
    """The work under way; refused where there is none."""
    found = standing(draft)
    if found is None:
        raise NotNow("no work list is under way: recall NAME or reset makes one")
    return found


def next_step(found: Standing) -> WorkStep:
    """The first step that is left; refused where nothing is."""
    if not found.todo.steps:
        raise NotNow("nothing is left to do: 'leave' puts the list away")
    return found.todo.steps[0]


def step_told(head: str, step: WorkStep, change: Change, room: Room) -> list[Told]:
    """A step to read: its head, its words, the entry that does it, its cautions, and what of harm it raises."""
    beside = told(change, room)
    known = " ".join((WORK_FIRST, *step.cautions))
    more = [
        Told(CAUTION, f"{caution.text} {caution.fix}", caution.severity)
        for caution in change.cautions
        if caution.fix.rstrip(".") not in known
    ]
    harmful = {warning.text for warning in (*change.raised, *change.grown) if warning.severity != NOTE}
    harm = [
        each._replace(words=f"{each.words} {each.fix}".rstrip())
        for each in beside
        if each.kind in (RAISED, CHANGED) and each.words in harmful
    ]
    cautions = [Told(CAUTION, caution, WARNING) for caution in step.cautions]
    below = [each._replace(indent=7) for each in (*cautions, *more, *harm)]
    return [Told(SAID, f"{head}{step.words}   [{step.action}]"), *below]


def list_told(found: Standing, patch: Patch) -> list[Told]:
    """The whole list to read: what to see to before any of it, and at each step what it raises in the state before it."""
    steps, todo = found.todo.steps, found.todo
    count = f"{counted(len(steps), 'step')}, {counted(todo.handlings, 'plug')} out or in"
    lines = [*said(f"{found.title}: {count if steps else 'nothing is left to do'}")]
    if found.elsewhere:
        lines += said(f"it was saved in another room, {found.elsewhere}")
    if steps:
        lines.append(Told(CAUTION, WORK_FIRST, WARNING))
    for number, step in enumerate(steps, start=1):
        done = patch.do(step.action)
        lines += step_told(f"{number:>3}  ", step, done.change, patch.room)
        patch = done.patch
    lines += said(*(f"left alone: {left.what} ({left.why})" for left in found.left))
    lines += said(*(f"rewired since: {words}" for words in found.placing.rewired))
    return lines


def next_told(draft: Draft, found: Standing) -> list[Told]:
    """What comes next, with what of harm it would raise."""
    if not found.todo.steps:
        return [
            *said(f"{found.title}: nothing is left to do; 'leave' puts the list away"),
            *said(*(f"left alone: {left.what} ({left.why})" for left in found.left)),
        ]
    step = found.todo.steps[0]
    change = draft.patch.do(step.action).change
    return step_told(f"next, of {len(found.todo.steps)}: ", step, change, draft.room)


def offers(found: Standing) -> tuple[str, ...]:
    """The line to type next. It names its step, so that it does nothing else where the list has changed meanwhile."""
    return (f"done {found.todo.steps[0].action}",) if found.todo.steps else ("leave",)


def list_answer(draft: Draft, *first: str) -> Answer:
    """The whole list as an answer, after what is said first."""
    found = under_way(draft)
    return Answer(said=(*said(*first), *list_told(found, draft.patch)), offers=offers(found))
