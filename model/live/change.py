"""What an action did, or would do."""

from __future__ import annotations

from typing import Any, NamedTuple

from model.room.wiring import Room
from model.signal.warning import SEVERITIES, Alert

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
    """The consequences of one step. Tuples are sorted, but for cautions: they come in the order of the hand.

    ``split`` and ``joined`` list only those whose set of loads (sources) the step changed; ``changed`` pairs each warning
    that stands, as it was and as it is. ``passing``: dangers that stand only on the way, between two of its actions.
    """

    made: tuple[Connection, ...] = ()
    broken: tuple[Connection, ...] = ()
    split: tuple[Split, ...] = ()
    joined: tuple[Joined, ...] = ()
    raised: tuple[Alert, ...] = ()
    cleared: tuple[Alert, ...] = ()
    changed: tuple[tuple[Alert, Alert], ...] = ()
    cautions: tuple[Alert, ...] = ()
    passing: tuple[Alert, ...] = ()
    jacks: tuple[int, ...] = ()  # the jacks that plugs entered or left
    cords: tuple[int, ...] = ()  # the numbers of the cords that it handled

    @property
    def cord(self) -> int | None:
        """The number of the cord that it handled; None where there is none, or several."""
        return self.cords[0] if len(self.cords) == 1 else None

    @property
    def grown(self) -> tuple[Alert, ...]:
        """The warnings that stand on and are worse than they were."""
        worse = SEVERITIES.index
        return tuple(now for was, now in self.changed if worse(now.severity) < worse(was.severity))

    def as_json(self, room: Room) -> dict[str, Any]:
        """As `rehearse --json` prints it."""
        return {
            "made": [list(pair) for pair in self.made],
            "broken": [list(pair) for pair in self.broken],
            "split": [{"source": s.source, "loads": list(s.loads)} for s in self.split],
            "joined": [{"load": j.load, "sources": list(j.sources)} for j in self.joined],
            "raised": [alert_json(warning, room) for warning in self.raised],
            "cleared": [alert_json(warning, room) for warning in self.cleared],
            "changed": [
                {**alert_json(now, room), "was": {"figures": was.as_json()["figures"], "severity": was.severity}}
                for was, now in self.changed
            ],
            "cautions": [alert_json(caution, room) for caution in self.cautions],
            "passing": [alert_json(danger, room) for danger in self.passing],
            "cord": self.cord,
            "cords": list(self.cords),
        }


def jacks_about(alert: Alert, room: Room) -> tuple[str, ...]:
    """The addresses of the jacks that a warning is about: those it names, or those of its ports."""
    if alert.jacks:
        return alert.jacks
    jacks = {jack for name in alert.ports for jack in room.jacks_of_port[room.port_named[name].index]}
    return tuple(room.jacks[jack].address for jack in sorted(jacks))


def alert_json(alert: Alert, room: Room) -> dict[str, Any]:
    """A warning as JSON prints it: with its jacks, whether it names them or its ports."""
    return {**alert.as_json(), "jacks": list(jacks_about(alert, room))}
