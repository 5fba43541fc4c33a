"""Findings on what stands at the two ends of a normal."""

from __future__ import annotations

from collections.abc import Iterator

from model.check.finding import Finding, addresses, port_at
from model.check.kinds_of_normal import ends
from model.check.numbering import Labels
from model.room.kinds import NORMAL_KINDS
from model.room.wiring import NO_PORT, Normal, Room
from model.signal.warning import DANGER, NOTE, WARNING
from model.text.listing import list_words


def normal_between_alike(room: Room) -> Iterator[Finding]:
    """A normal that joins two outputs (they drive each other), or two inputs (nothing feeds them)."""
    for normal in room.normals:
        top, bottom = port_at(room, normal.top), port_at(room, normal.bottom)
        if top is None or bottom is None or top.kind.is_output != bottom.kind.is_output or top == bottom:
            continue
        outputs = top.kind.is_output
        yield Finding(
            normal.line,
            "normal-between-outputs" if outputs else "normal-between-inputs",
            DANGER if outputs else NOTE,
            addresses(room, normal.top, normal.bottom),
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
            above, below = port_at(room, top), port_at(room, bottom)
            if above is not None and below is not None and not above.kind.is_output and below.kind.is_output:
                yield Finding(
                    room.jacks[top].line,
                    "upside-down",
                    NOTE,
                    addresses(room, top, bottom),
                    f"{above.name} is an input and stands above {below.name}, an output.",
                )


def own_loop(room: Room) -> Iterator[Finding]:
    """A normal that joins gear's output to an input of the same gear whose signal comes out there again.

    An insert's send and return are no loop: the room file's ``through`` says which inputs reach which outputs.
    """
    for normal in room.normals:
        for port, jack, other, there in ends(room, normal):
            if other is None or not port.kind.is_output or other.kind.is_output or port.gear != other.gear:
                continue
            if port.index in room.carried(other.index):
                yield Finding(
                    normal.line,
                    "own-loop",
                    WARNING,
                    addresses(room, jack, there),
                    f"A normal joins {port.name} to {other.name}, which lead through the same gear: a loop.",
                )


def _is_bare(room: Room, jack: int) -> bool:
    return room.port_at[jack] == NO_PORT and jack not in room.ties_at and jack not in room.mult_at


def pointless_normal(room: Room) -> Iterator[Finding]:
    """A normal whose jack has nothing behind it: no port, no tie line, no mult.

    Beside a pair of the same run that is whole, it is told what is missing: nothing feeds the input, or the output goes
    nowhere.
    """
    labels = Labels(room)
    whole = {jack for n in room.normals if not (_is_bare(room, n.top) or _is_bare(room, n.bottom)) for jack in n[:2]}
    for normal in room.normals:
        bare = [jack for jack in (normal.top, normal.bottom) if _is_bare(room, jack)]
        if not bare:
            continue
        where = addresses(room, normal.top, normal.bottom)
        one_short = _one_short(room, labels, normal, bare, whole)
        if one_short is not None:
            yield Finding(normal.line, one_short[0], NOTE, where, one_short[1])
            continue
        have = "has" if len(bare) == 1 else "have"
        said = (
            f"A {NORMAL_KINDS[normal.kind].words} at {list_words(addresses(room, *bare))}, which {have} nothing behind."
        )
        yield Finding(normal.line, "pointless-normal", NOTE, where, said)


def _one_short(room: Room, labels: Labels, normal: Normal, bare: list[int], whole: set[int]) -> tuple[str, str] | None:
    """What a bare jack means in a run of whole pairs: the finding's name and its words."""
    if len(bare) != 1:
        return None
    used = normal.bottom if bare[0] == normal.top else normal.top
    port, label = port_at(room, used), labels.at(used)
    if port is None or label is None:
        return None
    row = room.jacks[used].row
    for beside in (used - 1, used + 1):
        if beside in whole and room.jacks[beside].row == row:
            other = labels.at(beside)
            if other is not None and other.stem == label.stem:
                missing = room.jacks[bare[0]].address
                if port.kind.is_output:
                    return (
                        "goes-nowhere",
                        f"{port.name} goes nowhere at rest: {missing} has nothing behind, unlike the run.",
                    )
                return (
                    "nothing-feeds",
                    f"Nothing feeds {port.name} at rest: {missing} has nothing behind, unlike the run.",
                )
    return None
