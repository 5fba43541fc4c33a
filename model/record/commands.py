"""The entry about the record itself."""

from __future__ import annotations

from dataclasses import dataclass

from model.bay.refusals import NotNow
from model.entry.alone import nothing_after
from model.entry.answer import Answer, Effect
from model.entry.draft import Draft
from model.entry.entry import Asks
from model.live.told import said

GO_ON = Effect("unrecorded")  # do entries without the record, until it can be kept again


@dataclass(frozen=True, slots=True)
class Unrecorded(Asks):
    """Go on without the record, while it cannot be kept."""

    def __str__(self) -> str:
        return "unrecorded"

    def run(self, draft: Draft) -> Answer:
        """Say what it means; Enter does it. Raises NotNow where the record is being kept, or there is none."""
        if draft.recording is None:
            raise NotNow("no record is kept of this session")
        fault, can_go_on = draft.recording()
        if not fault:
            raise NotNow("the record is being kept: there is nothing to go on without")
        if not can_go_on:
            raise NotNow(fault)
        return Answer(
            said=said(
                f"going on without the record ({fault}). What is typed now is lost if the program ends before the record can "
                "be kept again; each entry tries to, and takes with it what was typed meanwhile"
            ),
            effects=(GO_ON,),
        )


read_unrecorded = nothing_after("unrecorded", Unrecorded())
