"""Tonight's names: a label belongs to a port, and serves in entries beside the port's own name."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Any

from model.entry.part import Part, Tables
from model.language.names import NameIndexes, shadowed
from model.room.wiring import Room

Labels = Mapping[str, str]  # by label: the full name of its port
NO_LABELS: Labels = MappingProxyType({})


def _to_tables(labels: Labels) -> dict[tuple[str, Any], Any]:
    return {("label", label): port for label, port in sorted(labels.items())}


def _from_tables(tables: Tables, room: Room) -> tuple[Labels, list[str]]:
    """Those whose port the room has, and that mean nothing else in it."""
    found: dict[str, str] = {}
    words: list[str] = []
    indexes = NameIndexes(room)
    for (_, label), port in tables.items():
        meant = shadowed(str(label), indexes)
        if port not in room.port_named:
            words.append(f"{port} is not labelled '{label}' any more: the room has no {port}")
        elif meant:
            words.append(f"{port} is not labelled '{label}' any more: it means {meant} in this room")
        else:
            found[str(label)] = port
    return MappingProxyType(found), words


LABELS: Part[Labels] = Part("labels", NO_LABELS, ("label",), _to_tables, _from_tables)
