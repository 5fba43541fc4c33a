"""What can be asked of a session beyond an action at the bay, and what every typed line is answered with."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import TYPE_CHECKING, Any, NamedTuple, Protocol

from model.live.change import Change

if TYPE_CHECKING:
    from model.bay.actions import Action
    from model.session import Session


NO_CHANGE = Change()


class Answer(NamedTuple):
    """What a line did or found out.

    ``words`` are lines to read, beside the change; ``extra`` further keys of the JSON; ``lit`` jacks to light in the bay;
    ``offers`` lines that could be typed next, the first of which Enter on an empty line puts in place. ``kept_as`` is the
    action by which the record does the line again, where the line itself would mean something else by then.
    """

    change: Change = NO_CHANGE
    words: tuple[str, ...] = ()
    extra: Mapping[str, Any] = MappingProxyType({})
    lit: tuple[int, ...] = ()
    offers: tuple[str, ...] = ()
    kept_as: Action | None = None


class Request(Protocol):
    """A line that is no action at the bay. It writes itself as the line it is read from.

    ``kept`` says whether it changes the session, and so belongs in the record; what only asks does not. One that is kept is
    done again from the line it writes itself as: what it changes beside the bay is a :class:`~model.entry.parts.Part` of the
    session, and what it does at the bay it does through :meth:`~model.session.Session.act`.
    """

    kept: bool

    def run(self, session: Session) -> Answer:
        """Do it. Raises a :class:`~model.bay.refusals.Refusal` where it is not possible now."""

    def preview(self, session: Session) -> Answer:
        """Say what it would do, and change nothing."""


class ActsAtBay:
    """A request that does actions at the bay: 'anyway' may stand at its end."""

    __slots__ = ()


class Asks:
    """A request that only asks: it changes nothing, and what it would say is what it says."""

    __slots__ = ()
    kept = False

    def run(self, session: Session) -> Answer:
        """Find the answer."""
        raise NotImplementedError

    def preview(self, session: Session) -> Answer:
        """The same."""
        return self.run(session)


class Proposes(Asks):
    """A request whose answer proposes what can be taken by number; what is only previewed is not there to be taken."""

    __slots__ = ()

    def preview(self, session: Session) -> Answer:
        """The same, but what was proposed before stays."""
        before = session.proposals
        try:
            return self.run(session)
        finally:
            session.proposals = before


@dataclass(frozen=True, slots=True)
class Undo(ActsAtBay):
    """Take the last action back."""

    kept = True

    def __str__(self) -> str:
        return "undo"

    def run(self, session: Session) -> Answer:
        """Take it back."""
        return session.undo()

    def preview(self, session: Session) -> Answer:
        """Take it back and do it again."""
        answer = session.undo()
        session.redo()
        return answer


@dataclass(frozen=True, slots=True)
class Redo(ActsAtBay):
    """Do again what was taken back last."""

    kept = True

    def __str__(self) -> str:
        return "redo"

    def run(self, session: Session) -> Answer:
        """Do it again."""
        return session.redo()

    def preview(self, session: Session) -> Answer:
        """Do it again and take it back."""
        answer = session.redo()
        session.undo()
        return answer


@dataclass(frozen=True, slots=True)
class Note:
    """Words for the record."""

    text: str
    kept = True

    def __str__(self) -> str:
        return f"note {self.text}"

    def run(self, session: Session) -> Answer:
        """Keep them."""
        session.notes.append(self.text)
        return Answer(words=(f"noted: {self.text}",))

    def preview(self, session: Session) -> Answer:
        """Say that they would be kept."""
        return Answer(words=(f"goes into the record: {self.text}",))
