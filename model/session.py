"""A session at the bay: typed lines in, answers out; undo and redo, notes, the house patch."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from model.actions import Action, Plug
from model.change import Change
from model.commands import Line, command_of, read_line, split_question
from model.names import Names
from model.patch import Patch
from model.refusals import NotNow, Refusal, UnknownName
from model.requests import Answer, Request
from model.room import Room
from model.suggest import did_you_mean
from model.words import action_words


@dataclass(frozen=True, slots=True)
class Outcome:
    """What came of one typed line: an answer, or the reason for which it was refused."""

    typed: str
    line: Line | None  # what it was read as
    answer: Answer
    error: str | None = None
    asked: bool = False  # it only asked what would happen: nothing was changed

    @property
    def ok(self) -> bool:
        """Whether the line was taken."""
        return self.error is None

    @property
    def change(self) -> Change:
        """What it changed."""
        return self.answer.change


class Session:
    """A room, its patch, and the lines that were typed.

    ``keep`` is called with each accepted line, in the form in which it reads itself back, after it was done and before
    it is answered; what it raises takes the line back.
    """

    def __init__(self, room: Room, keep: Callable[[str], None] | None = None) -> None:
        self.room = room
        self.patch = Patch(room)
        self.names = Names(self.patch.state)
        self.undone: list[Action] = []
        self.notes: list[str] = []
        self.keep = keep

    def house_lines(self) -> list[str]:
        """The house patch as typed lines."""
        jacks = self.room.jacks
        return [
            str(Plug(tuple(jacks[j].address for j in cord.jacks), None, cord.length_cm))
            for cord in self.room.house_patch
        ]

    def enter(self, typed: str) -> Outcome:
        """Do a typed line. A line with ' ?' at its end is only previewed."""
        text, asked = split_question(typed)
        if asked:
            return self.preview(text, typed, nearest=True)
        return self._answered(typed, text, self._do, nearest=True)

    def preview(self, text: str, typed: str | None = None, nearest: bool = False) -> Outcome:
        """What a line would do. Nothing is changed. ``nearest``: a refusal also says what was probably meant."""
        return self._answered(text if typed is None else typed, text, self._try, nearest, asked=True)

    def _answered(
        self, typed: str, text: str, handle: Callable[[Line], Answer], nearest: bool, asked: bool = False
    ) -> Outcome:
        line: Line | None = None
        try:
            line = read_line(text, self.names)
            return Outcome(typed, line, handle(line), asked=asked)
        except Refusal as refusal:
            return Outcome(typed, line, Answer(), self.why_refused(refusal, nearest), asked)

    def why_refused(self, refusal: Refusal, nearest: bool) -> str:
        """A refusal's reason; where a name is unknown, with the nearest ones."""
        if nearest and isinstance(refusal, UnknownName):
            return refusal.reason + did_you_mean(refusal.nearest or self.names.nearest(refusal.typed))
        return refusal.reason

    def _do(self, line: Line) -> Answer:
        if isinstance(line, Action):
            answer = Answer(self.patch.push(line), action_words(line, self.room))
            undone, self.undone = self.undone, []
            try:
                self._keep(line)
            except BaseException:
                self.patch.pop()
                self.undone = undone
                raise
            return answer
        answer = line.run(self)
        if line.kept:
            self._keep(line)
        return answer

    def _try(self, line: Line) -> Answer:
        if isinstance(line, Action):
            return Answer(self.patch.preview(line), action_words(line, self.room))
        return line.preview(self)

    def _keep(self, line: Action | Request) -> None:
        if self.keep is not None:
            self.keep(str(line))

    def undo(self) -> Answer:
        """Take the last action back."""
        if not self.patch.stack:
            raise NotNow("there is nothing to undo")
        action = self.patch.stack[-1].action
        change = self.patch.take_back()
        self.undone.append(action)
        return Answer(change, (f"undone: {action}",))

    def redo(self) -> Answer:
        """Do again what was taken back last."""
        if not self.undone:
            raise NotNow("there is nothing to redo")
        action = self.undone[-1]
        change = self.patch.push(action)
        self.undone.pop()
        return Answer(change, (f"done again: {action}",))


def minded(text: str) -> str:
    """What must be minded before a line, where its command can hurt hearing or gear; empty otherwise."""
    return command_of(split_question(text)[0])[0].mind
