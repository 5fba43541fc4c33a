"""The parts of a session beside the bay, in one table: what the record keeps of a session, it keeps of these."""

from __future__ import annotations

from functools import cache
from typing import Any

from model.commands.lazy import loaded
from model.entry.part import Part

# By the part's name: where it is defined, and the tables that it writes.
PARTS: dict[str, tuple[str, tuple[str, ...]]] = {
    "notes": ("entry.notes:NOTES", ("note",)),
    "guarded": ("entry.guarded:GUARDED", ("guard",)),
    "shelf": ("patches.shelf:SHELF", ("patch", "hold", "work", "report")),
    "labels": ("entry.labels:LABELS", ("label",)),
    "fault": ("fault.search:FAULT", ("heard",)),
}
_PART_OF_TABLE = {table: where for where, tables in PARTS.values() for table in tables}


def part_named(name: str) -> Part[Any]:
    """The part that bears a name."""
    part: Part[Any] = loaded(PARTS[name][0])
    return part


@cache
def part_of_table(table: str) -> Part[Any] | None:
    """The part that writes a table; None where none does."""
    where = _PART_OF_TABLE.get(table)
    return None if where is None else loaded(where)
