"""What the tests over random sessions and stored evenings know of the engine: all of it is here, and nowhere else.

A seat answers each entry with a plain value that JSON can write. What an answer says of the clock and of who sits where is
replaced by one word, so that answers of different seats and minutes can be compared.
"""

from __future__ import annotations

import json
import os
import re
from collections.abc import Iterable
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path
from typing import Any, NamedTuple

import pytest

from model.commands.command import Command
from model.commands.reading import split_question
from model.commands.table import COMMANDS, WORDS
from model.entry.draft import Draft
from model.entry.guarded import GUARDED
from model.entry.session_state import Taken
from model.fault.search import FAULT
from model.live.change import Change
from model.patches.shelf import SHELF
from model.record.recorded import Recorded
from model.record.recorded_session import RecordedSession
from model.record.restore import recorded_outcome
from model.record.room_file import RoomFile
from model.rehearse import Played, as_json, at_rest_json
from model.room.file import read_room
from model.room.wiring import Room
from model.session import Outcome, Session
from tests.recorded import all_of

Answer = dict[str, Any]
ROOMS = Path(__file__).parents[1] / "rooms"
SEATS = ("anna", "bela")
_MINUTE = re.compile(r"\d{4}-\d{2}-\d{2} \d{2}:\d{2}")
_TYPED_BY = re.compile(rf" \(typed by (?:{'|'.join(SEATS)})\)")
_SEAT = re.compile(rf"\b(?:{'|'.join(SEATS)})\b")


class Sight(NamedTuple):
    """What somebody at the bay can see of it, to type entries that make sense."""

    cords: dict[int, tuple[str, ...]]  # by number: the addresses of the jacks that they are in
    saved: tuple[str, ...]  # names of saved patches
    guarded: tuple[tuple[str, str], ...]
    miked: tuple[str, ...]  # lines with a microphone
    heard: tuple[str, ...]  # places of the fault that is looked for


@dataclass
class Seat:
    """Somebody at a room, with a record or without."""

    room: Room
    session: Session
    record: RecordedSession | None = None


def commands() -> dict[str, Command]:
    """The table of commands, by their words."""
    return COMMANDS


def add_command(patch: pytest.MonkeyPatch, command: Command) -> None:
    """A command joins the table, for a test."""
    patch.setitem(COMMANDS, command.word, command)
    patch.setitem(WORDS, command.word, command)


def forms_of(word: str) -> list[str]:
    """How a command is written, each form by itself."""
    return [usage for form in COMMANDS[word].forms for usage in re.split(r",\s+", form.usage)]


@cache
def shipped_room(name: str) -> Room:
    """One of the rooms that come with the program."""
    return read_room(ROOMS / f"{name}.yaml")


def open_session(room: Room) -> Seat:
    """A seat without a record."""
    return Seat(room, Session(room))


def open_recorded(room: Room, logbook: Path, seat: str = SEATS[0]) -> Seat:
    """A seat at a record, which is begun where there is none. The room's name stands for the text of its file."""
    record = RecordedSession.open(RoomFile(logbook.with_suffix(".yaml"), room.name, room), logbook, seat)
    return Seat(room, record.session, record)


def enter(seat: Seat, text: str) -> Answer:
    """Type an entry."""
    return _plain((seat.record or seat.session).enter(text))


def ask(seat: Seat, text: str) -> Answer:
    """Type an entry with ' ?' at its end: what it would do. Words that run to the end would take the mark for their own."""
    return enter(seat, f"{text} ?") if split_question(f"{text} ?")[1] else preview(seat, text)


def preview(seat: Seat, text: str) -> Answer:
    """What is said of an entry while it is typed, a refusal with the nearest names."""
    return _plain(seat.session.preview(text))


def at_rest(seat: Seat) -> Answer:
    """What stands in the room before any entry."""
    return at_rest_json(seat.session)


def catch_up(seat: Seat) -> None:
    """Take in what other seats have done."""
    if seat.record is not None:
        seat.record.catch_up()


def close(seat: Seat) -> None:
    """Leave the room."""
    if seat.record is not None:
        seat.record.close()


def ask_everything(seat: Seat, questions: Iterable[str]) -> list[tuple[str, Any]]:
    """The answers to questions, and all that the session holds."""
    catch_up(seat)
    answers: list[tuple[str, Any]] = [(f"{text} ?", ask(seat, text)) for text in questions]
    return [*answers, ("all that is held", all_that_is_held(seat))]


def all_that_is_held(seat: Seat) -> Any:
    """State, actions to undo and to redo by whom, parts, and the standing warnings in any order."""
    held, _ = all_of(seat.session)
    return json.loads(
        _MINUTE.sub("MINUTE", json.dumps([held, sorted(map(repr, seat.session.patch.standing.values()))]))
    )


def sight(seat: Seat) -> Sight:
    """What can be seen at the bay now."""
    session = seat.session
    jacks, ports = seat.room.jacks, seat.room.ports
    return Sight(
        {
            number: tuple(jacks[jack].address for jack in cord.plugs)
            for number, cord in session.patch.state.cords.items()
        },
        tuple(session.get(SHELF).patches),
        tuple(sorted(session.get(GUARDED))),
        tuple(sorted(ports[port].name for port in session.patch.state.mics)),
        tuple(heard.place for heard in session.get(FAULT)),
    )


def _plain(outcome: Outcome) -> Answer:
    """An answer without what was typed, which its reader knows, and with what a screen shows of it besides."""
    answer = as_json(Played(0, outcome))
    for key in ("line", "typed", "asked"):
        answer.pop(key, None)
    answer["offers"], answer["lit"] = outcome.answer.offers, outcome.answer.lit
    plain: Answer = _compared(answer)
    return plain


def _compared(value: object) -> Any:
    """A value as JSON has it, without the clock and the seats."""
    text = _MINUTE.sub("MINUTE", json.dumps(value, ensure_ascii=False, sort_keys=True))
    return json.loads(_SEAT.sub("SEAT", _TYPED_BY.sub("", text)))


def entries_wanted(in_ci: int) -> int:
    """How many entries a test over random sessions types: BAYHAND_ENTRIES says it by hand."""
    return int(os.environ.get("BAYHAND_ENTRIES", in_ci))


# Deliberate faults, each in one place of the engine: what the judges must find (tests/test_judges.py).


def a_preview_that_plugs(monkeypatch: pytest.MonkeyPatch) -> None:
    """To ask about a note plugs a loose end."""
    right = Session.preview

    def preview(self: Session, typed: str) -> Outcome:
        answer = right(self, typed)
        if typed.startswith("note"):
            self.enter(f"plug {self.room.jacks[0].address}")
        return answer

    monkeypatch.setattr(Session, "preview", preview)


def a_preview_that_forgets(monkeypatch: pytest.MonkeyPatch) -> None:
    """To ask about an undo leaves nothing to redo."""
    right = Session.decide

    def decide(self: Session, typed: str) -> Outcome:
        answer = right(self, typed)
        if typed.startswith("undo") and answer.asked:
            self.now = replace(self.now, undone=())
        return answer

    monkeypatch.setattr(Session, "decide", decide)


def a_preview_of_something_else(monkeypatch: pytest.MonkeyPatch) -> None:
    """To ask about a cord's leaving is answered as if all cords were to leave."""
    right = Session.preview
    monkeypatch.setattr(Session, "preview", lambda self, typed: right(self, re.sub("^pull .*", "pull all", typed)))


def a_preview_without_refusals(monkeypatch: pytest.MonkeyPatch) -> None:
    """What is refused is not refused beforehand."""
    right = Session.preview
    monkeypatch.setattr(Session, "preview", lambda self, typed: right(self, typed)._replace(error=None))


def an_anyway_that_is_lost(monkeypatch: pytest.MonkeyPatch) -> None:
    """What was done with 'anyway' sets nothing in the record."""
    right = recorded_outcome

    def recorded(at: int, seat: str, outcome: Outcome) -> Recorded:
        found = right(at, seat, outcome)
        lost = outcome.read is not None and outcome.read.anyway
        return found._replace(sets="[]", step="") if lost else found

    monkeypatch.setattr("model.record.recorded_session.recorded_outcome", recorded)


def an_undo_that_is_lost(monkeypatch: pytest.MonkeyPatch) -> None:
    """An undo sets nothing in the record."""
    right = recorded_outcome

    def recorded(at: int, seat: str, outcome: Outcome) -> Recorded:
        found = right(at, seat, outcome)
        return found._replace(sets="[]", step="") if outcome.step == "undo" else found

    monkeypatch.setattr("model.record.recorded_session.recorded_outcome", recorded)


def an_undo_that_forgets(monkeypatch: pytest.MonkeyPatch) -> None:
    """An undo leaves nothing to redo."""
    right = Draft.undo

    def undo(self: Draft) -> tuple[Taken, Change]:
        answer = right(self)
        self.state = replace(self.state, undone=())
        return answer

    monkeypatch.setattr(Draft, "undo", undo)
