"""`guard X > Y`: a connection that must stand; an entry that would break it is refused until 'anyway' stands at its end."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import Any

from model.bay.refusals import NotNow
from model.bay.state import State
from model.entry.answer import Answer
from model.entry.draft import Draft
from model.entry.entry import Asks, Changes
from model.entry.guarded import GUARDED
from model.language.names import IN, OUT, Names
from model.language.targets import read_ends, read_port
from model.live.told import said
from model.room.wiring import Port, Room
from model.signal.flow import as_graph, follow, inputs_fed_by, is_output


def is_fed(state: State, source: Port, load: Port) -> bool:
    """Whether a source and a load are on one net now."""
    return load.index in inputs_fed_by(state, source.index)


def guarded_json(draft: Draft) -> dict[str, Any]:
    """The further key of the JSON: what is guarded, and whether it stands now."""
    room, state = draft.room, draft.patch.state
    ports = room.port_named
    return {
        "guarded": [
            {"source": source, "load": load, "stands": is_fed(state, ports[source], ports[load])}
            for source, load in sorted(draft.get(GUARDED))
        ]
    }


def _between(room: Room, state: State, source: Port, load: Port) -> list[str]:
    """The entries that guard each connection on the way from a source through gear to a load; empty where none leads there."""
    flow = follow(state, [source.index])
    if load.index not in flow:
        return []
    import networkx as nx  # takes a tenth of a second: not before a way through gear is asked for

    way = [node for node in nx.shortest_path(as_graph(flow), source.index, load.index) if node >= 0]
    return [
        f"guard {room.ports[a].name} > {room.ports[b].name}"
        for a, b in pairwise(way)
        if is_output(room, a) and not is_output(room, b)
    ]


@dataclass(frozen=True, slots=True)
class Guard(Changes):
    """A connection that must stand."""

    source: str
    load: str

    def __str__(self) -> str:
        return f"guard {self.source} > {self.load}"

    def _check(self, draft: Draft) -> None:
        room, state = draft.room, draft.patch.state
        source, load = room.port_named[self.source], room.port_named[self.load]
        if (self.source, self.load) in draft.get(GUARDED):
            raise NotNow(f"{self.source} > {self.load} is guarded already")
        if not is_fed(state, source, load):
            lines = _between(room, state, source, load)
            if lines:
                raise NotNow(
                    f"{self.source} reaches {self.load} through gear: guard each part of the way: {'; '.join(lines)}"
                )
            raise NotNow(
                f"{self.source} does not feed {self.load} now, so there is nothing to guard; "
                f"'route {self.source} > {self.load}' finds the cords"
            )

    def run(self, draft: Draft) -> Answer:
        """Guard it. Raises NotNow where it does not stand."""
        self._check(draft)
        draft.put(GUARDED, draft.get(GUARDED) | {(self.source, self.load)})
        return Answer(said=said(f"guarded: {self.source} > {self.load}"), extra=guarded_json(draft))


@dataclass(frozen=True, slots=True)
class Unguard(Changes):
    """A guarded connection that need not stand any more."""

    source: str
    load: str

    def __str__(self) -> str:
        return f"unguard {self.source} > {self.load}"

    def _check(self, draft: Draft) -> None:
        if (self.source, self.load) not in draft.get(GUARDED):
            raise NotNow(f"{self.source} > {self.load} is not guarded")

    def run(self, draft: Draft) -> Answer:
        """Free it. Raises NotNow where it is not guarded."""
        self._check(draft)
        draft.put(GUARDED, draft.get(GUARDED) - {(self.source, self.load)})
        return Answer(said=said(f"free again: {self.source} > {self.load}"), extra=guarded_json(draft))


@dataclass(frozen=True, slots=True)
class ShowGuarded(Asks):
    """What is guarded."""

    def __str__(self) -> str:
        return "guard"

    def run(self, draft: Draft) -> Answer:
        """List it."""
        found = guarded_json(draft)
        words = [
            f"{pair['source']} > {pair['load']}{'' if pair['stands'] else ': guarded, but broken now'}"
            for pair in found["guarded"]
        ]
        return Answer(said=said(*words or ["nothing is guarded"]), extra=found)


def read_guard(text: str, names: Names) -> Guard | ShowGuarded:
    """'X > Y', or nothing: the list."""
    if not text.strip():
        return ShowGuarded()
    source, load = read_ends(text, "guard pre 4 out > squash l in")
    return Guard(_way(source, names, OUT), _way(load, names, IN))


def read_unguard(text: str, names: Names) -> Unguard:
    """'X > Y'."""
    source, load = read_ends(text, "unguard pre 4 out > squash l in")
    return Unguard(_way(source, names, OUT), _way(load, names, IN))


def _way(text: str, names: Names, way: str) -> str:
    port = read_port(text, names, way)
    if port.kind.way != way:
        raise NotNow(f"{port.name} is no {way}put: a connection runs from an output to an input", text)
    return port.name
