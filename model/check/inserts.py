"""Inserts that nothing joins at rest."""

from __future__ import annotations

from collections.abc import Iterator

from model.check.finding import Finding, addresses, port_at
from model.check.numbering import Labels
from model.check.pairs import columns, house_jacks
from model.room.kinds import NO_NORMAL
from model.room.wiring import Port, Room
from model.signal.warning import NOTE


def _is_insert(room: Room, send: Port | None, back: Port | None) -> bool:
    """Whether two ports are the send and the return of one insert: what returns goes on, and not to the send again."""
    if send is None or back is None or send.gear != back.gear or not send.kind.is_output or back.kind.is_output:
        return False
    onward = room.carried(back.index)
    return bool(onward) and send.index not in onward and not send.kind.digital and not back.kind.digital


def open_at_rest(room: Room) -> Iterator[Finding]:
    """An insert whose send is joined to its return by no normal: the channel is silent until a cord is plugged.

    Some desks switch their inserts; `switched: yes` of the port says so. Where others of the run are normalled, it is
    out of step.
    """
    labels = Labels(room)
    house = house_jacks(room)
    for panel in columns(room, labels):
        pairs = [p for p in panel if p is not None and _is_insert(room, port_at(room, p.top), port_at(room, p.bottom))]
        pairs = [pair for pair in pairs if pair.top not in house and pair.bottom not in house]
        normalled = {(pair.above.stem, pair.below.stem) for pair in pairs if pair.kind != NO_NORMAL}
        for pair in pairs:
            ends = (pair.top, pair.bottom)
            joined = any(jack in room.normals_at for jack in ends)
            if joined or (pair.above.stem, pair.below.stem) in normalled:
                continue
            if any(port is not None and port.switched for port in (port_at(room, jack) for jack in ends)):
                continue
            yield Finding(
                pair.line,
                "open-at-rest",
                NOTE,
                addresses(room, *ends),
                f"No normal joins {pair.above.name} to {pair.below.name}: the channel is silent at rest, unless the gear "
                "switches its insert (then say 'switched: yes' of the port).",
            )
