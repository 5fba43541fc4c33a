"""What an action did, or would do."""

from __future__ import annotations

from typing import Any, NamedTuple

from model.signal.warning import Warn

Connection = tuple[str, str]  # an output and an input on one net, by full name


class Split(NamedTuple):
    """An output that feeds more than one input."""

    source: str
    loads: tuple[str, ...]


class Tied(NamedTuple):
    """An input whose net carries more than one output."""

    load: str
    sources: tuple[str, ...]


class Change(NamedTuple):
    """The consequences of one action. All tuples are sorted.

    ``split`` and ``tied`` list only those whose set of loads (sources) the action changed. ``cord`` is the cord that it
    handled, where there is one.
    """

    made: tuple[Connection, ...] = ()
    broken: tuple[Connection, ...] = ()
    split: tuple[Split, ...] = ()
    tied: tuple[Tied, ...] = ()
    raised: tuple[Warn, ...] = ()
    cleared: tuple[Warn, ...] = ()
    cautions: tuple[Warn, ...] = ()
    cord: int | None = None
    jacks: tuple[int, ...] = ()  # the jacks that plugs entered or left

    def as_json(self) -> dict[str, Any]:
        """As `rehearse --json` prints it."""
        return {
            "made": [list(pair) for pair in self.made],
            "broken": [list(pair) for pair in self.broken],
            "split": [{"source": s.source, "loads": list(s.loads)} for s in self.split],
            "tied": [{"load": t.load, "sources": list(t.sources)} for t in self.tied],
            "raised": [warning.as_json() for warning in self.raised],
            "cleared": [warning.as_json() for warning in self.cleared],
            "cautions": [caution.as_json() for caution in self.cautions],
            "cord": self.cord,
        }
