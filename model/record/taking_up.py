"""A session taken up from its record: the last checkpoint, and the lines after it."""

from __future__ import annotations

import json
from contextlib import suppress
from typing import NamedTuple

from model.bay.actions import Action
from model.bay.refusals import Refusal
from model.commands.command import Line
from model.commands.reading import read_line
from model.entry.requests import Answer
from model.language.names import Names
from model.live.words import told
from model.record.checkpoint import empty, session_from_plain
from model.record.kept_room import carry_over, same_wiring
from model.record.logbook import LINE, Entry, KeptRoom, Logbook
from model.record.plain_state import action_as_plain, action_from_plain
from model.room.wiring import Room
from model.session import Session


class Taken(NamedTuple):
    """What came of it."""

    last: int  # the number of the record's last entry
    checkpoint: int  # and of the one after which it was set down
    words: list[str]  # what no longer holds, and why
    changed: bool = False  # the room is wired otherwise than the record's


def take_up(session: Session, book: Logbook) -> Taken:
    """Make a session what the record says, its room being the record's own."""
    upto, words = _last_checkpoint(session, book)
    checkpoint = upto
    with session.patch.quietly():
        for entry in book.entries(upto):
            upto = entry.id
            if entry.kind == LINE:
                try:
                    session.do_again(line_of(entry, session.names), entry.seat)
                except Refusal as refusal:
                    words.append(f"line {entry.id}, {entry.line}: {refusal.reason}")
    return Taken(upto, checkpoint, words)


def _last_checkpoint(session: Session, book: Logbook) -> tuple[int, list[str]]:
    """Make a session what its last checkpoint says; empty where there is none that can be read."""
    for upto, plain in book.checkpoints():
        with suppress(KeyError, TypeError, ValueError, IndexError):  # of this one; there is an older one, or the lines
            taken = session_from_plain(session, plain)
            return upto, [*taken.words, *taken.parts]
    empty(session)
    return 0, []


def take_up_in(session: Session, book: Logbook, kept: KeptRoom | None, room: Room, text: str) -> Taken:
    """Make a session what the record says, as far as that holds in a room whose file may have changed since."""
    if kept is None or kept.text == text:
        return take_up(session, book)
    from model.room.file import RoomFileErrors, parse_room  # a room file that is as it was is not read again

    try:
        old = Session(parse_room(kept.text, kept.path))
    except RoomFileErrors:
        taken = take_up(session, book)
        words = ["the room file as it was cannot be read by this version of bayhand", *taken.words]
        return taken._replace(words=words, changed=True)
    if same_wiring(old.room, room):
        return take_up(session, book)
    taken = take_up(old, book)
    return taken._replace(words=[*taken.words, *carry_over(old, session)], changed=True)


def entry_of(at: int, seat: str, typed: str, line: Line, answer: Answer) -> Entry:
    """The entry of a line that was done."""
    action = line if isinstance(line, Action) else answer.kept_as
    cord = [] if answer.change.cord is None else [["cord", str(answer.change.cord)]]
    did = cord + [[item.kind, item.text] for item in told(answer.change)] + [["said", words] for words in answer.words]
    return Entry(
        0,
        at,
        seat,
        LINE,
        typed.strip(),
        str(line),
        "" if action is None else json.dumps(action_as_plain(action), ensure_ascii=False),
        json.dumps(did, ensure_ascii=False),
    )


def line_of(entry: Entry, names: Names) -> Line:
    """What an entry does again. Raises a :class:`~model.bay.refusals.Refusal` where that cannot be read any more."""
    if entry.action:
        try:
            return action_from_plain(json.loads(entry.action))
        except (KeyError, TypeError, ValueError, IndexError):
            raise Refusal("the entry's action cannot be read", entry.line) from None
    return read_line(entry.line, names)
