"""The keys of a bay that say how its label strips are cut: ``pitch``, ``strip height``, ``first``, ``groups``, ``strips``."""

from __future__ import annotations

from model.room.file.reading import Reading
from model.room.wiring import STRIPS, Bay
from model.text.clean import quoted
from model.text.strictyaml import Table
from model.text.suggest import listed

STRIP_KEYS = frozenset(("pitch", "strip height", "first", "groups", "strips"))
MAX_MM = 1000.0  # more than twice a 19-inch panel: a slip, not a panel


def read_strip_keys(reading: Reading, table: Table, bay: Bay, what: str) -> Bay:
    """The bay with what its file says of its strips; an error is noted at each value that will not do."""
    if table.values.keys().isdisjoint(STRIP_KEYS):
        return bay
    return bay._replace(
        pitch_mm=_millimetres(reading, table, "pitch", what),
        strip_height_mm=_millimetres(reading, table, "strip height", what),
        first_mm=_millimetres(reading, table, "first", what, zero=True),
        groups=_groups(reading, table, bay, what),
        strips=_strips(reading, table, what),
    )


def _millimetres(reading: Reading, table: Table, key: str, what: str, *, zero: bool = False) -> float | None:
    """A length of a strip; the keys of a table that state nothing give None."""
    if key not in table.marks:
        return None
    value = reading.number(table.values[key], f"{key} (mm)", what, zero=zero)
    if value is not None and value > MAX_MM:
        node = table.values[key]
        mark = node.mark if node is not None else table.marks[key]
        reading.error(mark, f"{key} (mm) of {what} is too large: at most {MAX_MM:g} mm")
        return None
    return value


def _groups(reading: Reading, table: Table, bay: Bay, what: str) -> tuple[tuple[int, float], ...]:
    """The gaps of a row: after which column, and by how many mm more than the pitch."""
    if "groups" not in table.marks:
        return ()
    groups = reading.table(table.values["groups"], f"groups of {what}", "{24: 6}, after column 24 a gap of 6 mm more")
    gaps: dict[int, float] = {}
    for key, node in groups.values.items() if groups is not None else ():
        mark = groups.marks[key] if groups is not None else table.mark
        gap = reading.number(node, "the gap (mm)", f"columns {quoted(key)} of {what}")
        for column in reading.points(key, mark, bay.points, what):
            if column == bay.points:
                reading.error(mark, f"a gap after column {column} of {what}: that is its last, and no gap follows it")
            elif column in gaps:
                reading.error(mark, f"the gap after column {column} of {what} is given twice")
            elif gap is not None and gap > MAX_MM:
                reading.error(mark, f"the gap (mm) after column {column} of {what} is too large: at most {MAX_MM:g} mm")
            elif gap is not None:
                gaps[column] = gap
    return tuple(sorted(gaps.items()))


def _strips(reading: Reading, table: Table, what: str) -> str:
    """Where the strips are: above the rows, below them, or one between them."""
    if "strips" not in table.marks:
        return ""
    text = reading.text(table.values["strips"], "'strips'", what)
    if text is None or text.text in STRIPS:
        return text.text if text is not None else ""
    meant = reading.meant(text.text, STRIPS) or f": they are {listed(STRIPS, 'or')}"
    reading.error(text.mark, f"'strips' of {what} says where they are, not {quoted(text.text)}{meant}")
    return ""
