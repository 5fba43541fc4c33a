"""What an entry is answered with: data alone."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Any, NamedTuple

from model.live.change import Change
from model.live.told import Told

NO_CHANGE = Change()


class Effect(NamedTuple):
    """Something that an entry does outside the session, which Enter alone carries out and a preview does not."""

    kind: str
    value: str = ""


class Answer(NamedTuple):
    """What an entry did or found out.

    ``said`` is told beside the change; ``extra`` are further keys of the JSON; ``lit`` jacks to light in the bay; ``offers``
    entries that could be typed next, the first of which Enter on an empty entry puts in place. ``canonical`` is the entry as
    the record writes it, where that is not the entry itself: 'use 1' would mean something else by then.
    """

    change: Change = NO_CHANGE
    said: tuple[Told, ...] = ()
    extra: Mapping[str, Any] = MappingProxyType({})
    lit: tuple[int, ...] = ()
    offers: tuple[str, ...] = ()
    effects: tuple[Effect, ...] = ()
    canonical: str = ""
    proposals: tuple[Any, ...] | None = None  # what can be used by number from then on, at this seat; None: as before
