"""`guard X > Y`: a connection that must stand; an entry that would break it is refused until 'anyway' stands at its end."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

from model.bay.refusals import Malformed, NotNow
from model.bay.state import State
from model.entry.answer import Answer
from model.entry.draft import Draft
from model.entry.entry import Asks, Changes
from model.entry.guarded import GUARDED
from model.language.ends import Ends
from model.language.names import IN, OUT, Names
from model.language.quotes import Quotes
from model.language.readings import Readings
from model.language.signs import ends_of
from model.live.change import Connection
from model.live.told import Told, said
from model.room.wiring import Port, Room
from model.signal.flow import as_graph, follow, inputs_fed_by, is_output
from model.text.written import written


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


def _between(room: Room, state: State, source: Port, load: Port) -> tuple[Connection, ...]:
    """Each connection on the way from a source through gear to a load; none where none leads there."""
    flow = follow(state, [source.index])
    if load.index not in flow:
        return ()
    import networkx as nx  # takes a tenth of a second: not before a way through gear is asked for

    way = [node for node in nx.shortest_path(as_graph(flow), source.index, load.index) if node >= 0]
    return tuple(
        (room.ports[a].name, room.ports[b].name)
        for a, b in pairwise(way)
        if is_output(room, a) and not is_output(room, b)
    )


def _listed(pairs: tuple[Connection, ...]) -> str:
    """Connections as an entry writes them: the sources, and as many loads."""
    return " > ".join(", ".join(map(written, side)) for side in zip(*pairs, strict=True))


def _told(words: str, pairs: tuple[Connection, ...]) -> tuple[Told, ...]:
    return said(*(f"{words}: {source} > {load}" for source, load in pairs))


@dataclass(frozen=True, slots=True)
class Guard(Changes):
    """Connections that must stand."""

    pairs: tuple[Connection, ...]

    def __str__(self) -> str:
        return f"guard {_listed(self.pairs)}"

    def run(self, draft: Draft) -> Answer:
        """Guard them. Raises NotNow where one of them does not stand, or is guarded already."""
        for pair in self.pairs:
            _check_guard(draft, *pair)
        draft.put(GUARDED, draft.get(GUARDED) | set(self.pairs))
        return Answer(said=_told("guarded", self.pairs), extra=guarded_json(draft))


def _check_guard(draft: Draft, source_name: str, load_name: str) -> None:
    room, state = draft.room, draft.patch.state
    source, load = room.port_named[source_name], room.port_named[load_name]
    if (source_name, load_name) in draft.get(GUARDED):
        raise NotNow(f"{source_name} > {load_name} is guarded already")
    if not is_fed(state, source, load):
        parts = _between(room, state, source, load)
        if parts:
            raise NotNow(
                f"{source_name} reaches {load_name} through gear: guard each part of the way: guard {_listed(parts)}"
            )
        raise NotNow(
            f"{source_name} does not feed {load_name} now, so there is nothing to guard; "
            f"'route {source_name} > {load_name}' finds the cords"
        )


@dataclass(frozen=True, slots=True)
class Unguard(Changes):
    """Guarded connections that need not stand any more."""

    pairs: tuple[Connection, ...]

    def __str__(self) -> str:
        return f"unguard {_listed(self.pairs)}"

    def run(self, draft: Draft) -> Answer:
        """Free them. Raises NotNow where one of them is not guarded."""
        for source, load in self.pairs:
            if (source, load) not in draft.get(GUARDED):
                raise NotNow(f"{source} > {load} is not guarded")
        draft.put(GUARDED, draft.get(GUARDED) - set(self.pairs))
        return Answer(said=_told("free again", self.pairs), extra=guarded_json(draft))


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
    """'X > Y', lists of them, or nothing: what is guarded."""
    return ShowGuarded() if not text.strip() else Guard(_pairs(text, names))


def read_unguard(text: str, names: Names) -> Unguard:
    """'X > Y', or lists of them."""
    return Unguard(_pairs(text, names))


class _Pairs(tuple[Connection, ...]):
    """Connections, written as their list."""

    def __str__(self) -> str:
        return _listed(tuple(self))


def _pairs(text: str, names: Names) -> tuple[Connection, ...]:
    """The connections that two lists mean, each output with the input that has its place."""
    quotes = Quotes(text)
    ends = Ends(names, quotes)
    readings: Readings[_Pairs] = Readings()
    for parts in ends_of(quotes.text):
        if len(parts) != 2 or "" in parts:
            readings.refusals.append(Malformed("say from what to what: X > Y", text))
            continue
        for sources in ends.port_lists(parts[0], OUT, readings):
            for loads in ends.port_lists(parts[1], IN, readings):
                readings.attempt(lambda sources=sources, loads=loads: _paired(sources, loads, text))  # type: ignore[misc]
    return tuple(readings.one(text.strip()))


def _paired(sources: Sequence[Port], loads: Sequence[Port], text: str) -> _Pairs:
    if len(sources) != len(loads):
        raise Malformed(f"both sides must be as many: {len(sources)} and {len(loads)}", text)
    for ports, way in ((sources, OUT), (loads, IN)):
        for port in ports:
            if port.kind.way != way:
                raise NotNow(f"{port.name} is no {way}put: a connection runs from an output to an input", text)
    return _Pairs((source.name, load.name) for source, load in zip(sources, loads, strict=True))
