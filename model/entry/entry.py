"""What a typed entry is read as: something that can be done on a draft of the session, and that writes itself."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Protocol

from model.bay.actions import Action
from model.entry.answer import Answer
from model.entry.draft import Draft
from model.live.told import action_words, said


class Entry(Protocol):
    """An entry. It writes itself as the text that it is read from.

    ``changes``: it changes the session, and so belongs in the record. ``acts``: it acts at the bay, so that 'anyway' may
    stand at its end. There is no second method for its preview: a preview does it on a draft that nobody keeps.
    """

    @property
    def changes(self) -> bool:
        """Whether it changes the session."""

    @property
    def acts(self) -> bool:
        """Whether it acts at the bay."""

    def run(self, draft: Draft) -> Answer:
        """Do it. Raises a :class:`~model.bay.refusals.Refusal` where it is not possible now."""


class Asks:
    """An entry that only asks."""

    __slots__ = ()
    changes = False
    acts = False


class Changes:
    """An entry that changes the session beside the bay."""

    __slots__ = ()
    changes = True
    acts = False


class Acts:
    """An entry that acts at the bay."""

    __slots__ = ()
    changes = True
    acts = True


@dataclass(frozen=True, slots=True)
class AtBay(Acts):
    """An action at the bay, as it was typed. ``told``: what else its reader has to say, such as what is so already."""

    action: Action
    told: tuple[str, ...] = field(default=(), compare=False)

    def __str__(self) -> str:
        return str(self.action)

    def run(self, draft: Draft) -> Answer:
        """Do it, as one step."""
        return Answer(draft.act(self.action), said(*action_words(self.action, draft.room), *self.told))
