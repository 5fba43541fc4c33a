"""Connections that must stand: a line that would break one is refused until it is repeated with 'anyway' at its end."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING, Any

from model.bay.refusals import NotNow
from model.bay.state import State
from model.commands.reading import ANYWAY
from model.entry.parts import Plain
from model.entry.requests import Answer, Asks
from model.language.names import IN, OUT, Names
from model.language.targets import read_ends, read_port
from model.live.change import Change, Connection
from model.room.wiring import Port, Room
from model.signal.flow import follow, inputs_fed_by, is_output

if TYPE_CHECKING:
    from model.session import Session


class KeptConnections(set[Connection]):
    """The connections of a room that must stand. One that is broken all the same stays kept: made again, it is kept again."""

    def __init__(self, room: Room) -> None:
        super().__init__()
        self.room = room

    def to_dict(self) -> Plain:
        """Pairs of ports' names."""
        return [[source, load] for source, load in sorted(self)]

    def from_dict(self, plain: Plain) -> list[str]:
        """Keep those, as far as the room has their ports."""
        self.clear()
        words = []
        for pair in plain if isinstance(plain, list) else []:
            source, load = (str(name) for name in pair) if isinstance(pair, list) and len(pair) == 2 else ("", "")
            gone = [name for name in (source, load) if name not in self.room.port_named]
            if gone:
                words.append(f"{source} > {load} is not kept any more: the room has no {' and no '.join(gone)}")
            else:
                self.add((source, load))
        return words

    def refuse_lost(self, change: Change) -> None:
        """Refuse a change that breaks what is kept. Raises NotNow, which says what, and how to do it all the same."""
        pairs = lost(self, change)
        if pairs:
            those = " and ".join(f"{source} > {load}" for source, load in pairs)
            raise NotNow(
                f"this breaks {those}, which is kept: repeat the line with '{ANYWAY}' at its end to do it all the same"
            )


def lost(kept: Collection[Connection], change: Change) -> list[Connection]:
    """The kept connections that a change breaks."""
    return [pair for pair in change.broken if pair in kept] if kept else []


def is_fed(state: State, source: Port, load: Port) -> bool:
    """Whether a source and a load are on one net now."""
    return load.index in inputs_fed_by(state, source.index)


def kept_json(session: Session) -> dict[str, Any]:
    """The further key of the JSON: what is kept, and whether it stands now."""
    room, state = session.room, session.patch.state
    ports = room.port_named
    return {
        "kept": [
            {"source": source, "load": load, "stands": is_fed(state, ports[source], ports[load])}
            for source, load in sorted(session.kept)
        ]
    }


def _between(room: Room, state: State, source: Port, load: Port) -> list[str]:
    """The lines that keep each connection on the way from a source through gear to a load; empty where none leads there."""
    flow = follow(state, [source.index])
    if load.index not in flow:
        return []
    import networkx as nx  # takes a tenth of a second: not before a way through gear is asked for

    from model.signal.flow import as_graph

    way = [node for node in nx.shortest_path(as_graph(flow), source.index, load.index) if node >= 0]
    return [
        f"guard {room.ports[a].name} > {room.ports[b].name}"
        for a, b in pairwise(way)
        if is_output(room, a) and not is_output(room, b)
    ]


@dataclass(frozen=True, slots=True)
class Keep:
    """A connection that must stand."""

    source: str
    load: str
    kept = True

    def __str__(self) -> str:
        return f"guard {self.source} > {self.load}"

    def _check(self, session: Session) -> None:
        room, state = session.room, session.patch.state
        source, load = room.port_named[self.source], room.port_named[self.load]
        if (self.source, self.load) in session.kept:
            raise NotNow(f"{self.source} > {self.load} is kept already")
        if not is_fed(state, source, load):
            lines = _between(room, state, source, load)
            if lines:
                raise NotNow(
                    f"{self.source} reaches {self.load} through gear: keep each part of the way: {'; '.join(lines)}"
                )
            raise NotNow(
                f"{self.source} does not feed {self.load} now, so there is nothing to keep; "
                f"'route {self.source} > {self.load}' finds the cords"
            )

    def run(self, session: Session) -> Answer:
        """Keep it. Raises NotNow where it does not stand."""
        self._check(session)
        session.kept.add((self.source, self.load))
        return Answer(words=(f"kept: {self.source} > {self.load}",), extra=kept_json(session))

    def preview(self, session: Session) -> Answer:
        """Say that it would be kept."""
        self._check(session)
        return Answer(words=(f"would be kept: {self.source} > {self.load}",))


@dataclass(frozen=True, slots=True)
class Free:
    """A kept connection that need not stand any more."""

    source: str
    load: str
    kept = True

    def __str__(self) -> str:
        return f"unguard {self.source} > {self.load}"

    def _check(self, session: Session) -> None:
        if (self.source, self.load) not in session.kept:
            raise NotNow(f"{self.source} > {self.load} is not kept")

    def run(self, session: Session) -> Answer:
        """Free it. Raises NotNow where it is not kept."""
        self._check(session)
        session.kept.remove((self.source, self.load))
        return Answer(words=(f"free again: {self.source} > {self.load}",), extra=kept_json(session))

    def preview(self, session: Session) -> Answer:
        """Say that it would be free."""
        self._check(session)
        return Answer(words=(f"would be free: {self.source} > {self.load}",))


@dataclass(frozen=True, slots=True)
class ListKept(Asks):
    """What is kept."""

    def __str__(self) -> str:
        return "guard"

    def run(self, session: Session) -> Answer:
        """List it."""
        found = kept_json(session)
        words = [
            f"{pair['source']} > {pair['load']}{'' if pair['stands'] else ': kept, but broken now'}"
            for pair in found["kept"]
        ]
        return Answer(words=tuple(words) or ("nothing is kept",), extra=found)


def read_keep(text: str, names: Names) -> Keep | ListKept:
    """'X > Y', or nothing: the list."""
    if not text.strip():
        return ListKept()
    source, load = read_ends(text, "guard pre 4 out > squash l in")
    return Keep(_way(source, names, OUT), _way(load, names, IN))


def read_free(text: str, names: Names) -> Free:
    """'X > Y'."""
    source, load = read_ends(text, "unguard pre 4 out > squash l in")
    return Free(_way(source, names, OUT), _way(load, names, IN))


def _way(text: str, names: Names, way: str) -> str:
    port = read_port(text, names, way)
    if port.kind.way != way:
        raise NotNow(f"{port.name} is no {way}put: a connection runs from an output to an input", text)
    return port.name
