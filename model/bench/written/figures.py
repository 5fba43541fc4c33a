"""What a room file states of a port and of a bay, each as the file writes it: one table, for every paper that tells them."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, NamedTuple

from model.electric import dbu_from_dbv, dbv_from_dbu
from model.room.wiring import Bay, Port
from model.text.yaml_words import decimal, on_a_line


class Figure(NamedTuple):
    """A key of a port: its name in the room file, and its value there; None where the port states none."""

    key: str
    text: Callable[[Port], str | None]


def _maybe(number: float | None, write: Callable[[float], str] = decimal) -> str | None:
    return None if number is None else write(number)


def level_text(level_dbu: float) -> str:
    """A level as a person would write it: in dBV where that is the rounder number; read back, it is the same level.

    >>> level_text(4.0), level_text(dbu_from_dbv(-10))
    ('+4 dBu', '-10 dBV')
    """
    level_dbv = round(dbv_from_dbu(level_dbu), 6)
    if dbu_from_dbv(level_dbv) == level_dbu and len(decimal(level_dbv)) < len(decimal(level_dbu)):
        return f"{_signed(level_dbv)} dBV"
    return f"{_signed(level_dbu)} dBu"


def _signed(number: float) -> str:
    return f"{'' if number < 0 else '+'}{decimal(number)}"


def _feed(port: Port) -> str | None:
    return None if port.supply is None or port.supply.feed_assumed else _maybe(port.supply.feed_ohm)


def _rate(port: Port) -> str | None:
    if port.rate_hz is None:
        return None
    in_khz = decimal(round(port.rate_hz / 1000.0, 6))
    return f"{in_khz} kHz" if float(in_khz) * 1000.0 == port.rate_hz else f"{decimal(port.rate_hz)} Hz"


def _yes(said: bool) -> str | None:
    return "yes" if said else None


def _switch(port: Port) -> str | None:
    return None if port.supply is None or port.supply.switch == port.name else port.supply.switch


FIGURES: tuple[Figure, ...] = (
    Figure("ohms", lambda port: None if port.ohms_assumed else decimal(port.ohms)),
    Figure("level", lambda port: _maybe(port.level_dbu, level_text)),
    Figure("max", lambda port: _maybe(port.max_dbu, level_text)),
    Figure("cable", lambda port: decimal(port.cable_m) if port.cable_m else None),
    Figure("phantom", lambda port: None if port.supply is None else decimal(port.supply.volts)),
    Figure("feed", _feed),
    Figure("switch", _switch),
    Figure("least ohms", lambda port: _maybe(port.least_ohm)),
    Figure("bridged", lambda port: _yes(port.bridged)),
    Figure("ears", lambda port: _yes(port.ears)),
    Figure("balanced", lambda port: None if port.balanced else "no"),
    Figure("rate", _rate),
    Figure("switched", lambda port: _yes(port.switched)),
)


def stated(port: Port) -> list[tuple[str, str]]:
    """The keys that a port states, with their values."""
    return [(figure.key, text) for figure in FIGURES if (text := figure.text(port)) is not None]


# A bay's further keys are its fields that have a default: a key is its field's name in words, without its unit.
BAY_FIELDS: dict[str, str] = {
    field.removesuffix("_mm").replace("_", " "): field for field in Bay._field_defaults if field != "line"
}


def stated_of_bay(bay: Bay) -> list[tuple[str, str]]:
    """The further keys that a bay states, with their values as the room file writes them."""
    return [
        (key, _bay_value(getattr(bay, field)))
        for key, field in BAY_FIELDS.items()
        if getattr(bay, field) != Bay._field_defaults[field]
    ]


def _bay_value(value: Any) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, int | float):
        return decimal(value)
    if isinstance(value, tuple):
        return f"{{{', '.join(f'{column}: {decimal(gap)}' for column, gap in value)}}}"
    return on_a_line(str(value))
