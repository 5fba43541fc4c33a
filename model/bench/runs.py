"""Jacks and pairs side by side, told in runs: 'C1-16 over D1-16'."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from model.bench.pairs import Changed
from model.room.wiring import Room


def runs_words(room: Room, jacks: Iterable[int]) -> str:
    """Jacks as runs: 'C1-16, C20'."""
    return ", ".join(run_words(room, run) for run in _runs(room, jacks))


def run_words(room: Room, run: Sequence[int]) -> str:
    """Jacks side by side: 'C1-16'."""
    last = f"-{room.jacks[run[-1]].point}" if len(run) > 1 else ""
    return f"{room.jacks[run[0]].address}{last}"


def _runs(room: Room, jacks: Iterable[int]) -> list[list[int]]:
    runs: list[list[int]] = []
    for jack in jacks:
        if runs and runs[-1][-1] + 1 == jack and room.jacks[runs[-1][-1]].row == room.jacks[jack].row:
            runs[-1].append(jack)
        else:
            runs.append([jack])
    return runs


def changes_words(room: Room, changes: Sequence[Changed]) -> list[str]:
    """Changes side by side and alike, one a line: 'C1-16 over D1-16: half > full'."""
    runs: list[list[Changed]] = []
    for change in changes:
        if runs and _continues(room, runs[-1][-1], change):
            runs[-1].append(change)
        else:
            runs.append([change])
    lines = []
    for run in runs:
        tops, bottoms = (run_words(room, [c.top for c in run]), run_words(room, [c.bottom for c in run]))
        joined = "to" if run[0].column is None else "over"
        lines.append(f"{tops} {joined} {bottoms}: {run[0].now} > {run[0].then}")
    return lines


def _continues(room: Room, before: Changed, change: Changed) -> bool:
    same_rows = all(room.jacks[a].row == room.jacks[b].row for a, b in zip(before[:2], change[:2], strict=True))
    beside = (before.top + 1, before.bottom + 1) == (change.top, change.bottom)
    return same_rows and beside and before[2:4] == change[2:4] and (before.column is None) == (change.column is None)
