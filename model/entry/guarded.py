"""Guarded connections: they must stand, and an entry that would break one is refused unless it says 'anyway'."""

from __future__ import annotations

from collections.abc import Collection
from typing import Any

from model.bay.refusals import NotNow
from model.entry.part import Part, Tables
from model.live.change import Change, Connection
from model.room.wiring import Room

ANYWAY = "anyway"


def _to_tables(guarded: frozenset[Connection]) -> dict[tuple[str, Any], Any]:
    return {("guard", f"{source} > {load}"): [source, load] for source, load in sorted(guarded)}


def _from_tables(tables: Tables, room: Room) -> tuple[frozenset[Connection], list[str]]:
    """Those of which the room has the ports."""
    found: set[Connection] = set()
    words = []
    for source, load in tables.values():
        gone = [name for name in (source, load) if name not in room.port_named]
        if gone:
            words.append(f"{source} > {load} is not guarded any more: the room has no {' and no '.join(gone)}")
        else:
            found.add((source, load))
    return frozenset(found), words


# One that is broken all the same stays guarded: made again, it is guarded again.
GUARDED: Part[frozenset[Connection]] = Part("guarded", frozenset(), ("guard",), _to_tables, _from_tables)


def lost(guarded: Collection[Connection], change: Change) -> list[Connection]:
    """The guarded connections that a change breaks."""
    return [pair for pair in change.broken if pair in guarded] if guarded else []


def refuse_lost(guarded: Collection[Connection], change: Change) -> None:
    """Refuse a change that breaks what is guarded. Raises NotNow, which says what, and how to do it all the same."""
    pairs = lost(guarded, change)
    if pairs:
        those = " and ".join(f"{source} > {load}" for source, load in pairs)
        verb = "is" if len(pairs) == 1 else "are"
        raise NotNow(
            f"this breaks {those}, which {verb} guarded: repeat the entry with '{ANYWAY}' at its end to do it all the same"
        )
