"""The notes of a session."""

from __future__ import annotations

from typing import Any

from model.entry.part import Part, Tables
from model.room.wiring import Room


def _to_tables(notes: tuple[str, ...]) -> dict[tuple[str, Any], Any]:
    return {("note", number): note for number, note in enumerate(notes, start=1)}


def _from_tables(tables: Tables, _room: Room) -> tuple[tuple[str, ...], list[str]]:
    """A note holds in any room."""
    return tuple(str(note) for note in tables.values()), []


NOTES: Part[tuple[str, ...]] = Part("notes", (), ("note",), _to_tables, _from_tables)  # oldest first
