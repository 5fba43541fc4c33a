"""A warning, and the words for its figures."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any, NamedTuple

DANGER, WARNING, NOTE = "danger", "warning", "note"
SEVERITIES = (DANGER, WARNING, NOTE)  # worst first: danger can hurt gear or ears, warning spoils the signal


class Alert(NamedTuple):
    """What a rule found on a net. It is the same warning as another when rule, ports and jacks agree."""

    rule: str
    severity: str
    ports: tuple[str, ...]
    figures: Mapping[str, float]  # the unit stands at the end of each name
    text: str
    fix: str
    jacks: tuple[str, ...] = ()  # where the warning is about jacks and not about ports
    assumed: tuple[str, ...] = ()  # ports whose impedance is their kind's default, where a figure rests on it
    node: int = -1  # a contact of the net; -1 where there is none

    @property
    def identity(self) -> tuple[str, tuple[str, ...], tuple[str, ...]]:
        """What makes it this warning and no other."""
        return self.rule, self.ports, self.jacks

    def as_json(self) -> dict[str, Any]:
        """As `rehearse --json` prints it. A figure without bound (an open line) is null."""
        return {
            "rule": self.rule,
            "severity": self.severity,
            "ports": list(self.ports),
            "jacks": list(self.jacks),
            "figures": figures_json(self.figures),
            "assumed": list(self.assumed),
            "text": self.text,
            "fix": self.fix,
        }


def figures_json(figures: Mapping[str, float]) -> dict[str, float | None]:
    """Figures as JSON prints them, sorted by name. One without bound (an open line) is null."""
    return {name: value if math.isfinite(value) else None for name, value in sorted(figures.items())}


def worst_first(warning: Alert) -> tuple[int, str, tuple[str, ...], tuple[str, ...]]:
    """Sort key for a list of standing warnings."""
    return SEVERITIES.index(warning.severity), *warning.identity


# How a figure is said to a reader: by the unit at the end of its name.
_UNITS = {"ohm": "Ω", "db": "dB", "v": "V", "ma": "mA", "hz": "Hz", "m": "m", "dbu": "dBu", "cm": "cm"}
_PREFIXED = ("Ω", "Hz")
UNKNOWN = "unknown"


def figure_words(name: str, value: float | None) -> str:
    """A figure rounded for the eye, with its unit; what is not known says so.

    >>> figure_words("extra_loss_db", 0.96578)
    '0.97 dB'
    >>> figure_words("corner_hz", 79577.47)
    '79.6 kHz'
    >>> figure_words("load_ohm", 200), figure_words("load_ohm", 1500), figure_words("load_ohm", 1e6)
    ('200 Ω', '1.5 kΩ', '1 MΩ')
    >>> figure_words("level_dbu", 4), figure_words("level_dbu", 0), figure_words("level_dbu", -7.78)
    ('+4 dBu', '0 dBu', '-7.78 dBu')
    >>> figure_words("reflection", -1 / 3)
    '-0.33'
    """
    unit = _UNITS.get(name.rpartition("_")[2], "")
    if value is None:
        return UNKNOWN
    if not math.isfinite(value):
        return "no limit"
    if unit in _PREFIXED:
        value = float(f"{value:.3g}") if abs(value) >= 100 else value  # 999 999 is 1 M, not 1000 k
        for size, prefix in ((1e6, "M"), (1e3, "k")):
            if abs(value) >= size:
                value, unit = value / size, f"{prefix}{unit}"
                break
    digits = f"{value:.0f}" if float(value).is_integer() else f"{value:.3g}" if abs(value) >= 1 else f"{value:.2f}"
    if "e" in digits:
        digits = f"{value:.0f}"
    if unit == "dBu" and float(digits) > 0:
        digits = f"+{digits}"
    if not float(digits):
        digits = digits.removeprefix("-")
    return f"{digits} {unit}".rstrip()
