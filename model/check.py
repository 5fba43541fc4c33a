"""What is wrong with the wiring before any cord: findings on the record itself, on the room at rest, and on its house patch.

Each check is a small function in a list, its rule in its docstring. Facts of the trade here are common practice, no source.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from typing import Any, NamedTuple

from model.bay.state import State
from model.live.change import Change
from model.room.file import FileError
from model.room.kinds import NORMAL_KINDS
from model.room.wiring import NO_PORT, Normal, Port, Room
from model.session import Session
from model.signal.warning import DANGER, NOTE, SEVERITIES, WARNING, counted, list_words


class Finding(NamedTuple):
    """Something that the record implies and a person should know. ``line`` is that of the room file."""

    line: int
    rule: str
    severity: str
    jacks: tuple[str, ...]
    text: str


def _port_at(room: Room, jack: int) -> Port | None:
    at = room.port_at[jack]
    return None if at == NO_PORT else room.ports[at]


def _addresses(room: Room, *jacks: int) -> tuple[str, ...]:
    return tuple(room.jacks[jack].address for jack in jacks)


def _ends(room: Room, normal: Normal) -> Iterator[tuple[Port, int, Port | None, int]]:
    """Each end of a normal that has a port behind it: the port, its jack, and what is at the other end."""
    for here, there in ((normal.top, normal.bottom), (normal.bottom, normal.top)):
        port = _port_at(room, here)
        if port is not None:
            yield port, here, _port_at(room, there), there


def _breakable_by_one(normal: Normal) -> bool:
    """Whether there is a plug that leaves the normal closed: every kind but the full one."""
    kind = NORMAL_KINDS[normal.kind]
    return not (kind.top_at_normal and kind.bottom_at_normal)


def half_normalled_mic(room: Room) -> Iterator[Finding]:
    """A microphone line that is not fully normalled: a plug can leave it joined, and put two inputs, or two sources, on it."""
    for normal in room.normals:
        for port, jack, other, there in _ends(room, normal):
            if port.kind.is_mic_line and _breakable_by_one(normal) and not (other is not None and other.kind.is_output):
                kind = NORMAL_KINDS[normal.kind].words
                yield Finding(
                    normal.line,
                    "half-normalled-mic",
                    WARNING,
                    _addresses(room, jack, there),
                    f"{port.name} is {kind}: a plug that leaves it closed puts a second load or source on the microphone. "
                    "Make it a full normal.",
                )


def half_normalled_digital(room: Room) -> Iterator[Finding]:
    """A digital or clock output that is not fully normalled: a plug in its jack feeds two receivers."""
    for normal in room.normals:
        for port, jack, other, there in _ends(room, normal):
            feeds = port.kind.is_output and not (other is not None and other.kind.is_output)
            if feeds and port.kind.digital and _breakable_by_one(normal):
                yield Finding(
                    normal.line,
                    "half-normalled-digital",
                    DANGER,
                    _addresses(room, jack, there),
                    f"{port.name} is {NORMAL_KINDS[normal.kind].words}: a plug that leaves it closed gives one digital "
                    "output two receivers. Make it a full normal.",
                )


def normal_between_alike(room: Room) -> Iterator[Finding]:
    """A normal that joins two outputs (they drive each other), or two inputs (nothing feeds them)."""
    for normal in room.normals:
        top, bottom = _port_at(room, normal.top), _port_at(room, normal.bottom)
        if top is None or bottom is None or top.kind.is_output != bottom.kind.is_output or top == bottom:
            continue
        outputs = top.kind.is_output
        yield Finding(
            normal.line,
            "normal-between-outputs" if outputs else "normal-between-inputs",
            DANGER if outputs else NOTE,
            _addresses(room, normal.top, normal.bottom),
            f"A normal joins two {'outputs' if outputs else 'inputs'}, {list_words([top.name, bottom.name])}.",
        )


def upside_down(room: Room) -> Iterator[Finding]:
    """A pair with an input on the top row and an output on the bottom row."""
    for bay in room.bays:
        if len(bay.rows) < 2:
            continue
        top_row, bottom_row = (room.rows[row] for row in bay.rows[:2])
        for point in range(bay.points):
            top, bottom = top_row.first + point, bottom_row.first + point
            above, below = _port_at(room, top), _port_at(room, bottom)
            if above is not None and below is not None and not above.kind.is_output and below.kind.is_output:
                yield Finding(
                    room.jacks[top].line,
                    "upside-down",
                    NOTE,
                    _addresses(room, top, bottom),
                    f"{above.name} is an input and stands above {below.name}, an output.",
                )


def own_loop(room: Room) -> Iterator[Finding]:
    """A normal that joins gear's output to an input of the same gear whose signal comes out there again.

    An insert's send and return are no loop: the room file's ``through`` says which inputs reach which outputs.
    """
    for normal in room.normals:
        for port, jack, other, there in _ends(room, normal):
            if other is None or not port.kind.is_output or other.kind.is_output or port.gear != other.gear:
                continue
            if port.index in room.carried(other.index):
                yield Finding(
                    normal.line,
                    "own-loop",
                    WARNING,
                    _addresses(room, jack, there),
                    f"A normal joins {port.name} to {other.name}, which lead through the same gear: a loop.",
                )


def wired_twice(room: Room) -> Iterator[Finding]:
    """One port at two jacks or more, which are joined always."""
    for port, jacks in zip(room.ports, room.jacks_of_port, strict=True):
        if len(jacks) > 1:
            addresses = _addresses(room, *jacks)
            yield Finding(
                room.jacks[jacks[1]].line,
                "wired-twice",
                NOTE,
                addresses,
                f"{port.name} is wired to {len(jacks)} jacks, {list_words(addresses)}: they are joined always.",
            )


def never_wired(room: Room) -> Iterator[Finding]:
    """Gear with a port that comes up at no jack."""
    for gear in room.gear:
        missing = [room.ports[port].name for port in gear.ports if not room.jacks_of_port[port]]
        if missing:
            come = "comes" if len(missing) == 1 else "come"
            yield Finding(gear.line, "never-wired", NOTE, (), f"{list_words(missing)} {come} up at no jack.")


def pointless_normal(room: Room) -> Iterator[Finding]:
    """A normal whose jack has nothing behind it: no port, no tie line, no mult."""
    for normal in room.normals:
        bare = [
            jack
            for jack in (normal.top, normal.bottom)
            if room.port_at[jack] == NO_PORT and jack not in room.ties_at and jack not in room.mult_at
        ]
        if bare:
            addresses = _addresses(room, *bare)
            have = "has" if len(bare) == 1 else "have"
            yield Finding(
                normal.line,
                "pointless-normal",
                NOTE,
                _addresses(room, normal.top, normal.bottom),
                f"A {NORMAL_KINDS[normal.kind].words} at {list_words(addresses)}, which {have} nothing behind.",
            )


class WiringCheck(NamedTuple):
    """A check of the wiring: what it can find, with how bad that is, and its function."""

    rules: tuple[tuple[str, str], ...]
    finds: Callable[[Room], Iterator[Finding]]


WIRING_CHECKS: tuple[WiringCheck, ...] = (
    WiringCheck((("half-normalled-mic", WARNING),), half_normalled_mic),
    WiringCheck((("half-normalled-digital", DANGER),), half_normalled_digital),
    WiringCheck((("normal-between-outputs", DANGER), ("normal-between-inputs", NOTE)), normal_between_alike),
    WiringCheck((("upside-down", NOTE),), upside_down),
    WiringCheck((("own-loop", WARNING),), own_loop),
    WiringCheck((("wired-twice", NOTE),), wired_twice),
    WiringCheck((("never-wired", NOTE),), never_wired),
    WiringCheck((("pointless-normal", NOTE),), pointless_normal),
)


def _line_to_blame(room: Room, state: State, jacks: Sequence[int]) -> int:
    """The line of the room file that joins some jacks: that of a house cord on their net, else of the first normal.

    What is about no jack is about the number of cords: the last of the house patch is the one too many.
    """
    if not jacks:
        return max((cord.line for cord in room.house_patch), default=1)
    net = {node >> 1 for node in state.nodes_joined_to(2 * jacks[0])}
    cords = [cord.line for cord in room.house_patch if net.issuperset(cord.jacks) and cord.jacks[0] in state.plugs]
    normals = [n.line for jack in jacks for n in room.normals_at.get(jack, ()) if net.issuperset((n.top, n.bottom))]
    return min(cords or normals, default=room.jacks[jacks[0]].line)


def _standing(room: Room, state: State, change: Change, when: str) -> Iterator[Finding]:
    """The warnings and the splits of a room in which no hand has touched a cord."""

    def jacks_of(ports: Sequence[str]) -> list[int]:
        return sorted({jack for name in ports for jack in room.jacks_of_port[room.port_named[name].index]})

    for warning in change.raised:
        jacks = jacks_of(warning.ports)
        where = warning.jacks or _addresses(room, *jacks)
        yield Finding(
            _line_to_blame(room, state, jacks), warning.rule, warning.severity, where, f"{warning.text} {warning.fix}"
        )
    for split in change.split:
        jacks = jacks_of((split.source, *split.loads))
        yield Finding(
            _line_to_blame(room, state, jacks),
            "split-at-rest",
            NOTE,
            _addresses(room, *jacks),
            f"{split.source} feeds {list_words(split.loads)} {when}.",
        )


def _at_rest(room: Room) -> Iterator[Finding]:
    """Every rule, and every split, on the room at rest and then on the room with its house patch."""
    session = Session(room)
    patch = session.patch
    yield from _standing(room, patch.state, patch.at_rest, "before any cord is plugged")
    for cord, typed in zip(room.house_patch, session.house_entries(), strict=True):
        outcome = session.enter(typed)
        if outcome.error is not None:
            yield Finding(
                cord.line, "house-patch-refused", WARNING, _addresses(room, *cord.jacks), f"{typed}: {outcome.error}."
            )
    known = {warning.identity for warning in patch.at_rest.raised}
    patch = session.patch
    new = Change(
        raised=tuple(warning for warning in patch.standing_warnings() if warning.identity not in known),
        split=tuple(split for split in patch.all_that_stands().split if split not in patch.at_rest.split),
    )
    yield from _standing(room, patch.state, new, "with the house patch")


def check_room(room: Room) -> list[Finding]:
    """All findings of a room: of its wiring, of the room at rest, and of its house patch; by their line."""
    findings = {finding for check in WIRING_CHECKS for finding in check.finds(room)}
    return sorted(findings.union(_at_rest(room)))


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
        "counts": {},
    }


def as_json(room: Room, findings: Sequence[Finding]) -> dict[str, Any]:
    """The object of `check --json`."""
    return {
        "room": room.name,
        "errors": [],
        "findings": [
            {"rule": f.rule, "severity": f.severity, "jacks": list(f.jacks), "text": f.text, "line": f.line}
            for f in findings
        ],
        "counts": counts(room, findings),
    }


def as_text(path: str, room: Room, findings: Sequence[Finding]) -> list[str]:
    """The findings to read, then what the file holds."""
    lines = [f"{path}:{f.line}: {f.severity}: {f.text} [{f.rule}]" for f in findings]
    of = counts(room, findings)
    lines.append(
        f"{room.name}: {counted(of['bays'], 'bay')}, {counted(of['jacks'], 'jack')}, {counted(of['ports'], 'port')} of "
        f"{counted(of['gear'], 'piece')} of gear, {counted(of['normals'], 'normal')}, {counted(of['ties'], 'tie line')}, "
        f"{counted(of['mults'], 'mult')}, {counted(of['cords'], 'cord')}."
    )
    if findings:
        lines.append(", ".join(counted(of[s], s) for s in SEVERITIES if of[s]) + " found.")
    else:
        lines.append("Nothing found: the record implies no fault. That is not to say that the room has none.")
    return lines
