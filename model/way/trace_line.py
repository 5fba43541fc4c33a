"""The line that asks for a trace."""

from __future__ import annotations

from dataclasses import dataclass

from model.bay.refusals import Malformed
from model.entry.answer import Answer
from model.entry.draft import Draft
from model.entry.entry import Asks
from model.language.names import Names
from model.language.targets import read_target
from model.live.told import said
from model.way.trace import Trace


@dataclass(frozen=True, slots=True)
class ShowTrace(Asks):
    """The whole way of a signal, from its sources to its loads."""

    of: str

    def __str__(self) -> str:
        return f"trace {self.of}"

    def run(self, draft: Draft) -> Answer:
        """Show it, and light its jacks."""
        trace = Trace(draft.patch.state, read_target(self.of, draft.names))
        return Answer(said=said(*trace.words()), extra={"trace": trace.as_json()}, lit=trace.lit())


def read_trace(text: str, names: Names) -> ShowTrace:
    """'X': a jack, a name, or a cord."""
    if not text.strip():
        raise Malformed("say what to trace: a name, a jack, a cord")
    return ShowTrace(read_target(text, names).name)
