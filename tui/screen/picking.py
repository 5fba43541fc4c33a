"""What the entry becomes when a jack is clicked, so that a mouse alone can plug, move, unplug and pull."""

from __future__ import annotations

import re

from model.bay.state import State
from model.room.wiring import Room
from model.text.addresses import split_address

_WAITS = re.compile(r"(?:>|^(?:plug|unplug|pull|move|trace|why|around|figures|clear|phantom))\s*$", re.IGNORECASE)
_HALF_TYPED = re.compile(r"(?P<word>plug |pull |unplug |#)?(?P<end>[^>#\s]+)\s*>?\s*$")


def picked(line: str, jack: int, state: State) -> str:
    """The line after a click on a jack.

    An empty jack, then another: a cord. The same jack again: a loose end. A jack with a plug: pull the cord; again: unplug
    the plug; then an empty jack: move it there. A loose cord's jack, then an empty jack: its other end goes there.
    """
    room = state.room
    address = room.jacks[jack].address
    text = line.strip()
    if text.endswith(">") and jack in state.plugs:
        return f"pull {address}" if text == _begin(jack, state) else _begin(jack, state)
    if text and _WAITS.search(text):
        return f"{text} {address}"
    first = _first(text, room)
    if first is None:
        return _begin(jack, state) if not text or _is_whole(text, room) else f"{text} {address}"
    word, at = first
    if at == jack:
        return _again(word, jack, state)
    if jack in state.plugs:
        begun = _begin(jack, state)
        return f"{begun} {room.jacks[at].address}" if begun.endswith(">") and at not in state.plugs else begun
    if at not in state.plugs:
        return f"{room.jacks[at].address} > {address}"
    return f"move {room.jacks[at].address} > {address}"


def _begin(jack: int, state: State) -> str:
    address = state.room.jacks[jack].address
    number = state.plugs.get(jack)
    if number is None:
        return address
    cord = state.cords[number]
    return f"#{number} >" if len(cord.plugs) < cord.ends else f"pull {address}"


def _again(word: str, jack: int, state: State) -> str:
    """A jack that is in the line already, clicked again."""
    address = state.room.jacks[jack].address
    if jack in state.plugs:
        return f"pull {address}" if word == "unplug" else f"unplug {address}"
    return address if word == "plug" else f"plug {address}"


def _first(text: str, room: Room) -> tuple[str, int] | None:
    """The command's word and the jack of a line that names one jack and no more."""
    found = _HALF_TYPED.fullmatch(text)
    if found is None:
        return None
    jack = _jack(found["end"], room)
    return None if jack is None else ((found["word"] or "").strip(), jack)


def _jack(text: str, room: Room) -> int | None:
    place = split_address(text)
    at = room.jack_at(*place) if place else None
    return None if at is None else at.index


def _is_whole(text: str, room: Room) -> bool:
    """Whether a line is a whole one that names two jacks: a click then begins anew."""
    ends = text.removeprefix("plug ").removeprefix("move ").split(">")
    return len(ends) == 2 and _jack(ends[1].strip(), room) is not None
