"""The columns of a table of jacks as people head them: which heading means which column, and where the heading stands."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, field

from model.bench.tables.table import COLUMNS

# Headings in small letters, without signs at their ends. A table's own headings come first.
SYNONYMS: dict[str, tuple[str, ...]] = {
    "bay": ("bay", "panel", "patchbay", "patch bay", "bay name", "panel name", "frame"),
    "place": ("place", "room", "location", "where"),
    "address": ("address", "jack", "jack address", "point address", "hole", "position", "socket", "patch point"),
    "row": ("row", "row name"),
    "number": (
        "number",
        "no",
        "nr",
        "num",
        "#",
        "point",
        "column",
        "col",
        "jack no",
        "jack number",
        "pos",
        "channel no",
    ),
    "side": ("side", "top/bottom", "top / bottom", "t/b", "upper/lower", "upper / lower"),
    "gear": ("gear", "device", "equipment", "unit", "machine", "gear name"),
    "port": ("port", "connection", "signal", "name", "label", "description", "function", "connector", "circuit"),
    "kind of port": ("kind of port", "kind", "port kind", "type", "port type", "signal type", "in/out", "i/o"),
    "normal": ("normal", "normals", "normalling", "normaling", "normalled", "normaled", "norm", "kind of normal"),
    "partner": ("partner", "normalled to", "normaled to", "normal to", "normals to", "normalled with", "to"),
    "tie": ("tie", "tie line", "tieline", "ties", "tie lines"),
    "mult": ("mult", "mults", "multiple"),
    "tie or mult": ("tie or mult", "tie/mult", "tie / mult"),
    "strip": ("strip", "short name", "strip text", "label strip", "designation", "legend", "short"),
    "cable": ("cable", "cable no", "cable number", "cable label", "cable id", "wire", "loom"),
    "remark": ("remark", "remarks", "note", "notes", "comment", "comments"),
    "ohms": ("ohms", "ohm", "impedance", "z"),
    "level": ("level", "nominal level", "nominal"),
    "max": ("max", "maximum", "max level", "clip", "clips at"),
    "metres": (
        "metres",
        "meters",
        "m",
        "cable length",
        "cable m",
        "cable metres",
        "cable meters",
        "length",
        "length m",
    ),
    "phantom": ("phantom", "48v", "48 v", "phantom v", "phantom power", "phantom volts"),
    "feed": ("feed", "feed ohms", "feed resistor"),
    "switch": ("switch", "phantom switch"),
    "least ohms": ("least ohms", "least load", "minimum load"),
    "bridged": ("bridged",),
    "ears": ("ears", "heard"),
    "balanced": ("balanced", "bal"),
    "rate": ("rate", "sample rate", "frame rate"),
    "switched": ("switched", "insert switch"),
}
_MEANS = {synonym: column for column, synonyms in SYNONYMS.items() for synonym in synonyms}
_MEANS |= {column: column for column in COLUMNS}
_LOOKED_AT = 100  # rows within which the heading must stand
_ENOUGH = 2  # known headings that make a row the heading


@dataclass
class Heading:
    """Where the heading stands, and what it says."""

    row: int  # place in the sheet, from 0
    columns: dict[str, int] = field(default_factory=dict)  # by the name of a column, its place from 0
    headings: dict[int, str] = field(default_factory=dict)  # as they are written
    unknown: list[int] = field(default_factory=list)  # places of headings that mean nothing here
    twice: list[int] = field(default_factory=list)  # places of headings that mean what an earlier one means

    def has(self, *columns: str) -> bool:
        """Whether the table has one of some columns."""
        return any(column in self.columns for column in columns)


def meaning(heading: str) -> str | None:
    """The column that a heading means, or None.

    >>> meaning(" JACK NO. "), meaning("Kind of port:"), meaning("Colour")
    ('number', 'kind of port', None)
    """
    text = re.sub(r"[\s_]+", " ", heading).strip(" .:*()").lower()
    return _MEANS.get(text) or _MEANS.get(re.sub(r"\s*\(.*\)|\s*\[.*\]", "", text).strip(" .:"))


def find_heading(rows: Sequence[Sequence[str]]) -> Heading | None:
    """The first row that is a heading: it says where a jack is and what is wired to it; failing that, the likeliest row."""
    likeliest: Heading | None = None
    for number, row in enumerate(rows[:_LOOKED_AT]):
        heading = _read(number, row)
        if heading.has("address", "number") and heading.has("gear", "port"):
            return heading
        if len(heading.columns) >= _ENOUGH and (likeliest is None or len(heading.columns) > len(likeliest.columns)):
            likeliest = heading
    return likeliest


def _read(number: int, row: Sequence[str]) -> Heading:
    heading = Heading(number)
    for place, cell in enumerate(row):
        if not cell:
            continue
        heading.headings[place] = cell
        column = meaning(cell)
        if column is None:
            heading.unknown.append(place)
        elif column in heading.columns:
            heading.twice.append(place)
        else:
            heading.columns[column] = place
    return heading
