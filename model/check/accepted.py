"""Findings that the room file accepts: set apart, and told where they no longer occur."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from model.check.finding import Finding, in_runs, spans
from model.room.wiring import Accepted, Room
from model.signal.warning import WARNING
from model.text.normalized import normalized


class Acceptance(NamedTuple):
    """A finding that the room file accepts, and its reason."""

    finding: Finding
    because: str


def set_apart(room: Room, findings: Sequence[Finding]) -> tuple[list[Finding], list[Acceptance], list[Finding]]:
    """The findings that stay, those that are accepted, and one finding for each entry that no longer occurs.

    An entry accepts a finding of its name that touches one of its jacks, or is about what it names.
    """
    by_entry: dict[int, list[Finding]] = {at: [] for at in range(len(room.accepted))}
    left = []
    for finding in findings:
        entry = next((at for at, one in enumerate(room.accepted) if _fits(one, finding)), None)
        if entry is None:
            left.append(finding)
        else:
            by_entry[entry].append(finding)
    accepted = [
        Acceptance(finding, room.accepted[at].because)
        for at, found in by_entry.items()
        for finding in in_runs(room, found)
    ]
    stale = [one for at, found in by_entry.items() if (one := _stale(room, room.accepted[at], found)) is not None]
    return left, accepted, stale


def _fits(entry: Accepted, finding: Finding) -> bool:
    if entry.finding != finding.rule:
        return False
    if finding.jacks and entry.jacks:
        return not set(entry.jacks).isdisjoint(finding.jacks)
    return not entry.jacks and normalized(entry.at) == normalized(finding.about)


def _stale(room: Room, entry: Accepted, found: Sequence[Finding]) -> Finding | None:
    """What an entry accepts and is not found any more: all of it, or some of its jacks."""
    touched = {jack for finding in found for jack in finding.jacks}
    gone = tuple(jack for jack in entry.jacks if jack not in touched)
    if found and not gone:
        return None
    where = spans(gone) if gone else entry.at
    said = f"'{entry.finding}' is accepted at {where} and does not occur there: take it out of 'accepted'."
    return Finding(entry.line, "stale-acceptance", WARNING, gone, said, entry.at)
