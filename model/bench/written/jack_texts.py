"""What a person writes at a jack beside its wiring: the short name on its label strip, its cable's number, a remark."""

from __future__ import annotations

from model.room.wiring import JackText, Room

JACK_TEXTS = JackText._fields


def jack_text(room: Room, jack: int, which: str) -> str:
    """One of the texts of a jack; empty where none is stated."""
    found = room.jack_texts.get(jack)
    return str(getattr(found, which)) if found is not None else ""
