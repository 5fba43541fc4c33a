"""The judges of tests/session_properties.py are judged: each must find deliberate faults, and nothing without them.

Also that the golden answers notice one, and that a command which has just joined the table is tried.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from random import Random

import pytest

from model.commands.command import Command, Form
from tests import sessions
from tests.golden_words import MEANT
from tests.random_entries import Tried
from tests.random_rooms import random_room
from tests.session_properties import (
    ASK,
    COMPARE,
    ENTER,
    FREE,
    FULL,
    PREVIEW,
    Property,
    Step,
    not_alike_elsewhere,
    not_inert,
    not_true,
    random_evening,
    report,
    shortest,
)
from tests.test_golden import differences, rehearsed, stored

Fault = Callable[[pytest.MonkeyPatch], None]
MAX_EVENINGS = 60  # random ones, in which a fault must be found
ENTRIES: dict[Property, int] = {not_inert: 25, not_true: 8, not_alike_elsewhere: 25}  # in each of them


def typed(*entries: str) -> tuple[Step, ...]:
    """A script of entries alone."""
    return tuple(Step(ENTER, entry) for entry in entries)


# Each fault, who must find it, and a script that shows it in the attic.
FAULTS: tuple[tuple[Fault, Property, tuple[Step, ...]], ...] = (
    (sessions.a_preview_that_plugs, not_inert, (Step(PREVIEW, "note hum"), *typed("plug A1"))),
    (
        sessions.a_preview_that_forgets,
        not_inert,
        (*typed("plug A1", "plug A2", "undo"), Step(ASK, "undo"), *typed("redo")),
    ),
    (sessions.a_preview_of_something_else, not_true, typed("plug A1", "A2 > A3", "pull A1")),
    (sessions.a_preview_without_refusals, not_true, typed("plug A1", "plug A1")),
    (
        sessions.an_anyway_that_is_lost,
        not_alike_elsewhere,
        typed("drum box > booth cue", "guard drum box > booth cue", "pull A11 anyway", "plug A1"),
    ),
    (sessions.an_undo_that_is_lost, not_alike_elsewhere, typed("plug A1", "plug A2", "undo")),
)
EACH = pytest.mark.parametrize(("fault", "judge", "script"), FAULTS, ids=[fault.__name__ for fault, _, _ in FAULTS])


@EACH
def test_a_fault_is_found(
    fault: Fault, judge: Property, script: tuple[Step, ...], monkeypatch: pytest.MonkeyPatch
) -> None:
    """In a script made for it; without the fault nothing is found there."""
    room = sessions.shipped_room("attic")
    assert judge(room, script) is None
    fault(monkeypatch)
    assert judge(room, script) is not None


@EACH
def test_random_evenings_find_a_fault(
    fault: Fault, judge: Property, script: tuple[Step, ...], monkeypatch: pytest.MonkeyPatch
) -> None:
    """In an evening of random entries, in which nothing is found without the fault; and it is cut down to what shows it."""
    rng = Random(fault.__name__)
    tried = Tried(Counter(), Counter())
    for _ in range(MAX_EVENINGS):
        room = random_room(Random(rng.randrange(2**32)))
        evening = random_evening(
            room, rng, ENTRIES[judge], tried, judge is not_inert, recorded=judge is not_alike_elsewhere
        )
        if judge(room, evening) is not None:
            continue
        with monkeypatch.context() as broken:
            fault(broken)
            if judge(room, evening) is None:
                continue
            short, found = shortest(room, evening, judge)
            assert judge(room, short) == found
            for step in range(len(short)):
                assert judge(room, short[:step] + short[step + 1 :]) is None, "a step could be left out"
        return
    pytest.fail(f"{MAX_EVENINGS} evenings, and none of them shows it")


def test_the_report_tells_the_script_and_both_answers(monkeypatch: pytest.MonkeyPatch) -> None:
    """What somebody reads who has to mend it."""
    sessions.a_preview_without_refusals(monkeypatch)
    told = report(
        "the attic", sessions.shipped_room("attic"), typed("plug A2", "plug A1", "figures A5", "plug A1"), not_true
    )
    assert told.splitlines() == [
        "not_true in the attic, shortest script (2 of 4 steps):",
        "  seat 0 enter    plug A1",
        "  seat 0 enter    plug A1",
        "entry 2, plug A1: in the preview, and when it is entered",
        '  {"error": null, "ok": true}',
        '  {"error": "A1 already holds a plug of cord 1", "ok": false}',
    ]


def test_a_failure_of_the_program_is_a_difference(monkeypatch: pytest.MonkeyPatch) -> None:
    """An exception is found by each judge, and told with its script."""

    def fails(*_: object, **__: object) -> None:
        raise RuntimeError("on purpose")

    room, script = sessions.shipped_room("attic"), typed("plug A1")
    monkeypatch.setattr(sessions, "enter", fails)
    for judge in (not_inert, not_true, not_alike_elsewhere):
        found = judge(room, script)
        assert found is not None
        assert "RuntimeError: on purpose" in str(found)


def test_a_seat_on_a_full_disk_is_judged_when_it_is_free_again() -> None:
    """Entries without the record: refused, then taken by decision, then in the record."""
    room = sessions.shipped_room("attic")
    script = (
        *typed("plug A1"),
        Step(FULL),
        *typed("plug A2", "unrecorded", "plug A2", "undo", "plug A3"),
        Step(FREE),
        Step(ENTER, "plug A4", 1),
        Step(COMPARE),
        *typed("undo"),
    )
    assert not_alike_elsewhere(room, script) is None


def test_stored_evenings_notice_a_fault(monkeypatch: pytest.MonkeyPatch) -> None:
    """An undo after which nothing can be done again."""
    sessions.an_undo_that_forgets(monkeypatch)
    found = differences(rehearsed("attic"), stored("attic"), MEANT)
    assert any("'redo'" in words for words in found)


def test_a_command_without_a_writer_is_tried_and_one_that_is_never_taken_is_told(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """A new command is in the tests of random sessions from its first day, by its forms."""
    forms = (Form("hum X", "its figures"), Form("hum #7, hum at X with 60 cm", "the same"))
    growl = (Form("growl", "a note without words: refused"),)
    sessions.add_command(monkeypatch, Command("hum", forms, "way.figures:read_figures", "name"))
    sessions.add_command(monkeypatch, Command("growl", growl, "commands.bay:read_note"))
    tried = Tried(Counter(), Counter())
    rng = Random(5)
    entries = [
        step.text
        for _ in range(5)
        for step in random_evening(sessions.shipped_room("attic"), rng, 100, tried)
        if step.how == ENTER and step.text.startswith("hum ")
    ]
    assert len(entries) >= 3
    assert tried.taken["hum"]
    assert not [entry for entry in entries if " X" in entry]
    assert any(words.startswith("growl: typed ") for words in tried.missing(1))
