"""No false alarm: long ordinary evenings in the shipped rooms, with no mistake in them, raise nothing worse than notes."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator
from pathlib import Path

import pytest

from model.rehearse import is_comment
from model.session import Outcome, Session
from model.signal.warning import NOTE
from tests.sessions import shipped_room

EVENINGS = {path.stem: path for path in sorted(Path(__file__).with_name("evenings").glob("*.txt"))}
LIST = "LIST"  # all steps of the work list, one after another, and the list put away


def entries(name: str) -> list[str]:
    """What is typed in an evening."""
    return [line for line in EVENINGS[name].read_text(encoding="utf-8").splitlines() if not is_comment(line)]


def evening(name: str) -> Iterator[Outcome]:
    """What comes of every entry of an evening, the house patch first; LIST is typed step by step."""
    session = Session(shipped_room(name))
    for entry in session.house_entries():
        yield session.enter(entry)
    for entry in entries(name):
        if entry != LIST:
            yield session.enter(entry)
            continue
        while (asked := session.enter("worklist")).answer.offers != ("leave",):
            yield session.enter(asked.answer.offers[0])
        yield session.enter("leave")


# How many notes an evening has, by rule: a condenser that waits for its phantom, effects that could be assigned to what feeds
# them, a guitar's tape into the amplifier's feed.
NOTES = {
    "attic": {"no-phantom": 4},
    "kelpfield": {"no-phantom": 20, "feedback-loop": 7, "heavy-load": 1},
    "orrery": {"no-phantom": 6},
}


def alarms(outcomes: Iterable[Outcome]) -> list[str]:
    """Refusals, warnings and dangers, at the end of an entry or on its way."""
    told = []
    for outcome in outcomes:
        change = outcome.change
        found = [*change.raised, *change.passing, *(now for _, now in change.changed)]
        told += [f"{outcome.typed}: {alert.rule}" for alert in found if alert.severity != NOTE]
        if not outcome.ok:
            told.append(f"{outcome.typed}: {outcome.error}")
    return told


@pytest.mark.parametrize("name", EVENINGS)
def test_an_ordinary_evening_raises_nothing_but_notes(name: str) -> None:
    rest = Session(shipped_room(name)).patch.standing_warnings()
    assert [alert.text for alert in rest if alert.severity != NOTE] == []
    outcomes = list(evening(name))
    assert alarms(outcomes) == []
    assert Counter(alert.rule for outcome in outcomes for alert in outcome.change.raised) == NOTES[name]


def test_the_long_evening_is_long() -> None:
    assert len(entries("kelpfield")) >= 150


@pytest.mark.parametrize(
    ("mistake", "alarm"),
    [
        ("rec 3 out > desk 3 line", "feedback-loop"),  # howls on a track in input
        ("phantom tallow 10 on", "stray-phantom"),  # the ribbon on Hall 10
        ("tallow 4 out > desk 5 line with 30 cm", ""),  # one channel in another's place: no harm
        ("tallow 4 out > tape 1 out", "joined-outputs"),
    ],
)
def test_a_mistake_in_the_evening_is_told(mistake: str, alarm: str) -> None:
    session = Session(shipped_room("kelpfield"))
    for entry in [*session.house_entries(), *entries("kelpfield")[:50]]:
        assert session.enter(entry).ok
    assert alarms([session.enter(mistake)]) == ([f"{mistake}: {alarm}"] if alarm else [])
