"""Cautions wherever hands are sent: one row an occasion, one column a way of reading. About 1 s.

What is compared are the words of what to see to first, which the table of occasions holds once; in the answers that offer
something, that they stand before the entry that is offered.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import pytest

from model.live.told import CAUTION, FIX
from model.patches.sheet import sheet_of_session
from model.rehearse import Played, as_json, as_text
from model.room.file import parse_room
from model.session import Outcome, Session, caution_for
from model.signal.cautions import OCCASIONS, PHANTOM_OFF, PHANTOM_ON, WORK_FIRST
from tui.screen.ink import Ink
from tui.screen.told_words import would_do

ROOM = parse_room("""\
bayhand: 1
room: Fernhill
gear:
  Live {1-2}: mic line
  Pre {1-3}: {is: mic in, phantom: 48}
  Power: {is: speaker out, least ohms: 8}
  Horn {1-2}: speaker in
  Frame: aes3 out
  Deck {1-2}: aes3 in
  Keys: line out
  Monitor: {is: line in, ears: yes}
mics:
  dynamic: {ohms: 200}
  condenser: {ohms: 150, phantom: 48, draws: 4}
bays:
  - bay: Bay
    columns: 8
    rows:
      A: {1-2: "Live {1-2}", 3: Power, 4: Frame, 5: Keys}
      B: {1-3: "Pre {1-3}", 4-5: "Horn {1-2}", 6-7: "Deck {1-2}", 8: Monitor}
""")
PLUGGED = ("live 1 > pre 1", "phantom pre 1 on")
MIKED = ("live 1 > pre 1", "put condenser on live 1")


class Row(NamedTuple):
    """An occasion, and what is typed so that each way of reading meets it."""

    before: tuple[str, ...]
    entry: str  # meets it
    proposed: str  # a question whose proposals meet it
    why: tuple[str, ...]  # entries that lead to a standing warning, and the question whose fix meets it
    work: tuple[str, ...]  # entries, and the question whose work list meets it
    listed: str = ""  # what the list says of it, where that is other than the occasion's own words
    standing: tuple[str, ...] = ()  # what else is there where it is proposed


OFF_FIRST = "phantom Pre 1 off"  # a list takes phantom off before a plug or a microphone moves
ROWS: dict[str, Row] = {
    "hot-plug": Row(
        ("phantom pre 1 on",),
        "live 1 > pre 1",
        "route live 1 > pre 1",
        ("live 1 > pre 1 and pre 2", "phantom pre 1 on", "why double-load"),
        (*PLUGGED, "reset"),
        OFF_FIRST,
    ),
    "hot-microphone": Row(
        PLUGGED,
        "put dynamic on live 1",
        "around live 1",
        (),  # nothing that `why` offers moves a microphone
        (*PLUGGED, "put dynamic on live 1", "save goal", "clear live 1", "recall goal"),
        OFF_FIRST,
        ("put condenser on live 1",),
    ),
    "loudspeaker-line": Row(
        (),
        "power > horn 1",
        "route power > horn 1",
        ("power > horn 1 and horn 2", "why amplifier-load"),
        ("power > horn 1", "reset"),
    ),
    "digital-feed": Row(
        (),
        "frame > deck 1",
        "route frame > deck 1",
        ("frame > deck 1 and deck 2", "why digital-split"),
        ("frame > deck 1", "save goal", "pull all", "recall goal"),
    ),
    "phantom-on": Row(
        MIKED,
        "phantom pre 1 on",
        "around pre 1",
        (*MIKED, "why no-phantom"),
        (*MIKED, "phantom pre 1 on", "save goal", "phantom pre 1 off", "recall goal"),
        standing=("phantom pre 1 on",),
    ),
    "phantom-off": Row(
        PLUGGED,
        "phantom pre 1 off",
        "around pre 1",
        ("live 1 > pre 1 and pre 2", "phantom pre 1 on", "why shared-phantom"),
        (*PLUGGED, "reset"),
    ),
    "heard-plug": Row(
        (),
        "keys > monitor",
        "route keys > monitor",
        ("keys > monitor", "why at-the-ears"),
        ("keys > monitor", "reset"),
        WORK_FIRST,
    ),
}
RULES = [occasion.rule for occasion in OCCASIONS]


def session(*entries: str) -> Session:
    """A session after some entries."""
    at = Session(ROOM)
    for entry in entries:
        outcome = at.enter(entry)
        assert outcome.ok, f"{entry}: {outcome.error}"
    return at


def met(rule: str, outcome: Outcome) -> str:
    """What is to be seen to first on an occasion, as the engine says it of an entry that meets it."""
    return next(caution.fix for caution in outcome.change.cautions if caution.rule == rule)


def first_of(rule: str) -> str:
    """The same, taken from the row's own entry."""
    row = ROWS[rule]
    return met(rule, session(*row.before).preview(row.entry))


def test_every_occasion_has_its_row() -> None:
    assert list(ROWS) == sorted(ROWS, key=RULES.index)
    assert set(ROWS) == set(RULES)


@pytest.mark.parametrize("rule", RULES)
def test_the_screen_says_it_before_anything_else(rule: str) -> None:
    row = ROWS[rule]
    outcome = session(*row.before).preview(row.entry)
    drawn = ["".join(piece.text for piece in entry.words) for entry in would_do(Ink(), outcome, caution_for(row.entry))]
    cautioned = [first_of(rule) in words for words in drawn]
    assert any(cautioned)
    assert all("caution: " in words for words in drawn[: cautioned.index(True) + 1])


@pytest.mark.parametrize("rule", RULES)
def test_rehearse_says_it_as_text_and_as_json(rule: str) -> None:
    row = ROWS[rule]
    for typed in (f"{row.entry} ?", row.entry):  # asked first, and done
        played = Played(1, session(*row.before).enter(typed))
        assert any(line.strip().startswith("caution [") and first_of(rule) in line for line in as_text(played))
        assert [c["fix"] for c in as_json(played)["cautions"] if c["rule"] == rule] == [first_of(rule)]


def offers_after_cautions(outcome: Outcome, first: str, offered: str) -> None:
    """Whether the caution is told, and before the entry."""
    told = outcome.answer.said
    at = [place for place, each in enumerate(told) if each.kind == CAUTION and first in each.words]
    entry = [place for place, each in enumerate(told) if offered in (each.fix if each.kind == FIX else each.words)]
    assert at, [each.words for each in told]
    assert at[0] < entry[0]


@pytest.mark.parametrize("rule", RULES)
def test_a_proposal_says_it(rule: str) -> None:
    row = ROWS[rule]
    asked = session(*row.before, *row.standing).enter(row.proposed)
    assert asked.ok, asked.error
    proposals: list[dict[str, Any]] = asked.answer.extra["proposals"]
    assert proposals
    cautions = [c for c in proposals[0]["change"]["cautions"] if c["rule"] == rule]
    assert cautions
    offers_after_cautions(asked, cautions[0]["fix"], proposals[0]["entries"][0])


@pytest.mark.parametrize("rule", [rule for rule in RULES if ROWS[rule].why])
def test_why_says_it_before_its_fix(rule: str) -> None:
    *before, question = ROWS[rule].why
    at = session(*before)
    asked = at.enter(question)
    fix = asked.answer.extra["why"]["fix"]
    assert fix
    offers_after_cautions(asked, met(rule, at.preview(fix)), fix)


@pytest.mark.parametrize("rule", RULES)
def test_a_work_list_says_it(rule: str) -> None:
    """Recall and reset: what holds for all of it once, at its head; phantom goes off before the rest."""
    row = ROWS[rule]
    *before, question = row.work
    asked = session(*before).enter(question)
    assert asked.ok, asked.error
    told = asked.answer.said
    assert [place for place, each in enumerate(told) if each.kind == CAUTION and each.words == WORK_FIRST] == [1]
    expected = row.listed or first_of(rule)
    at = [place for place, each in enumerate(told) if expected in each.words]
    assert at, [each.words for each in told]
    if expected == OFF_FIRST:
        assert at[0] == 2
        assert PHANTOM_OFF.first in told[3].words
    assert {"kind": "caution", "words": WORK_FIRST}.items() <= as_json(Played(1, asked))["told"][1].items()


def test_a_work_list_at_line_level_says_it_once() -> None:
    asked = session("keys > monitor").enter("reset")
    assert [each.words for each in asked.answer.said if each.kind == CAUTION] == [WORK_FIRST]


@pytest.mark.parametrize("rule", RULES)
def test_paper_says_it(rule: str) -> None:
    """At the sheet's head what always holds, and below it, cord by cord, what needs more."""
    row = ROWS[rule]
    sheet = sheet_of_session(session(*row.before, row.entry).now, "2031-04-01 23:40")
    assert ("First", WORK_FIRST) in sheet.facts
    needed = {firsts for *_, firsts in sheet.tables[0].rows}
    if rule in ("phantom-off", "heard-plug"):  # phantom is off on this sheet; what is heard needs no more than the head
        assert first_of(rule).split(".")[0] in WORK_FIRST
    else:  # where phantom was switched on, it is to go off
        assert (PHANTOM_OFF.first if rule == PHANTOM_ON.rule else first_of(rule)) in needed
