"""Parts of a session beside the bay: notes, saved patches, guarded connections and whatever joins them.

A part is a value, like the bay's state. It writes itself as entries of tables, each a key and something that JSON can write,
by the room's own names (addresses, ports' full names, numbers of cords), never by numbers of jacks or ports: so it outlives a
change of the room file, and the record can say what an entry set.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any, Generic, TypeVar

from model.room.wiring import Room

Plain = None | bool | int | float | str | list["Plain"] | dict[str, "Plain"]  # what JSON can write
Tables = Mapping[tuple[str, Any], Any]  # table and key: the value, as JSON writes it

T = TypeVar("T", covariant=True)


@dataclass(frozen=True)
class Part(Generic[T]):
    """One part: its name, what it is at the beginning, its tables, and the way to them and back.

    ``from_tables`` takes up what still holds in a room; it also answers one sentence for each thing that does not, and why.
    """

    name: str
    empty: T
    tables: tuple[str, ...]
    to_tables: Callable[[Any], dict[tuple[str, Any], Any]]
    from_tables: Callable[[Tables, Room], tuple[T, list[str]]]
