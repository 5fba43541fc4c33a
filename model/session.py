"""A session at the bay: typed lines in, answers out; undo and redo, notes, the house patch."""

from __future__ import annotations

from collections.abc import Callable
from functools import cached_property
from typing import TYPE_CHECKING, NamedTuple

from model.bay.actions import Action, Plug
from model.bay.refusals import NotNow, Refusal, UnknownName
from model.commands.reading import Line, command_of, read_line, split_anyway, split_question
from model.entry.parts import Notes, Parts, Plain
from model.entry.requests import ActsAtBay, Answer
from model.language.names import Names
from model.live.change import Change
from model.live.patch import Patch, Pushed, Standing
from model.live.words import action_words
from model.room.wiring import Room
from model.text.suggest import did_you_mean

if TYPE_CHECKING:
    from model.fault.search import FaultSearch
    from model.patches.shelf import PatchShelf
    from model.way.guard import KeptConnections
    from model.way.places import Places
    from model.way.proposals import Proposal


class Outcome(NamedTuple):
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


class Undone(NamedTuple):
    """An action that was taken back, and the seat at which it was typed."""

    action: Action
    by: str


class Before(NamedTuple):
    """A session as it was before a line."""

    stack: list[Pushed]
    undone: list[Undone]
    parts: dict[str, Plain] | None  # None: the line cannot change them


Keep = Callable[[str, Line, Answer], None]  # what was typed, what it was read as, what it did


class Session:
    """A room, its patch, and the lines that were typed.

    ``keep`` is called with each accepted line that changes the session, after it was done and before it is answered; what
    it raises takes the line back. ``seat`` says who types here, where there are several. ``at_rest``: the warnings that
    stand in the room at rest, where they were found before.
    """

    deepest_undo = 1000  # actions; what lies further back stays done

    def __init__(self, room: Room, keep: Keep | None = None, seat: str = "", at_rest: Standing | None = None) -> None:
        self.room = room
        self.patch = Patch(room, at_rest)
        self.names = Names(self.patch.state)
        self.undone: list[Undone] = []
        self.parts = Parts(room)
        self.proposals: tuple[Proposal, ...] = ()  # what was proposed last, to be taken by number
        self.anyway = False  # whether the line that is being done may break what is kept
        self.keep = keep
        self.go_on: Callable[[], str] | None = None  # does lines that cannot be kept, from now on; says what that means
        self.seat = seat

    @property
    def notes(self) -> Notes:
        """The notes, oldest first."""
        return self.parts.notes

    @property
    def shelf(self) -> PatchShelf:
        """Saved patches, cords on hold, and the work list's goal."""
        return self.parts.patches

    @property
    def kept(self) -> KeptConnections:
        """The connections that must stand."""
        return self.parts.kept

    @property
    def fault(self) -> FaultSearch:
        """What was heard where."""
        return self.parts.fault

    @cached_property
    def places(self) -> Places:
        """Which jacks a cord can join."""
        from model.way.places import Places

        return Places(self.room)

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
            return self.preview(typed, nearest=True)
        return self._answered(typed, text, lambda line: self._do(line, typed), nearest=True)

    def preview(self, typed: str, nearest: bool = False) -> Outcome:
        """What a line would do, with ' ?' at its end or without. Nothing is changed.

        ``nearest``: a refusal also says what was probably meant.
        """
        return self._answered(typed, split_question(typed)[0], self._try, nearest, asked=True)

    def _answered(
        self, typed: str, text: str, handle: Callable[[Line], Answer], nearest: bool, asked: bool = False
    ) -> Outcome:
        line: Line | None = None
        try:
            line = self._read(text)
            return Outcome(typed, line, handle(line), asked=asked)
        except Refusal as refusal:
            return Outcome(typed, line, Answer(), self.why_refused(refusal, nearest), asked)
        finally:
            self.anyway = False

    def _read(self, text: str) -> Line:
        shorter, self.anyway = split_anyway(text)
        if self.anyway:
            line = read_line(shorter, self.names)
            if isinstance(line, Action | ActsAtBay):
                return line
            self.anyway = False
        return read_line(text, self.names)

    def is_kept(self, text: str) -> bool:
        """Whether a line changes the session, and so belongs in the record. One that cannot be read does not."""
        try:
            line = self._read(text)
        except Refusal:
            return False
        finally:
            self.anyway = False
        return isinstance(line, Action) or line.kept

    def why_refused(self, refusal: Refusal, nearest: bool) -> str:
        """A refusal's reason; where a name is unknown, with the nearest ones."""
        if nearest and isinstance(refusal, UnknownName):
            near = self.names.nearest(refusal.typed) if refusal.nearest is None else refusal.nearest
            return refusal.reason + did_you_mean(near)
        return refusal.reason

    def _do(self, line: Line, typed: str | None = None) -> Answer:
        """Do a line, and keep it where it was ``typed`` here; as if it had never been where either fails."""
        if not isinstance(line, Action) and not line.kept:
            return line.run(self)
        before = self._before(line)
        try:
            answer = self._act_and_tell(line) if isinstance(line, Action) else line.run(self)
            if self.keep is not None and typed is not None:
                self.keep(typed, line, answer)
        except BaseException:
            self._go_back(before)
            raise
        del self.patch.stack[: -self.deepest_undo]
        return answer

    def _act_and_tell(self, action: Action) -> Answer:
        return Answer(self.act(action), action_words(action, self.room))

    def act(self, action: Action) -> Change:
        """Do an action at the bay, from which there is no redo of what was undone before it."""
        change = self._pushed(action, self.seat)
        self.undone.clear()
        return change

    def would(self, action: Action) -> Change:
        """What an action would change. Nothing is changed; refuses as :meth:`act` does."""
        change = self._pushed(action, self.seat)
        self.patch.pop()
        return change

    def _pushed(self, action: Action, by: str) -> Change:
        change = self.patch.push(action, by)
        try:
            self._refuse_lost(change)
        except Refusal:
            self.patch.pop()
            raise
        return change

    def _refuse_lost(self, change: Change) -> None:
        """Refuse a change that breaks what is kept, unless 'anyway' was typed."""
        if change.broken and not self.anyway and "kept" in self.parts.made():
            self.kept.refuse_lost(change)

    def do_again(self, line: Line, by: str) -> Answer:
        """Do a line that the record holds already, as the seat that typed it."""
        here, self.seat = self.seat, by
        self.anyway = True  # it was taken then
        try:
            return self._do(line)
        finally:
            self.seat = here
            self.anyway = False

    def _before(self, line: Line) -> Before:
        # an action changes nothing but the bay
        parts = None if isinstance(line, Action) else self.parts.to_dict()
        return Before(list(self.patch.stack), list(self.undone), parts)

    def _go_back(self, before: Before) -> None:
        stack = self.patch.stack
        same = 0
        while same < min(len(stack), len(before.stack)) and stack[same] is before.stack[same]:
            same += 1
        while len(stack) > same:
            self.patch.pop()
        for pushed in before.stack[same:]:
            self.patch.push(pushed.action, pushed.by)
        self.undone[:] = before.undone
        if before.parts is not None:
            self.parts.from_dict(before.parts)

    def _try(self, line: Line) -> Answer:
        if isinstance(line, Action):
            return Answer(self.would(line), action_words(line, self.room))
        return line.preview(self)

    def undo(self) -> Answer:
        """Take the last action back, whoever did it."""
        if not self.patch.stack:
            raise NotNow("there is nothing to undo")
        pushed = self.patch.stack[-1]
        change = self.patch.take_back()
        try:
            self._refuse_lost(change)
        except Refusal:
            self.patch.push(pushed.action, pushed.by)
            raise
        self.undone.append(Undone(pushed.action, pushed.by))
        return Answer(change, (f"undone: {pushed.action}{self._typed_by(pushed.by)}",))

    def redo(self) -> Answer:
        """Do again what was taken back last."""
        if not self.undone:
            raise NotNow("there is nothing to redo")
        action, by = self.undone[-1]
        change = self._pushed(action, by)
        self.undone.pop()
        return Answer(change, (f"done again: {action}{self._typed_by(by)}",))

    def _typed_by(self, seat: str) -> str:
        return "" if seat in ("", self.seat) else f" (typed by {seat})"


def caution_for(text: str) -> str:
    """What must be cautioned before a line, where its command can hurt hearing or gear; empty otherwise."""
    return command_of(split_question(text)[0])[0].caution


def awaited(text: str) -> str:
    """What is said of a line that is still being typed, where its answer has to wait for Enter; empty otherwise."""
    line, asked = split_question(text)
    return "" if asked else command_of(line)[0].waits
