"""Faults found by entries, in bays where something is broken and every answer is what the slow model hears."""

from __future__ import annotations

import json
import math
import os
from dataclasses import replace
from pathlib import Path
from random import Random
from typing import Any

import pytest

from model.bay.state import Cord, Making
from model.fault.chain import passed, plays
from model.fault.reasoning import PRIORS
from model.fault.search import FAULT
from model.language.targets import JACK, PORT, Target, read_target
from model.record.tables import PlainSession, plain_session, restored
from model.rehearse import as_json, play
from model.room.file import parse_room, read_room
from model.room.wiring import Room
from model.session import Session
from model.text.json_text import json_text
from tests.fault_model import Heard, all_that_can_break, has_twin_wires
from tests.random_rooms import MICS, random_room
from tests.recorded import do, open_at
from tests.said import words_of

KELPFIELD = read_room(Path(__file__).parents[1] / "rooms" / "kelpfield.yaml")
EQUAL = dict.fromkeys(PRIORS, 1.0)
SEEDS = int(os.environ.get("BAYHAND_FAULTS", "12"))  # random rooms, and random chains; 40 of them by hand


def house(room: Room) -> Session:
    """A session with its house patch in the bay."""
    session = Session(room)
    for line in session.house_entries():
        assert session.enter(line).ok
    return session


def typed(session: Session, line: str) -> dict[str, Any]:
    """The JSON of a line that must be taken."""
    (played,) = play(session, [line])
    assert played.outcome.ok, f"{line}: {played.outcome.error}"
    found = as_json(played)
    assert json.loads(json_text(found)) == found
    return found


# What a place's signal must pass, against the slow model


def scattered(rng: Random, room: Room) -> Session:
    """A room with some cords in it, of two plugs or three, and loose ends."""
    session = Session(room)
    making = Making(session.patch.state)
    free = list(range(len(room.jacks)))
    rng.shuffle(free)
    for number in range(1, rng.randint(1, 6)):
        plugs = tuple(free.pop() for _ in range(rng.choice((1, 2, 2, 2, 3))))
        making.set("cords", number, Cord(plugs, max(2, len(plugs)), None))
        for jack in plugs:
            making.set("plugs", jack, number)
    for port in room.ports:
        if port.kind.is_mic_line and rng.random() < 0.5:
            making.set("mics", port.index, rng.choice(MICS))
    session.now = replace(session.now, patch=session.patch.moved(making.difference()))
    return session


def places(session: Session) -> list[Target]:
    """Every jack, and every input that comes up at one."""
    room = session.room
    jacks = [Target(JACK, jack.address, (jack.index,)) for jack in room.jacks]
    ports = [p for p in room.ports if not p.kind.is_output and room.jacks_of_port[p.index]]
    return jacks + [Target(PORT, p.name, room.jacks_of_port[p.index], p) for p in ports]


def is_heard(heard: Heard, target: Target) -> bool:
    return heard.inside(target.port.index) if target.port is not None else heard.at_jack(target.jacks[0])


@pytest.mark.parametrize("seed", range(min(40, SEEDS)))
def test_what_is_passed_is_what_silences_a_place(seed: int) -> None:
    """Broken, each thing that is passed makes the place silent, and nothing else that can break does."""
    rng = Random(seed)
    compared = 0
    while compared < 200:
        room = random_room(rng, points=5)
        if not has_twin_wires(room):
            compared += compare_all_breaks(room, scattered(rng, room))


def compare_all_breaks(room: Room, session: Session) -> int:
    """Break each thing of a room, for each source and each place that it reaches; how much was compared."""
    state = session.patch.state
    compared = 0
    for source in [p for p in room.ports if p.kind.is_output and plays(room, p.index)]:
        whole = Heard(state, source.name)
        reached = [target for target in places(session) if is_heard(whole, target)]
        for target in places(session):
            if target not in reached:
                assert passed(state, source.index, target) == ()
        if len(reached) < 3:
            continue
        ways = {target.name: passed(state, source.index, target) for target in reached}
        for name in all_that_can_break(state, source.name):
            broken = Heard(state, source.name, {name})
            for target in reached:
                silent = not is_heard(broken, target)
                assert silent == (name in [element.name for element in ways[target.name]]), (name, target.name)
                compared += 1
    return compared


# Searches, always doing what is proposed


def answer_at(session: Session, source: str, broken: set[str], place: str, kind: str) -> bool:
    """Whether the signal is heard at a place by someone who does what a test says."""
    state = session.patch.state
    target = read_target(place, session.names)
    if target.cord is not None:
        return target.cord in Heard(state, source, broken).cord_ends
    if target.port is not None and not target.port.kind.is_output:
        return Heard(state, source, broken).inside(target.port.index)
    jack = target.jacks[0]
    unplugged, plugged = ([jack], []) if jack in state.plugs and kind.startswith("listen") else ([], [jack])
    return Heard(state, source, broken, plugged, unplugged).at_jack(jack)


def search(session: Session, source: str, place: str, broken: set[str]) -> tuple[dict[str, Any], int, int]:
    """Follow each proposed test to the end: the last answer, the number of tests, how many things were suspected first."""
    found = typed(session, f"dead {place} from {source}")
    first, count = len(found["suspects"]), 0
    while found["next_test"] is not None and not found["found"]:
        test = found["next_test"]
        if test["line"]:
            typed(session, test["line"])
        works = answer_at(session, source, broken, test["at"], test["kind"])
        found = typed(session, f"{'heard' if works else 'dead'} {test['at']}")
        count += 1
        assert count <= first, "the search goes round in circles"
        assert found["doubts"] == []
    return found, count, first


def chain_room(rng: Random, boxes: int) -> Room:
    """A microphone through a preamplifier and boxes of gear into a recorder, over normals and some cords."""
    kinds = [rng.choice(("half", "none")) for _ in range(boxes + 1)]
    cords = [f"  - C{n} > D{n}" for n, kind in enumerate(kinds, 1) if kind == "none"]
    normals = [f"      {n}: half" for n, kind in enumerate(kinds, 1) if kind == "half"]
    text = f"""
bayhand: 1
room: Chain
gear:
  Live: mic line
  Pre: {{in: mic in, out: line out}}
  Box {{1-{boxes}}}: {{in: line in, out: line out}}
  Tape: line in
mics:
  dynamic: {{ohms: 200}}
  old dynamic: {{ohms: 250}}
bays:
  - bay: Mic bay
    columns: 1
    rows: {{A: {{1: Live}}, B: {{1: Pre in}}}}
    normals: {{1: full}}
  - bay: Line bay
    columns: {boxes + 1}
    rows:
      C: {{1: Pre out, 2-{boxes + 1}: "Box {{1-{boxes}}} out"}}
      D: {{1-{boxes}: "Box {{1-{boxes}}} in", {boxes + 1}: Tape}}
"""
    text += "    normals:\n" + "\n".join(normals) + "\n" if normals else ""
    text += "house patch:\n" + "\n".join(cords) + "\n" if cords else ""
    return parse_room(text)


@pytest.mark.parametrize("seed", range(min(30, SEEDS)))
def test_seeded_fault_in_a_random_chain(seed: int) -> None:
    rng = Random(seed)
    room = replace(chain_room(rng, rng.randint(2, 14)), priors=EQUAL)
    session = house(room)
    way = passed(session.patch.state, room.port_named["Live"].index, read_target("tape", session.names))
    counts = []
    for culprit in rng.sample(way, 6):
        session = house(room)
        found, count, first = search(session, "Live", "tape", {culprit.name})
        assert first == len(way)
        assert culprit.name in [suspect["element"] for suspect in found["suspects"]]
        assert len(found["suspects"]) <= 2, found[
            "suspects"
        ]  # gear and the lead behind it, or a full normal's two contacts
        counts.append(count - math.log2(len(way) / len(found["suspects"])))
        assert count <= math.log2(len(way)) + 1, (count, len(way))
    assert abs(sum(counts) / len(counts)) <= 1  # a lucky answer may end one search early


KELPFIELD_WAYS = (
    ("Hall 1", "rec 1 in", ()),
    ("Hall 5", "rec 5 in", ("put condenser on hall 5",)),
    (
        "Parlour 3",
        "desk 20 direct",
        ("parlour 3 > brindle 9 in", "brindle 9 out > fennel 2 in", "fennel 2 out > desk 20 line"),
    ),
    ("Mix L send", "monitor l", ("mix l out > monitor l",)),
    ("Cue 1 L", "phones 1 l", ()),
    ("Oscillator", "desk 3 line", ("mult 1 > desk 3 line",)),
    ("Disc out", "da 1 in", ("uphill out > da 1 in",)),
)


@pytest.mark.parametrize(("source", "place", "lines"), KELPFIELD_WAYS)
@pytest.mark.parametrize("equal", [True, False])
def test_every_single_fault_at_kelpfield(source: str, place: str, lines: tuple[str, ...], equal: bool) -> None:
    room = replace(KELPFIELD, priors=EQUAL if equal else {})

    def begun() -> Session:
        session = house(room)
        for line in lines:
            typed(session, line)
        return session

    session = begun()
    way = passed(session.patch.state, room.port_named[source].index, read_target(place, session.names))
    for culprit in way:
        found, count, _ = search(begun(), source, place, {culprit.name})
        suspects = [suspect["element"] for suspect in found["suspects"]]
        assert culprit.name in suspects
        assert len(suspects) <= 3
        if equal:
            assert count <= math.log2(len(way)) + 1


def test_two_faults_at_kelpfield() -> None:
    session = house(KELPFIELD)
    broken = {"cord 1", "Desk (Cue 2 L)"}
    typed(session, "dead phones 2 l")
    typed(session, "heard cue 1 l")
    found, _, _ = search(session, "Mix L send", "mix l return", broken)
    assert found["faults"] == 2
    assert broken <= {suspect["element"] for suspect in found["suspects"]}


# What is said, and what is kept


def lines_of(session: Session, line: str) -> str:
    outcome = session.enter(line)
    assert outcome.ok, outcome.error
    return "\n".join(words_of(outcome))


def test_a_full_normal_is_not_heard_with_a_plug_in_its_lower_jack() -> None:
    session = house(KELPFIELD)
    assert "counts as heard in Tallow 5 in" in lines_of(session, "dead b5")
    assert session.get(FAULT)[0].place == "Tallow 5 in"
    assert lines_of(session, "fault without b5 ?").startswith("the search is over without a culprit")
    refused = session.enter("dead j41")  # a tie line behind the lower jack of a half normal
    assert (
        refused.error == "nothing can be heard at J41 (Tie 1): a plug there takes the signal away. Listen at I41 or P1"
    )
    # while a cord is in A5, nothing but the cord is heard at what it feeds
    typed(session, "a5 > b9")
    assert not session.enter("dead b5").ok
    assert "cord 8" in [e.name for e in _passed(session, "Hall 5", "tallow 9 in")]


def _passed(session: Session, source: str, place: str) -> tuple[Any, ...]:
    target = read_target(place, session.names)
    return passed(session.patch.state, session.room.port_named[source].index, target)


def test_listening_that_breaks_something_says_so_and_what_to_mind_first() -> None:
    session = house(KELPFIELD)
    words = lines_of(session, "dead tallow 5 in")
    first = words.index("First: monitors and headphones down, phantom off at whatever is on this microphone line")
    assert first < words.index("Next: ")
    assert "Listen at A5 (Hall 5); nothing reaches Tallow 5 in meanwhile. It is at microphone level" in words
    quiet = typed(house(KELPFIELD), "dead rec 5 in from hall 5")["next_test"]
    assert (quiet["kind"], quiet["at"], quiet["breaks"]) == ("listen", "C5", [])
    assert quiet["caution"] == "First: monitors and headphones down."


def test_a_cord_is_swapped_for_one_of_another_number_as_one_step() -> None:
    session = house(KELPFIELD)
    typed(session, "dead mix l return")
    swapped = session.enter("swap #3")
    assert words_of(swapped)[0] == "cord 8 in the place of cord 3: K13 > F41"
    assert swapped.answer.offers == ("heard Mix L return", "dead Mix L return")
    assert swapped.change.made == swapped.change.broken == ()
    found = typed(session, "heard mix l return")
    assert (found["found"], found["faults"]) == (True, 1)
    assert found["suspects"] == [{"element": "cord 3", "kind": "cord", "jacks": ["K13", "F41"], "likelihood": 1.0}]
    assert "cord 3 is out of the bay: put it aside for repair." in [each["words"] for each in found["told"]]
    assert lines_of(session, "fault over") == "the search is over: it was cord 3"
    assert session.get(FAULT) == () and lines_of(session, "fault").startswith("no fault is looked for")
    typed(session, "undo")
    assert sorted(session.patch.state.cords) == [1, 2, 3, 4, 5, 6, 7]


def test_the_source_must_be_said_where_several_lead_there_and_none_is_likelier() -> None:
    session = house(KELPFIELD)
    error = session.enter("dead rec 9 in").error
    assert error is not None and "Say which one plays: dead Rec 9 in from" in error
    assert "does not lead to Rec 9 in" in (session.enter("dead rec 9 in from hall 2").error or "")
    typed(session, "put dynamic on hall 9")
    assert typed(session, "dead rec 9 in")["heard"] == [{"place": "Rec 9 in", "works": False, "source": "Hall 9"}]
    typed(session, "clear hall 9")
    assert typed(session, "heard c9")["heard"][1]["source"] == "Hall 9"  # the one of before


def test_what_was_heard_stays_what_it_was_when_cords_move() -> None:
    session = house(KELPFIELD)
    typed(session, "dead buckle 1 out")  # over cord 5, from the first preamplifier
    typed(session, "pull #5")
    words = lines_of(session, "fault")
    assert "Hall 1 does not lead to Buckle 1 out as the bay is now" in words
    typed(session, "tallow 2 out > buckle 1 in as #30")
    found = typed(session, "heard buckle 1 out from hall 2")
    names = {suspect["element"] for suspect in found["suspects"]}
    assert "cord 5" in names and "lead of Tallow 1 out" in names
    assert not names & {"cord 30", "Buckle 1", "lead of Buckle 1 in", "lead of Buckle 1 out"}


def test_doubt_is_said_and_heard_again() -> None:
    session = house(KELPFIELD)
    typed(session, "heard e5 from hall 5")
    found = typed(session, "dead c5")
    assert found["doubts"] == [{"dead": "C5", "heard": ["E5"]}]
    assert found["next_test"]["at"] == "E5" and found["next_test"]["kind"] == "listen again"
    assert "something was heard wrong, or the fault comes and goes" in "\n".join(
        each["words"] for each in found["told"]
    )
    found = typed(session, "dead e5 from hall 5")
    assert found["doubts"] == [] and "Hall 5" in {suspect["element"] for suspect in found["suspects"]}
    found = typed(session, "fault without c5")
    assert [heard["place"] for heard in found["heard"]] == ["E5"]


def test_the_room_file_overrules_priors() -> None:
    likely = typed(house(replace(KELPFIELD, priors={"gear": 1000.0})), "dead mix l return")["suspects"][0]
    assert likely["kind"] == "gear" and likely["likelihood"] > 0.4


def test_asking_changes_nothing() -> None:
    session = house(KELPFIELD)
    typed(session, "dead c5")
    before = plain_session(session.now).to_json()
    for line in ("dead c6 ?", "heard c5 ?", "swap #3 ?", "fault", "fault ?", "fault over ?", "fault without c5 ?"):
        assert session.enter(line).ok
    assert plain_session(session.now).to_json() == before


def test_a_search_goes_on_after_reopening() -> None:
    session = house(KELPFIELD)
    for line in ("dead rec 5 in from hall 5", "heard c5", "dead mix l return"):
        typed(session, line)
    plain = json.loads(json.dumps(plain_session(session.now).to_json()))
    again = Session(KELPFIELD)
    found = restored(PlainSession.from_json(plain), KELPFIELD)
    again.now = found.session
    assert found.words == []
    assert again.get(FAULT) == session.get(FAULT)
    assert typed(again, "fault") == typed(session, "fault")
    # the record does each line again from what it writes itself as
    by_lines = house(KELPFIELD)
    for line in ("dead rec 5 in from hall 5", "heard c5", "dead mix l return", "swap #3", "dead mix l return"):
        for other in (by_lines, again) if line.startswith(("swap", "dead mix")) else (by_lines,):
            outcome = other.enter(line)
            assert outcome.read is not None
    assert by_lines.get(FAULT)[:3] == session.get(FAULT)[:3]


def test_the_record_holds_the_search(tmp_path: Path) -> None:
    kept = open_at(tmp_path)
    do(kept, "booth 3 > pre 4 in", "dead a8", "swap #1", "dead a8 from booth 3", "heard a3")
    heard, said, cords = kept.session.get(FAULT), kept.enter("fault").answer.said, kept.session.patch.state.cords
    assert len(heard) == 3 and len(cords) == 1
    kept.close()
    again = open_at(tmp_path)
    assert again.session.get(FAULT) == heard and again.session.patch.state.cords == cords
    assert again.enter("fault").answer.said == said
    again.close()


def test_what_the_room_has_no_more_is_said_and_does_not_count() -> None:
    session = Session(chain_room(Random(1), 3))
    typed(session, "dead box 3 out" if session.enter("dead box 3 out ?").ok else "dead box 1 in")
    plain = plain_session(session.now).to_json()
    smaller = restored(PlainSession.from_json(plain), KELPFIELD)
    assert len(smaller.words) == 1 and "does not count any more: the room has no" in smaller.words[0]
    assert smaller.session.part(FAULT) == ()


@pytest.mark.parametrize(
    ("line", "error"),
    [
        ("dead", "say where: dead tape 1 in, dead C5, dead #7, dead C5 from hall 3"),
        ("dead nowhere land", "the room has nothing called 'nowhere land'"),
        ("dead c5 from", "the room has nothing called 'c5 from'"),
        ("heard c5 from hall 99", "the room has nothing called 'hall 99'"),
        ("dead #99", "no cord 99 is in the bay"),
        ("dead wedge from hall 1", "Hall 1 does not lead to Wedge now"),
        ("dead k45", "nothing leads to K45 now: 'why K45' says why"),
        ("fault over", "no fault is looked for"),
        ("fault without c5", "no fault is looked for"),
        ("fault perhaps", "after 'fault' comes nothing, 'over', or 'without' and a place"),
        ("swap #99", "no cord 99 is in the bay"),
        ("swap a1", "A1 is empty"),
        ("swap", "a jack or a name is missing"),
    ],
)
def test_refusals_say_why(line: str, error: str) -> None:
    assert (house(KELPFIELD).enter(line).error or "").startswith(error)
