"""A table of very many entries as a value: what was set lately lies over what was there before.

To copy a table costs a few microseconds at the cords of a studio, and half a millisecond at those of a facility. Here only
what lies over is copied, and once in a while laid into the table beneath.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, MutableMapping
from typing import Any

LARGE = 500  # entries: tables up to here are plain dictionaries
MAX_OVER = 64  # entries that lie over the others


class LargeTable(MutableMapping[Any, Any]):
    """Entries over others that many tables share and none changes."""

    __slots__ = ("_beneath", "_count", "_over")

    def __init__(self, beneath: dict[Any, Any], over: dict[Any, Any], count: int) -> None:
        self._beneath, self._over, self._count = beneath, over, count  # over: None for an entry that is gone

    def __getitem__(self, key: Any) -> Any:
        value = self._over[key] if key in self._over else self._beneath[key]
        if value is None:
            raise KeyError(key)
        return value

    def get(self, key: Any, default: Any = None) -> Any:
        """The value of a key, or the default."""
        value = self._over[key] if key in self._over else self._beneath.get(key)
        return default if value is None else value

    def __contains__(self, key: object) -> bool:
        return self.get(key) is not None

    def __setitem__(self, key: Any, value: Any) -> None:
        self._count += key not in self
        self._over[key] = value

    def __delitem__(self, key: Any) -> None:
        if key not in self:
            raise KeyError(key)
        self._count -= 1
        self._over[key] = None

    def __iter__(self) -> Iterator[Any]:
        over = self._over
        yield from (key for key in self._beneath if key not in over or over[key] is not None)
        yield from (key for key, value in over.items() if value is not None and key not in self._beneath)

    def __len__(self) -> int:
        return self._count

    def copy(self) -> LargeTable:
        """A copy that can be changed; what lies over it by now may be laid into it."""
        if len(self._over) > MAX_OVER:
            return LargeTable(dict(self), {}, self._count)
        return LargeTable(self._beneath, dict(self._over), self._count)


def copied(table: Mapping[Any, Any]) -> MutableMapping[Any, Any]:
    """A copy of a table that can be changed, in the form that fits its size. No value may be None.

    >>> copied({1: "a"})
    {1: 'a'}
    """
    if isinstance(table, LargeTable):
        return table.copy() if len(table) > LARGE // 2 else dict(table)
    return dict(table) if len(table) <= LARGE else LargeTable(dict(table), {}, len(table))
