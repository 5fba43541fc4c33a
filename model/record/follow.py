"""What another seat did, from its entry in the record: set here as it was set there, never read as typed text again."""

from __future__ import annotations

import json
from dataclasses import replace
from typing import Any, NamedTuple

from model.commands.parts import part_named, part_of_table
from model.entry.answer import Answer
from model.entry.session_state import SessionState, Taken
from model.live.change import Change
from model.live.told import SAID, Told
from model.record.recorded import ENTRY, Recorded
from model.record.tables import BAY_TABLES, difference_in
from model.session import Outcome


class Followed(NamedTuple):
    """Something that was not typed here: an entry of another seat, or a remark of the program about the record."""

    seat: str  # '' for a remark
    words: str
    outcome: Outcome | None = None  # of an entry


def hear(session: SessionState, recorded: Recorded) -> tuple[SessionState, Followed]:
    """A session after an entry of the record that was not typed here, and what is to be told of it."""
    if recorded.kind != ENTRY:
        return session, Followed("", recorded.entry)
    try:
        after, change = followed(session, recorded)
    except Nonsense as why:
        return session, Followed("", str(why))
    answer = Answer(change, said_of(recorded), canonical=recorded.entry)
    outcome = Outcome(recorded.typed, None, answer, session, after, step=recorded.step)
    return after, Followed(recorded.seat, who_said(recorded), outcome)


def who_said(recorded: Recorded) -> str:
    """Which seat typed what."""
    return f"{recorded.seat or 'another seat'}: {recorded.typed}"


class Nonsense(Exception):
    """An entry of the record that nothing can be made of. The message says which."""


def followed(session: SessionState, recorded: Recorded) -> tuple[SessionState, Change]:
    """A session after another seat's entry, and what that changed. Raises Nonsense where it makes no sense here."""
    try:
        sets = json.loads(recorded.sets)
        at_bay = [each for each in sets if each[0] in BAY_TABLES]
        difference = difference_in(session.patch.room, at_bay)
        if difference is None:
            raise Nonsense(f"entry {recorded.id}, {recorded.entry}: it names what the room does not have")
        change = Change()
        if difference:
            done = session.patch.after(difference)
            change = done.change
            step = Taken(recorded.entry, difference, recorded.seat)
            if recorded.step == "act":
                session = session.with_step(done.patch, step)
            elif recorded.step == "undo":
                undone = (*session.undone, session.taken[-1])
                session = replace(session, patch=done.patch, taken=session.taken[:-1], undone=undone)
            else:
                taken = (*session.taken, session.undone[-1])
                session = replace(session, patch=done.patch, taken=taken, undone=session.undone[:-1])
        return _with_parts(session, [each for each in sets if each[0] not in BAY_TABLES]), change
    except (KeyError, TypeError, ValueError, IndexError, AttributeError) as error:
        raise Nonsense(f"entry {recorded.id}, {recorded.entry}: what it set makes no sense here") from error


def _with_parts(session: SessionState, sets: list[Any]) -> SessionState:
    of_part: dict[str, list[Any]] = {}
    for each in sets:
        part = part_of_table(each[0])
        if part is not None:
            of_part.setdefault(part.name, []).append(each)
    for name, own in of_part.items():
        part = part_named(name)
        tables = part.to_tables(session.part(part))
        for table, key, _, after in own:
            tables.pop((table, key), None)  # what is set again comes last, as it does where it was typed
            if after is not None:
                tables[table, key] = after
        value, _lost = part.from_tables(tables, session.patch.room)
        session = session.with_part(part, value)
    return session


def said_of(recorded: Recorded) -> tuple[Told, ...]:
    """What an entry's answer said, beside what it changed."""
    return tuple(
        Told(SAID, each["words"], each.get("severity", ""), indent=each.get("indent", 0))
        for each in json.loads(recorded.told)
        if each["kind"] == SAID
    )
