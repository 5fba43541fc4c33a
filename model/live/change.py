"""What an action did, or would do."""

from __future__ import annotations

from typing import Any, NamedTuple

from model.signal.warning import Alert

Connection = tuple[str, str]  # an output and an input on one net, by full name


class Split(NamedTuple):
    """An output that feeds more than one input."""

    source: str
    loads: tuple[str, ...]


class Joined(NamedTuple):
    """An input whose net carries more than one output."""

    load: str
    sources: tuple[str, ...]


class Change(NamedTuple):
    """The consequences of one action. All tuples are sorted.

    ``split`` and ``joined`` list only those whose set of loads (sources) the action changed. ``cord`` is the cord that it
    handled, where there is one.
    """

    made: tuple[Connection, ...] = ()
    broken: tuple[Connection, ...] = ()
    split: tuple[Split, ...] = ()
    joined: tuple[Joined, ...] = ()
    raised: tuple[Alert, ...] = ()
    cleared: tuple[Alert, ...] = ()
    cautions: tuple[Alert, ...] = ()
    cord: int | None = None
    jacks: tuple[int, ...] = ()  # the jacks that plugs entered or left

    def as_json(self) -> dict[str, Any]:
        """As `rehearse --json` prints it."""
        return {
            "made": [list(pair) for pair in self.made],
            "broken": [list(pair) for pair in self.broken],
            "split": [{"source": s.source, "loads": list(s.loads)} for s in self.split],
            "joined": [{"load": t.load, "sources": list(t.sources)} for t in self.joined],
            "raised": [warning.as_json() for warning in self.raised],
            "cleared": [warning.as_json() for warning in self.cleared],
            "cautions": [caution.as_json() for caution in self.cautions],
            "cord": self.cord,
        }
