"""A finding, and how findings of one cause along a run of jacks become one."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Sequence
from typing import NamedTuple

from model.room.wiring import NO_PORT, Port, Room
from model.text.addresses import split_address
from model.text.listing import list_words


class Finding(NamedTuple):
    """Something that the record implies and a person should know. ``line`` is that of the room file.

    ``about`` names what it is about where that is no jack, so that the room file can accept it: gear, or a bay.
    """

    line: int
    rule: str
    severity: str
    jacks: tuple[str, ...]
    text: str
    about: str = ""


class WiringCheck(NamedTuple):
    """A check of the wiring: what it can find, with how bad that is, and its function."""

    rules: tuple[tuple[str, str], ...]
    finds: Callable[[Room], Iterator[Finding]]


def port_at(room: Room, jack: int) -> Port | None:
    """The port behind a jack."""
    at = room.port_at[jack]
    return None if at == NO_PORT else room.ports[at]


def addresses(room: Room, *jacks: int) -> tuple[str, ...]:
    """The addresses of some jacks."""
    return tuple(room.jacks[jack].address for jack in jacks)


def _place(address: str) -> tuple[str, int]:
    return split_address(address) or (address, 0)


def spans(jacks: Iterable[str]) -> str:
    """Addresses as a person writes them, runs as ranges.

    >>> spans(["A1", "A2", "A3", "B7"])
    'A1-3 and B7'
    """
    runs: list[tuple[str, int, int]] = []
    for address in jacks:
        row, point = _place(address)
        if runs and runs[-1][0] == row and runs[-1][2] + 1 == point:
            runs[-1] = (row, runs[-1][1], point)
        else:
            runs.append((row, point, point))
    return list_words([f"{row}{first}" if first == last else f"{row}{first}-{last}" for row, first, last in runs])


_FIGURE = re.compile(r"\d+(\.\d+)?( [kM]?\w+)?")


def in_runs(room: Room, findings: Iterable[Finding]) -> list[Finding]:
    """The findings, those of one cause at jacks side by side as one.

    The cause is one where rule, severity and text agree but for names and figures. The text is that of the first.
    """
    names = {jack.address: (jack.address, *_names_at(room, jack.index)) for jack in room.jacks}

    def cause(finding: Finding) -> str:
        said = finding.text
        for name in sorted({n for jack in finding.jacks for n in names.get(jack, ())}, key=len, reverse=True):
            said = said.replace(name, "#")
        return _FIGURE.sub("#", said)

    runs: dict[tuple[object, ...], list[list[tuple[tuple[int, ...], Finding]]]] = {}
    alone = []
    for finding in findings:
        places = [split_address(jack) for jack in finding.jacks]
        if not places or None in places:
            alone.append(finding)
            continue
        rows = tuple(place[0] for place in places if place)
        points = tuple(place[1] for place in places if place)
        key = finding.rule, finding.severity, rows, cause(finding)
        runs.setdefault(key, []).append([(points, finding)])
    for found in runs.values():
        members = sorted(member for (member,) in found)
        run: list[tuple[tuple[int, ...], Finding]] = []
        for member in members:
            if run and not _goes_on(run[-1][0], member[0]):
                alone.append(_one([finding for _, finding in run]))
                run = []
            run.append(member)
        alone.append(_one([finding for _, finding in run]))
    return sorted(alone)


def _goes_on(points: tuple[int, ...], following: tuple[int, ...]) -> bool:
    """Whether jacks stand beside others: the first one to the right, the rest either way, as crossed normals go."""
    first, *rest = (after - before for before, after in zip(points, following, strict=True))
    return first == 1 and all(abs(step) == 1 for step in rest)


def _names_at(room: Room, jack: int) -> Iterator[str]:
    port = port_at(room, jack)
    if port is not None:
        yield port.name
    yield from (tie.name for tie in room.ties_at.get(jack, ()))


def _one(run: Sequence[Finding]) -> Finding:
    first = run[0]
    if len(run) == 1:
        return first
    slots = list(zip(*(finding.jacks for finding in run), strict=True))
    rest = spans(jack for slot in slots for jack in sorted(slot[1:], key=_place))
    jacks = tuple(dict.fromkeys(jack for slot in slots for jack in sorted(slot, key=_place)))
    return first._replace(line=min(f.line for f in run), jacks=jacks, text=f"{first.text} So also at {rest}.")
