"""The keys of a bay that say how it is normalled: ``normalled by``, ``reached from``, ``jumper carries``, ``sleeve``."""

from __future__ import annotations

from model.room.file.reading import Reading
from model.room.kinds import MAX_CONDUCTORS, NORMALLED_BY, REACHED_FROM, SLEEVES
from model.room.wiring import Bay
from model.text.clean import quoted
from model.text.strictyaml import Table
from model.text.suggest import listed

_CHOICES = {"normalled by": NORMALLED_BY, "reached from": REACHED_FROM, "sleeve": SLEEVES}
_CARRIES = "jumper carries"
NORMALLING_KEYS = frozenset((*_CHOICES, _CARRIES))


def read_normalling_keys(reading: Reading, table: Table, bay: Bay, what: str) -> Bay:
    """The bay with what its file says of its normals; an error is noted at each value that will not do."""
    stated = {key: _choice(reading, table, key, what) for key in _CHOICES if key in table.marks}
    carries = None
    if _CARRIES in table.marks:
        carries = reading.whole_number(table.values[_CARRIES], f"'{_CARRIES}' (conductors)", what, MAX_CONDUCTORS)
    return bay._replace(
        normalled_by=stated.get("normalled by") or bay.normalled_by,
        reached_from=stated.get("reached from") or bay.reached_from,
        sleeve=stated.get("sleeve") or bay.sleeve,
        jumper_carries=carries or bay.jumper_carries,
    )


def _choice(reading: Reading, table: Table, key: str, what: str) -> str | None:
    """The word that a key has, or None with an error where it is none of those that it may have."""
    words = _CHOICES[key]
    text = reading.text(table.values[key], f"'{key}'", what)
    if text is None or text.text in words:
        return None if text is None else text.text
    meant = reading.meant(text.text, words) or f": it is {listed(words, 'or')}"
    reading.error(text.mark, f"'{key}' of {what} cannot be {quoted(text.text)}{meant}")
    return None
