"""Why an entry is not taken: three kinds of refusal. The message is for the person who typed it."""

from __future__ import annotations

from collections.abc import Sequence


class Refusal(Exception):
    """An entry that changes nothing. ``reason`` says why; ``typed`` is the part of the entry that it is about."""

    def __init__(self, reason: str, typed: str = "") -> None:
        super().__init__(reason)
        self.reason = reason
        self.typed = typed


class Malformed(Refusal):
    """The entry cannot be read."""


class UnknownName(Malformed):
    """A name that the room does not have. ``nearest`` are the names it might have been; None: nobody looked for them."""

    def __init__(self, reason: str, typed: str, nearest: Sequence[str] | None = None) -> None:
        super().__init__(reason, typed)
        self.nearest = nearest


class Ambiguous(Refusal):
    """A name that fits several things. ``candidates`` are their names."""

    def __init__(self, reason: str, typed: str, candidates: Sequence[str]) -> None:
        super().__init__(reason, typed)
        self.candidates = tuple(candidates)


class NotNow(Refusal):
    """The entry can be read, but the state of the bay does not allow it."""
