"""A damaged logbook is set aside, and what can be read of it goes into a new one, with the numbers and sums it had."""

from __future__ import annotations

from contextlib import closing, suppress
from pathlib import Path
from typing import Any, NamedTuple

from model.record.faults import Damaged
from model.record.logbook import Logbook
from model.record.place import free_name, set_aside
from model.record.recorded import REMARK, UNKNOWN, Recorded, RecordedRoom, now_ms
from model.text.listing import counted

LOOK = "The bay is unknown: begin by looking. 'reset' lists what leads to the house patch"


class Known(NamedTuple):
    """The session of a seat that is open while its logbook is found damaged."""

    session: Any  # as a checkpoint holds it
    last: int  # the number of the last entry it has done
    room: RecordedRoom


def begun_anew(place: Path, why: str, seat: str, known: Known | None) -> str:
    """Set the logbook at a place aside, and begin a new one with what can be read of it; the answer says so.

    The new one is whole before the old one is moved. ``known``: the session as it goes on, where a seat has it. Raises OSError
    and CannotKeep where that cannot be done; call it within :func:`~model.record.place.alone_at`.
    """
    new = Path(f"{place}.new")
    for side in ("", "-wal", "-shm"):
        Path(f"{new}{side}").unlink(missing_ok=True)
    with closing(Logbook.open(new)) as book:
        book.begin()
        found = Taken()
        with suppress(Damaged), closing(Logbook.open_copy(place)) as old:  # else there is nothing that can be read
            found = _taken_over(book, old)
        book.mend_head()
        if known is not None:
            book.set_room(known.room)
        some = f"{counted(found.entries, 'entry')} of it could be read"
        entries = some if found.entries else "none of its entries could be read"
        bay = LOOK if known is None and not found.whole else "The bay is as it was"
        aside = free_name(place, "damaged")
        words = f"{why}. It is set aside as {aside.name}, and a new one is begun: {entries}. {bay}"
        kind = UNKNOWN if bay is LOOK else REMARK
        past = max(found.last, 0 if known is None else known.last)
        (remark,) = book.append([Recorded(0, now_ms(), seat, kind, "", words)], past)
        if known is not None:
            book.set_checkpoint(remark.id, known.session)
        book.commit()
        book.fold()
    set_aside(place, aside)
    new.rename(place)
    return words


class Taken(NamedTuple):
    """What could be taken over from a damaged logbook."""

    entries: int = 0
    last: int = 0  # the number up to which numbers were given in it
    whole: bool = False  # whether these are all of its entries


def _is_number(value: Any) -> bool:
    return type(value) is int and 0 <= value < 1 << 40  # beyond that, damage has made it


def _taken_over(book: Logbook, old: Logbook) -> Taken:
    entries = sum(_is_number(row[0]) and book.take_over("record", row) for row in old.rows())
    last = book.last_id()
    head = None
    with suppress(Damaged):
        head = old.head()
    for table in ("checkpoints", "rooms"):
        with suppress(Damaged):  # what came before the damage is kept
            for row in old.all_of(table):
                if _is_number(row[0]) and book.take_over(table, row):
                    last = max(last, row[0])
    whole = entries > 0 and head == (entries, book.sums_at(book.last_id())[0])
    return Taken(entries, max(last, old.said_last()), whole)
