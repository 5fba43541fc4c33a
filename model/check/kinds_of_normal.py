"""Findings on the kind of a normal: what a plug that leaves it closed would do there."""

from __future__ import annotations

from collections.abc import Iterator

from model.check.finding import Finding, addresses, port_at
from model.room.advice import advice
from model.room.kinds import NORMAL_KINDS
from model.room.wiring import Normal, Port, Room
from model.signal.warning import NOTE, WARNING


def ends(room: Room, normal: Normal) -> Iterator[tuple[Port, int, Port | None, int]]:
    """Each end of a normal that has a port behind it: the port, its jack, and what is at the other end."""
    for here, there in ((normal.top, normal.bottom), (normal.bottom, normal.top)):
        port = port_at(room, here)
        if port is not None:
            yield port, here, port_at(room, there), there


def breakable_by_one(normal: Normal) -> bool:
    """Whether there is a plug that leaves the normal closed: every kind but the full one."""
    kind = NORMAL_KINDS[normal.kind]
    return not (kind.top_at_normal and kind.bottom_at_normal)


def _kind_words(port: Port, normal: Normal) -> str:
    return f"The normal of {port.name} is of the kind '{NORMAL_KINDS[normal.kind].words}'"


def half_normalled_mic(room: Room) -> Iterator[Finding]:
    """A microphone line that is not fully normalled: a plug can leave it joined, and put two inputs, or two sources, on it."""
    for normal in room.normals:
        for port, jack, other, there in ends(room, normal):
            if port.kind.is_mic_line and breakable_by_one(normal) and not (other is not None and other.kind.is_output):
                yield Finding(
                    normal.line,
                    "half-normalled-mic",
                    WARNING,
                    addresses(room, jack, there),
                    f"{_kind_words(port, normal)}: a plug that leaves it closed puts a second load or source on the "
                    "microphone. Make it a full normal.",
                )


def half_normalled_digital(room: Room) -> Iterator[Finding]:
    """A digital or clock output that is not fully normalled: a plug in its jack feeds two receivers."""
    for normal in room.normals:
        for port, jack, other, there in ends(room, normal):
            feeds = port.kind.is_output and not (other is not None and other.kind.is_output)
            if feeds and port.kind.digital and breakable_by_one(normal):
                yield Finding(
                    normal.line,
                    "half-normalled-digital",
                    WARNING,
                    addresses(room, jack, there),
                    f"{_kind_words(port, normal)}: a plug that leaves it closed gives one digital "
                    "output two receivers. Make it a full normal.",
                )


def _is_amplifier_output(port: Port | None) -> bool:
    return port is not None and port.kind.is_output and port.kind.family == "speaker"


def amplifier_on_bay(room: Room) -> Iterator[Finding]:
    """An amplifier's output on a jack at all; a warning where its normal stays closed while a plug enters.

    100 W into 8 ohm is 3.5 A (I = sqrt(P / R)); a plug shorts its contacts on the way in (common practice, no source).
    """
    half = {jack: normal for normal in room.normals if breakable_by_one(normal) for jack in (normal.top, normal.bottom)}
    for jack in room.jacks:
        port = port_at(room, jack.index)
        if port is None or not _is_amplifier_output(port):
            continue
        normal = half.get(jack.index)
        if normal is not None:
            other = normal.bottom if normal.top == jack.index else normal.top
            yield Finding(
                normal.line,
                "half-normalled-amplifier",
                WARNING,
                addresses(room, jack.index, other),
                f"{_kind_words(port, normal)}: a plug adds a second loudspeaker or another output to "
                "the amplifier, and shorts it on the way in. An amplifier's output does not belong on a signal bay.",
            )
        else:
            yield Finding(
                jack.line,
                "amplifier-on-bay",
                NOTE,
                (jack.address,),
                f"{port.name} comes up on a jack: a plug shorts it on the way in, and 100 W into 8 ohm is 3.5 A. "
                "An amplifier's output does not belong on a signal bay.",
            )


def departs_from_advice(room: Room) -> Iterator[Finding]:
    """A normal that stays closed under a plug where a full one is advised, or is broken by the plug at the wrong end.

    Microphones, digital lines and amplifiers have findings of their own.
    """
    for normal in room.normals:
        if not breakable_by_one(normal):
            continue
        advised = advice(room, (normal.top, normal.bottom))
        source = advised.source
        told = source is None or source.kind.digital or source.kind.family in ("mic", "speaker")
        if advised.kind == "half top" and not normal.cross:
            continue  # the pair is upside down, and says so
        if told or advised.kind not in NORMAL_KINDS or not advised.departs(normal.kind):
            continue
        where = addresses(room, normal.top, normal.bottom)
        load = advised.load.name if advised.load is not None else where[1]
        now, then = NORMAL_KINDS[normal.kind].words, NORMAL_KINDS[advised.kind].words
        yield Finding(
            normal.line,
            "departs-from-advice",
            NOTE,
            where,
            f"{source.name if source else ''} to {load} is a normal of the kind '{now}'; advised is '{then}'. {advised.why}",
        )
