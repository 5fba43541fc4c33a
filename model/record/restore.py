"""A session restored from its record: the last checkpoint, and what the entries after it set."""

from __future__ import annotations

import json
from contextlib import suppress
from typing import Any, NamedTuple

from model.entry.session_state import SessionState
from model.live.look import Standing
from model.live.told import told
from model.record.logbook import Logbook
from model.record.recorded import DAMAGED, ENTRY, Recorded, RecordedRoom
from model.record.room_file import same_wiring
from model.record.tables import BAY_TABLES, PlainSession, plain_session, restored, sets_between, with_parts
from model.record.whole import End, end_of
from model.room.wiring import Room
from model.session import Outcome


class Restored(NamedTuple):
    """A session, and how far its record was read."""

    session: SessionState
    read: Read
    words: list[str]  # what no longer holds, and why
    changed: bool = False  # the room is wired otherwise than the record's


class Read(NamedTuple):
    """The session that a record describes, and what of the record could not be read."""

    plain: PlainSession
    last: int  # the number of the record's last entry
    sum: str  # and its sum
    checkpoint: int  # and of the one after which the session was set down
    damage: list[str]  # what cannot be trusted of the entries after that
    end: End  # what is missing at the record's end


def read_plain(book: Logbook) -> Read:
    """The session that a record describes: the last checkpoint that can be read, and what the entries after it set."""
    beside = book.beside()  # before the entries: then it is never ahead of what is read
    plain, upto, count, sums = PlainSession(), 0, 0, []
    for checkpoint in book.checkpoints():
        with suppress(KeyError, TypeError, ValueError):  # of this one; there is an older one, or the entries
            plain = PlainSession.from_json(checkpoint.session)
            upto, count, sums = checkpoint.upto, checkpoint.entries, [checkpoint.sum]
            break
    chain = book.chain(upto, *sums)
    damage: list[str] = []
    for recorded in book.entries(upto, chain):
        if recorded.kind == DAMAGED:
            damage.append(recorded.entry)
        elif recorded.kind == ENTRY:
            try:
                plain.set(recorded.entry, recorded.step, json.loads(recorded.sets), recorded.seat)
            except (KeyError, TypeError, ValueError, IndexError):
                damage.append(
                    f"entry {recorded.id}, {recorded.entry}: what it set makes no sense after those before it"
                )
    return Read(plain, chain.last, chain.sum, upto, damage, end_of(book, chain, count, beside))


def restore(book: Logbook, recorded: RecordedRoom | None, room: Room, text: str, at_rest: Standing | None) -> Restored:
    """The session that a record describes, as far as that holds in a room whose file may have changed since."""
    read = read_plain(book)
    session, lost = restored(read.plain, room, at_rest)
    words: list[str] = []
    changed = False
    if recorded is not None and recorded.text != text:
        from model.room.file import RoomFileErrors, parse_room  # a room file that is as it was is not read again

        try:
            changed = not same_wiring(parse_room(recorded.text, recorded.path), room)
        except RoomFileErrors:
            changed = True
            words.append("the room file as it was cannot be read by this version of bayhand")
    return Restored(session, read, [*words, *lost], changed)


def recorded_outcome(at: int, seat: str, outcome: Outcome) -> Recorded:
    """The entry of what was done."""
    room = outcome.before.patch.room
    sets = sets_between(outcome.before, outcome.after, outcome.difference)
    things = [each.as_json() for each in (*told(outcome.change, room), *outcome.answer.said)]
    if outcome.change.cords:
        things.insert(0, {"kind": "cord", "words": ", ".join(f"#{number}" for number in outcome.change.cords)})
    return Recorded(
        0, at, seat, ENTRY, outcome.typed.strip(), outcome.canonical, outcome.step, _json(sets), _json(things)
    )


def _json(value: Any) -> str:
    return json.dumps(value, ensure_ascii=False, separators=(",", ":"))


__all__ = [
    "BAY_TABLES",
    "PlainSession",
    "Read",
    "Restored",
    "plain_session",
    "recorded_outcome",
    "restore",
    "with_parts",
]
