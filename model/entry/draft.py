"""An entry being done: it asks the session, and changes a draft of it. Nothing of a draft is the session's until it is taken.

This is why a preview changes nothing and is true: it is the same doing, of which the draft is thrown away.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import datetime
from typing import TYPE_CHECKING, Any, NamedTuple, TypeVar

from model.bay.actions import Action
from model.bay.places import Places
from model.bay.refusals import NotNow
from model.bay.state import reversed_difference
from model.entry.guarded import GUARDED, refuse_lost, with_anyway
from model.entry.labels import LABELS
from model.entry.part import Part
from model.entry.session_state import SessionState, Taken
from model.language.names import NameIndexes, Names
from model.live.change import Change
from model.live.patch import Done, Patch
from model.room.wiring import Room

if TYPE_CHECKING:
    from collections.abc import Sequence

T = TypeVar("T")


class Recording(NamedTuple):
    """Whether the record is kept at this moment: why not (empty: it is), and whether one may go on without it."""

    fault: str = ""
    can_go_on: bool = True


class RoomTables:
    """What is made once for a room, and asked again and again: the indexes over its names, its places."""

    def __init__(self, room: Room) -> None:
        self.indexes = NameIndexes(room)
        self.places = Places(room)


class Draft:
    """A session as an entry would leave it.

    ``anyway``: the entry may break what is guarded. ``recording`` says whether the record is kept; it is None where there is
    no record at all.
    """

    def __init__(
        self,
        state: SessionState,
        tables: RoomTables,
        *,
        seat: str = "",
        anyway: bool = False,
        proposals: Sequence[Any] = (),
        recording: Callable[[], Recording] | None = None,
        clock: Callable[[], datetime] = datetime.now,
    ) -> None:
        self.state = state
        self.seat = seat
        self.anyway = anyway
        self.proposals = proposals  # what was proposed last at this seat, to be used by number
        self.recording = recording
        self.clock = clock
        self.step = ""  # what it did to the steps that undo reaches: 'act', 'undo', 'redo', or nothing
        self._tables = tables

    # Asking

    @property
    def patch(self) -> Patch:
        """The live patch."""
        return self.state.patch

    @property
    def room(self) -> Room:
        """The room."""
        return self.state.patch.room

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
        return self.state.part(part)

    def would(self, action: Action) -> Change:
        """What an action would change; refuses as :meth:`act` does."""
        return self._allowed(self.patch.do(action)).change

    # Changing

    def put(self, part: Part[T], value: T) -> None:
        """Give a part another value."""
        self.state = self.state.with_part(part, value)

    def act(self, action: Action) -> Change:
        """Do an action at the bay as one step."""
        done = self._allowed(self.patch.do(action))
        self.state = self.state.with_step(
            done.patch, Taken(with_anyway(str(action), self.anyway), done.difference, self.seat)
        )
        self.step = "act"
        return done.change

    def undo(self) -> tuple[Taken, Change]:
        """Take the last step back, whoever did it."""
        if not self.state.taken:
            raise NotNow("there is nothing to undo")
        step = self.state.taken[-1]
        done = self._allowed(self.patch.after(reversed_difference(step.difference)))
        self.state = replace(
            self.state, patch=done.patch, taken=self.state.taken[:-1], undone=(*self.state.undone, step)
        )
        self.step = "undo"
        return step, done.change

    def redo(self) -> tuple[Taken, Change]:
        """Do again what was taken back last."""
        if not self.state.undone:
            raise NotNow("there is nothing to redo")
        step = self.state.undone[-1]
        done = self._allowed(self.patch.after(step.difference))
        self.state = replace(
            self.state, patch=done.patch, taken=(*self.state.taken, step), undone=self.state.undone[:-1]
        )
        self.step = "redo"
        return step, done.change

    def _allowed(self, done: Done) -> Done:
        """What breaks a guarded connection is refused, unless 'anyway' was typed."""
        if done.change.broken and not self.anyway:
            refuse_lost(self.get(GUARDED), done.change)
        return done
