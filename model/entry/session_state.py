"""All that entries change: the live patch, what undo and redo reach, and the parts beside the bay. It is a value."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from types import MappingProxyType
from typing import Any, NamedTuple, TypeVar

from model.bay.state import Difference
from model.entry.part import Part
from model.live.patch import Patch

DEEPEST_UNDO = 1000  # steps; what lies further back stays done

T = TypeVar("T")


class Taken(NamedTuple):
    """A step at the bay that was taken, so that it can be undone: its entry, what it set, and the seat it was typed at."""

    entry: str
    difference: Difference
    by: str


@dataclass(frozen=True, slots=True)
class SessionState:
    """A session at one moment."""

    patch: Patch
    taken: tuple[Taken, ...] = ()  # what undo takes back, the last first taken back
    undone: tuple[Taken, ...] = ()  # what redo does again
    parts: Mapping[str, Any] = field(
        default_factory=lambda: MappingProxyType({})
    )  # by name; one that is empty is not there

    def part(self, part: Part[T]) -> T:
        """What a part holds."""
        held: T = self.parts.get(part.name, part.empty)
        return held

    def with_part(self, part: Part[T], value: T) -> SessionState:
        """The same with another value of a part."""
        parts = {name: held for name, held in self.parts.items() if name != part.name}
        if value != part.empty:
            parts[part.name] = value
        return replace(self, parts=MappingProxyType(parts))

    def with_step(self, patch: Patch, step: Taken) -> SessionState:
        """The same after a step at the bay, from which there is no redo of what was undone before it."""
        return replace(self, patch=patch, taken=(*self.taken, step)[-DEEPEST_UNDO:], undone=())
