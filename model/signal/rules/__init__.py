"""The standing rules: each a small function from a net's circuit to a warning or None. ``RULES`` is their table.

A rule reads the circuit only; figures come from its circuit and from :mod:`model.electric`. Bounds that are
common practice have no source; the others name it.
"""

from __future__ import annotations

from model.signal.rules.cords import broken_by_plug, loose_end, short_of_cords
from model.signal.rules.making import Rule, RuleWords, reaches, under
from model.signal.rules.table import ALL_RULES, OTHER_RULES, RULES

__all__ = [
    "ALL_RULES",
    "OTHER_RULES",
    "RULES",
    "Rule",
    "RuleWords",
    "broken_by_plug",
    "loose_end",
    "reaches",
    "short_of_cords",
    "under",
]
