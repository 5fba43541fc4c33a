"""What the stored evenings of tests/golden say in other words than the program does now, each meant change stated once.

`pytest --renew-golden` stores the answers anew; then these tables are emptied.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, NamedTuple


class Meant(NamedTuple):
    """Meant changes between what is stored and what is said now.

    ``words``: phrases in answers, the one in an earlier place replaced first. ``keys``: the new name of a key, None where it
    is gone. ``added``: keys that are new, and not compared. ``shapes``: for a key that has another shape now, its value in
    the stored shape.
    """

    words: Mapping[str, str] = {}
    keys: Mapping[str, str | None] = {}
    added: frozenset[str] = frozenset()
    shapes: Mapping[str, Callable[[Any], Any]] = {}

    def said_now(self, stored: Any) -> Any:
        """A stored value in the words and keys of now."""
        if isinstance(stored, str):
            for old, new in self.words.items():
                stored = stored.replace(old, new)
            return stored
        if isinstance(stored, list):
            return [self.said_now(value) for value in stored]
        if isinstance(stored, dict):
            named = ((self.keys.get(key, key), value) for key, value in stored.items())
            return {key: self.said_now(value) for key, value in named if key is not None}
        return stored

    def as_stored(self, said: Any) -> Any:
        """A value of now in the shape that is stored, without what is new."""
        if isinstance(said, list):
            return [self.as_stored(value) for value in said]
        if isinstance(said, dict):
            return {
                key: self.shapes[key](value) if key in self.shapes else self.as_stored(value)
                for key, value in said.items()
                if key not in self.added
            }
        return said


# For the answers as they are stored now nothing is meant to differ. Such as, after a renaming:
#     Meant(words={"is kept": "is guarded"}, keys={"kept": "guarded", "words": "told"},
#           shapes={"told": lambda told: [one["words"] for one in told]})
MEANT = Meant()
