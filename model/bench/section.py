"""A normal drawn in section: two jacks, their contacts, the jumper between them, the sleeve; in characters of our own."""

from __future__ import annotations

from model.bench.jumpers import LINE, NORMAL, joined_contacts
from model.room.wiring import Bay

SITS, FREE = "●", "○"  # a contact with a jumper's end on it, and one without
# Line and normal contact are springs that touch while the jack is empty: hence the arch between them. The bottom jack is
# drawn upside down, so that the contacts which normals join lie side by side.
_ROWS = ((True, LINE, "╮"), (True, NORMAL, "╯"), (False, NORMAL, "╮"), (False, LINE, "╯"))
# The sleeve: a conductor of the jumper too, a bus all along the bay, or joined to nothing.
_SLEEVE_ROW = {"carried": "──── ● as tip and ring", "bussed": "═══════════", "isolated": "──── ○"}
_SLEEVE_WORDS = {"bussed": "joined all along the bay; it stays", "isolated": "joined to nothing"}


def small_section(kind: str) -> tuple[str, str]:
    """Both jacks in one row of text each: line contact L, normal contact N, and where the jumper's ends sit.

    >>> small_section("half")
    ('L●N○', 'L○N●')
    """
    top, bottom = joined_contacts(kind)
    return _small(top), _small(bottom)


def _small(contact: str | None) -> str:
    return f"L{SITS if contact == LINE else FREE}N{SITS if contact == NORMAL else FREE}"


def section(kind: str) -> list[str]:
    """The four contacts of a pair, one a row, with the jumper at the right: the top jack's two, then the bottom jack's."""
    joined = joined_contacts(kind)
    at = [contact == (joined.top if on_top else joined.bottom) for on_top, contact, _ in _ROWS]
    first, last = (at.index(True), 3 - at[::-1].index(True)) if any(at) else (9, -1)
    lines = []
    for row, ((_, _, spring), sits) in enumerate(zip(_ROWS, at, strict=True)):
        wire = {first: "──┐", last: "──┘"}.get(row, "  │" if first < row < last else "   ")
        lines.append(f"──{spring} {SITS if sits else FREE}{wire}")
    return lines


def two_sections(bay: Bay, now: str, then: str, top: str, bottom: str) -> list[str]:
    """A pair before and after a change, side by side, with its addresses and contacts; the sleeves below."""
    width = max(len(top), len(bottom)) + 1
    lines = []
    for (on_top, contact, _), before, after in zip(_ROWS, section(now), section(then), strict=True):
        address = (top if on_top else bottom) if contact == (LINE if on_top else NORMAL) else ""
        arrow = ">" if contact == NORMAL and on_top else " "
        lines.append(f"{address:<{width}}{contact:<7}{before} {arrow} {after}".rstrip())
    sleeve = _SLEEVE_ROW.get(bay.sleeve or "")
    return [*lines, *([f"{'':<{width}}sleeve {sleeve}"] if sleeve else [])]


def conductor_words(bay: Bay) -> str:
    """Which conductors the drawing stands for, and what becomes of the sleeve."""
    if bay.sleeve == "carried":
        return "Tip, ring and sleeve alike: the sleeve is a conductor of each normal."
    sleeve = _SLEEVE_WORDS.get(bay.sleeve or "", "the room file does not say what becomes of it")
    return f"Tip and ring alike. Sleeve: {sleeve}."
