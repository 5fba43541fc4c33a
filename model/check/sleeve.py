"""Microphone bays whose normals do not carry the sleeve."""

from __future__ import annotations

from collections.abc import Iterator

from model.check.finding import Finding, addresses, port_at
from model.room.wiring import Room
from model.signal.warning import WARNING

ISOLATED = "isolated"


def sleeve_open(room: Room) -> Iterator[Finding]:
    """A microphone line normalled on a bay whose sleeves are isolated: phantom has no way back, and the screen ends there.

    Phantom returns by the screen (IEC 61938).
    """
    for normal in room.normals:
        ports = [port for jack in (normal.top, normal.bottom) if (port := port_at(room, jack)) is not None]
        microphones = [port.name for port in ports if port.kind.is_mic_line or port.kind.is_mic_in]
        bays = [room.bays[room.rows[room.jacks[jack].row].bay] for jack in (normal.top, normal.bottom)]
        if microphones and any(bay.sleeve == ISOLATED for bay in bays):
            yield Finding(
                normal.line,
                "sleeve-open",
                WARNING,
                addresses(room, normal.top, normal.bottom),
                f"The normal of {microphones[0]} does not carry the sleeve, phantom's return: the microphone is dead or hums. "
                "On a microphone bay the sleeve is 'carried' or 'bussed'.",
            )
