"""What a reset comes to: undone, stays and why, cords counted back, warnings that remain, by whom and when."""

from __future__ import annotations

from collections import Counter
from typing import NamedTuple

from model.bay.state import State
from model.entry.draft import Draft
from model.live.patch import Patch
from model.patches.compare import Stay, differences
from model.patches.patch_words import difference_words
from model.patches.placed import place, present
from model.patches.work import Standing
from model.patches.worklist import LeftAlone
from model.room.wiring import Room
from model.signal.warning import Alert
from model.text.caution import CAUTION


class CordCount(NamedTuple):
    """The cords of one length. None for what is not known: the length, or how many the room owns."""

    length_cm: float | None
    owned: int | None
    out: int  # in the bay


class ResetReport(NamedTuple):
    """A reset at its end."""

    room: str
    when: str
    by: str  # empty where there is one seat only
    undone: tuple[str, ...]
    not_done: tuple[LeftAlone, ...]
    cords: tuple[CordCount, ...]
    remaining: tuple[Alert, ...]  # warnings that stand and that the room at rest, without cords, does not have
    at_rest: int  # warnings that the room at rest has by itself


def reset_report(draft: Draft, found: Standing, when: str) -> ResetReport:
    """The report of a reset as it stands now. ``when`` is the time as it is to be read."""
    state = draft.patch.state
    began = place(found.work.began.patch, draft.room).placed
    changed = [d for d in differences(began, present(state)) if not isinstance(d, Stay)]
    pending = [LeftAlone(f"not done: {step.words}", "the list was put away before it") for step in found.todo.steps]
    remaining, at_rest = beyond_rest(draft.patch)
    return ResetReport(
        draft.room.name,
        when,
        draft.seat,
        tuple(difference_words(difference, draft.room) for difference in changed),
        (*found.left, *pending),
        tuple(cords_counted(state)),
        tuple(remaining),
        at_rest,
    )


def beyond_rest(patch: Patch) -> tuple[list[Alert], int]:
    """Of the standing warnings, those that the room at rest does not have, worst first; and how many it has of itself."""
    rest = {alert.identity for alert in patch.at_rest.raised}
    standing = patch.standing_warnings()
    return [alert for alert in standing if alert.identity not in rest], sum(a.identity in rest for a in standing)


def cords_counted(state: State) -> list[CordCount]:
    """For each length that the room owns or that is in the bay, how many are owned and how many are out."""
    owned = state.room.cords
    out: Counter[float | None] = Counter(cord.length_cm for cord in state.cords.values())
    lengths: list[float | None] = sorted({*(owned or ()), *(length for length in out if length is not None)})
    if None in out:
        lengths.append(None)
    counts = []
    for length in lengths:
        stock = None if owned is None or length is None else _owned(state.room, length)
        counts.append(CordCount(length, stock, out[length]))
    return counts


def _owned(room: Room, length_cm: float) -> int:
    return next((count for length, count in (room.cords or {}).items() if length == length_cm), 0)


def count_words(count: CordCount) -> str:
    """A count to read.

    >>> count_words(CordCount(60.0, 20, 2))
    '60 cm: 2 in the bay, so 18 of 20 belong on the cord rack'
    """
    length = "length not known" if count.length_cm is None else f"{count.length_cm:g} cm"
    if count.owned is None:
        missing = "" if count.length_cm else ", and missing from the counts of their lengths"
        return f"{length}: {count.out} in the bay{missing}"
    back = count.owned - count.out
    if back < 0:
        return f"{length}: {count.out} in the bay, {-back} more than the {count.owned} that the room owns"
    return f"{length}: {count.out} in the bay, so {back} of {count.owned} belong on the cord rack"


def report_lines(report: ResetReport) -> list[str]:
    """The report to read."""
    by = f", by {report.by}" if report.by else ""
    return [
        f"Reset of {report.room}, {report.when}{by}",
        f"put back: {len(report.undone) or 'nothing'}",
        *(f"  {words}" for words in report.undone),
        f"stays: {len(report.not_done) or 'nothing'}",
        *(f"  {left.what} ({left.why})" for left in report.not_done),
        "cords to count back:" if report.cords else "no cord is in the bay, and the room file states no stock",
        *(f"  {count_words(count)}" for count in report.cords),
        f"warnings that remain: {len(report.remaining) or 'none'}",
        *(f"  {warn.severity}: {warn.text}" for warn in report.remaining),
        *([f"and {report.at_rest} that the room has at rest, without any cord"] if report.at_rest else []),
        CAUTION,
    ]
