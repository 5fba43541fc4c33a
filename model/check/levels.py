"""Levels that leave too little room above the nominal one."""

from __future__ import annotations

from collections.abc import Iterator

from model.check.finding import Finding, addresses
from model.room.advice import advice
from model.room.wiring import Room
from model.signal.rules.levels import LEVEL_MISMATCH_DB
from model.signal.warning import NOTE

LEAST_HEADROOM_DB = 12.0  # common practice, no source


def little_headroom(room: Room) -> Iterator[Finding]:
    """An input that a normal feeds and that clips less than 12 dB above its source's nominal level.

    Where the nominal levels themselves do not fit, `level-mismatch` says so.
    """
    for normal in room.normals:
        advised = advice(room, (normal.top, normal.bottom))
        source, load = advised.source, advised.load
        if source is None or load is None or source.level_dbu is None or load.max_dbu is None:
            continue
        if load.level_dbu is not None and abs(source.level_dbu - load.level_dbu) >= LEVEL_MISMATCH_DB:
            continue
        headroom_db = load.max_dbu - source.level_dbu
        if headroom_db < LEAST_HEADROOM_DB - 1e-9:
            yield Finding(
                normal.line,
                "little-headroom",
                NOTE,
                addresses(room, normal.top, normal.bottom),
                f"{load.name} clips {headroom_db:.1f} dB above the nominal level of {source.name}: "
                f"{LEAST_HEADROOM_DB:g} dB or more leave room for peaks.",
            )
