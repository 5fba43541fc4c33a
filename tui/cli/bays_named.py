"""The bays that a command is about: all, or the one that is named."""

from __future__ import annotations

from model.room.wiring import Bay, Room
from model.text.clean import quoted
from model.text.normalized import normalized
from model.text.suggest import did_you_mean, nearest
from tui.cli.status import say


def bays_named(room: Room, name: str | None) -> tuple[Bay, ...]:
    """The bay of a name in any case of letters, or all; none, and what was probably meant said, where there is no such bay."""
    found = tuple(bay for bay in room.bays if name is None or normalized(bay.name) == normalized(name))
    if not found:
        say(f"there is no bay {quoted(name or '')}{did_you_mean(nearest(name or '', [bay.name for bay in room.bays]))}")
    return found
