"""A plan in words."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from model.bench.plan import Plan
from model.bench.runs import changes_words
from model.rehearse import as_text as played_text
from model.text.listing import counted

MOST = 12  # of one sort; of more, how many more there are


def plan_words(plan: Plan, told: dict[str, Any]) -> list[str]:
    """A plan by lines; ``told`` is what :func:`model.bench.plan.as_json` says of it."""
    lines = [f"{plan.room.name}: {counted(len(plan.changes), 'normal')} changed on paper"]
    lines += _group("", changes_words(plan.planned, plan.changes))
    lines += _group("makes at rest", (" > ".join(pair) for pair in told["made"]))
    lines += _group("breaks at rest", (" > ".join(pair) for pair in told["broken"]))
    for head, alerts in (
        ("warns at rest", told["raised"]),
        ("no longer warns", told["cleared"]),
        ("new finding", told["findings"]["new"]),
        ("finding gone", told["findings"]["gone"]),
    ):
        lines += _group(head, (f"[{alert['severity']}] {alert['text']}" for alert in alerts))
    lines += _group("no longer holds", (f"patch '{name}'" for name in told["patches_lost"]))
    jumpers = told["jumpers"]
    if jumpers["out"] or jumpers["in"]:
        lines += _group(
            "jumpers",
            [f"{jumpers['out']} out, {jumpers['in']} in, {jumpers['left']} left over, {jumpers['bring']} to bring"],
        )
    lines += _group(
        "marks", (f"{mark}: {abs(n)} {'needed' if n > 0 else 'left over'}" for mark, n in plan.marks.items())
    )
    entries = {played.number: played_text(played) for played in plan.played}
    for number, typed, why in plan.refused:
        entries[number] = [f"{number:>4}  {typed}", f"      refused: {why}"]
    return lines + [line for number in sorted(entries) for line in entries[number]]


def _group(head: str, members: Iterable[str]) -> list[str]:
    found = list(members)
    lines = [f"  {head + ': ' if head else ''}{member}" for member in found[:MOST]]
    return lines + ([f"  {head + ': ' if head else ''}{len(found) - MOST} more"] if len(found) > MOST else [])
