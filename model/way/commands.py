"""The commands that find the way: trace, why, route, take, keep, free, around."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from model.line.command import Command, Form
from model.line.names import Names
from model.line.requests import Answer
from model.line.targets import read_target
from model.refusals import Malformed
from model.way.around import read_around
from model.way.keep import read_free, read_keep
from model.way.proposals import read_take
from model.way.route import read_route
from model.way.trace import Trace
from model.way.why import read_why

if TYPE_CHECKING:
    from model.session import Session


@dataclass(frozen=True, slots=True)
class ShowTrace:
    """The whole way of a signal, from its sources to its loads."""

    of: str
    kept = False

    def __str__(self) -> str:
        return f"trace {self.of}"

    def run(self, session: Session) -> Answer:
        """Show it, and light its jacks."""
        trace = Trace(session.patch.state, read_target(self.of, session.names))
        return Answer(words=trace.words(), extra={"trace": trace.as_json()}, lit=trace.lit())

    def preview(self, session: Session) -> Answer:
        """It only asks: the same."""
        return self.run(session)


def read_trace(text: str, names: Names) -> ShowTrace:
    """'X': a jack, a name, or a cord."""
    if not text.strip():
        raise Malformed("say what to trace: trace pre 4 out, trace A5, trace #7")
    return ShowTrace(read_target(text, names).name)


WAY_COMMANDS: tuple[Command, ...] = (
    Command(
        "trace",
        (Form("trace X, trace #7", "the whole way of the signal, up to its sources and down to every load"),),
        read_trace,
        "name",
    ),
    Command(
        "why",
        (
            Form(
                "why X, why #7",
                "why it is silent, has more than one source, is split, or is warned of; and what cures it",
            ),
            Form("why RULE", "why that rule's warnings stand: why tied-outputs"),
        ),
        read_why,
        "name",
    ),
    Command(
        "route",
        (
            Form("route X > Y", "up to three ways to take X to Y with cords, over tie lines and mults, the best first"),
            Form("route X > Y via Z, W", "the same, through gear, tie lines or mults on the way"),
        ),
        read_route,
        "ends",
    ),
    Command(
        "around",
        (Form("around X", "X is dead: free gear of its kind in its place, with all before and after it as it was"),),
        read_around,
        "name",
    ),
    Command("take", (Form("take 1", "do that proposal, as one step"),), read_take),
    Command(
        "keep",
        (
            Form("keep X > Y", "this connection must stand: a line that would break it is refused"),
            Form("LINE anyway", "the line all the same"),
            Form("keep", "what is kept"),
        ),
        read_keep,
        "ends",
    ),
    Command("free", (Form("free X > Y", "it need not stand any more"),), read_free, "ends"),
)
