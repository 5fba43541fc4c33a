"""What `check` prints: the findings as JSON and as text."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from model.check.accepted import Acceptance
from model.check.finding import Finding, spans
from model.room.file import FileError
from model.room.wiring import Room
from model.signal.warning import SEVERITIES
from model.text.listing import counted


def counts(room: Room, findings: Sequence[Finding]) -> dict[str, int]:
    """How much there is of everything, and how many findings of each severity."""
    return {
        "bays": len(room.bays),
        "jacks": len(room.jacks),
        "gear": len(room.gear),
        "ports": len(room.ports),
        "normals": len(room.normals),
        "ties": len(room.ties),
        "mults": len(room.mults),
        "cords": sum((room.cords or {}).values()),
        "house_cords": len(room.house_patch),
        **{severity: sum(f.severity == severity for f in findings) for severity in SEVERITIES},
    }


def errors_json(errors: Sequence[FileError]) -> dict[str, Any]:
    """The object for a file that cannot be used."""
    return {
        "room": None,
        "errors": [{"line": e.line, "column": e.column, "text": e.text} for e in errors],
        "findings": [],
        "accepted": [],
        "counts": {},
    }


def _finding_json(f: Finding) -> dict[str, Any]:
    return {"rule": f.rule, "severity": f.severity, "jacks": list(f.jacks), "text": f.text, "line": f.line}


def as_json(room: Room, findings: Sequence[Finding], accepted: Sequence[Acceptance] = ()) -> dict[str, Any]:
    """The object of `check --json`."""
    return {
        "room": room.name,
        "errors": [],
        "findings": [_finding_json(f) for f in findings],
        "accepted": [{**_finding_json(one.finding), "because": one.because} for one in accepted],
        "counts": counts(room, findings),
    }


def _line(path: str, f: Finding) -> str:
    where = f"{spans(f.jacks)}: " if f.jacks else ""
    return f"{path}:{f.line}: {f.severity}: {where}{f.text} [{f.rule}]"


def as_text(path: str, room: Room, findings: Sequence[Finding], accepted: Sequence[Acceptance] = ()) -> list[str]:
    """The findings to read, then what the room file accepts, then what it holds."""
    lines = [_line(path, f) for f in findings]
    if accepted:
        lines.append("Accepted:")
        lines += [f"{_line(path, one.finding)} because {one.because}" for one in accepted]
    of = counts(room, findings)
    lines.append(
        f"{room.name}: {counted(of['bays'], 'bay')}, {counted(of['jacks'], 'jack')}, {counted(of['ports'], 'port')} of "
        f"{counted(of['gear'], 'piece')} of gear, {counted(of['normals'], 'normal')}, {counted(of['ties'], 'tie line')}, "
        f"{counted(of['mults'], 'mult')}, {counted(of['cords'], 'cord')}."
    )
    if findings:
        lines.append(", ".join(counted(of[s], s) for s in SEVERITIES if of[s]) + " found.")
    elif accepted:
        lines.append("Nothing found beside what the room file accepts.")
    else:
        lines.append("Nothing found: the record implies no fault. That is not to say that the room has none.")
    return lines
