"""The typed line about the record itself."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from model.bay.refusals import NotNow
from model.commands.command import nothing_after
from model.entry.requests import Answer

if TYPE_CHECKING:
    from model.session import Session


@dataclass(frozen=True, slots=True)
class GoOn:
    """Go on without the record, while it cannot be kept."""

    kept = False

    def __str__(self) -> str:
        return "unrecorded"

    def run(self, session: Session) -> Answer:
        """Go on. Raises NotNow where the record is being kept, or there is none."""
        return Answer(words=(self._way_on(session)(),))

    def preview(self, session: Session) -> Answer:
        """Say what it means."""
        self._way_on(session)
        return Answer(words=("lines are done without being kept, until the record can be kept again",))

    @staticmethod
    def _way_on(session: Session) -> Callable[[], str]:
        if session.go_on is None:
            raise NotNow("no record is kept of this session")
        return session.go_on


read_unrecorded = nothing_after("unrecorded", GoOn())
