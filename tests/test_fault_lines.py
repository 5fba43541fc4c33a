"""Faults found by typed lines, in bays where something is broken and every answer is what the slow model hears."""

from __future__ import annotations

import json
import math
from dataclasses import replace
from pathlib import Path
from random import Random
from typing import Any

import pytest

from model.fault import PRIORS
from model.fault_chain import passed
from model.flow import begins
from model.rehearse import as_json, json_line, play
from model.room import Room
from model.roomfile import parse_room, read_room
from model.session import Session
from model.state import Cord, Edit
from model.targets import JACK, PORT, Target, read_target
from tests.fault_model import Heard, all_that_can_break, has_twin_wires
from tests.random_rooms import MICS, random_room

KELPFIELD = read_room(Path(__file__).parents[1] / "rooms" / "kelpfield.yaml")
EQUAL = dict.fromkeys(PRIORS, 1.0)


def house(room: Room) -> Session:
    """A session with its house patch in the bay."""
    session = Session(room)
    for line in session.house_lines():
        assert session.enter(line).ok
    return session


def typed(session: Session, line: str) -> dict[str, Any]:
    """The JSON of a line that must be taken."""
    (played,) = play(session, [line])
    assert played.outcome.ok, f"{line}: {played.outcome.error}"
    found = as_json(played)
    assert json.loads(json_line(found)) == found
    return found


# What a place's signal must pass, against the slow model


def scattered(rng: Random, room: Room) -> Session:
    """A room with some cords in it, of two plugs or three, and loose ends."""
    session = Session(room)
    state = session.patch.state
    free = list(range(len(room.jacks)))
    rng.shuffle(free)
    for number in range(1, rng.randint(1, 6)):
        plugs = tuple(free.pop() for _ in range(rng.choice((1, 2, 2, 2, 3))))
        state.edit(Edit("cords", number, Cord(plugs, max(2, len(plugs)), None)))
        for jack in plugs:
            state.edit(Edit("plugs", jack, number))
    for port in room.ports:
        if port.kind.is_mic_line and rng.random() < 0.5:
            state.edit(Edit("mics", port.index, rng.choice(MICS)))
    return session


def places(session: Session) -> list[Target]:
    """Every jack, and every input that comes up at one."""
    room = session.room
    jacks = [Target(JACK, jack.address, (jack.index,)) for jack in room.jacks]
    ports = [p for p in room.ports if not p.kind.is_output and room.jacks_of_port[p.index]]
    return jacks + [Target(PORT, p.name, room.jacks_of_port[p.index], p) for p in ports]


def is_heard(heard: Heard, target: Target) -> bool:
    return heard.inside(target.port.index) if target.port is not None else heard.at_jack(target.jacks[0])


@pytest.mark.parametrize("seed", range(40))
def test_what_is_passed_is_what_silences_a_place(seed: int) -> None:
    """Broken, each thing that is passed makes the place silent, and nothing else that can break does."""
    rng = Random(seed)
    room = random_room(rng, points=5)
    while has_twin_wires(room):
        room = random_room(rng, points=5)
    session = scattered(rng, room)
    state = session.patch.state
    compared = 0
    for source in [p for p in room.ports if p.kind.is_output and begins(room, p.index)]:
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
    assert compared or seed  # most rooms give thousands


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
    lifted, plugged = ([jack], []) if jack in state.plugs and kind.startswith("listen") else ([], [jack])
    return Heard(state, source, broken, plugged, lifted).at_jack(jack)


def search(session: Session, source: str, place: str, broken: set[str]) -> tuple[dict[str, Any], int, int]:
    """Follow each proposed test to the end: the last answer, the number of tests, how many things were suspected first."""
    found = typed(session, f"dead {place} from {source}")
    first, count = len(found["suspects"]), 0
    while found["next_test"] is not None and not found["found"]:
        test = found["next_test"]
        if test["line"]:
            typed(session, test["line"])
        works = answer_at(session, source, broken, test["at"], test["kind"])
        found = typed(session, f"{'good' if works else 'dead'} {test['at']}")
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
  moving coil: {{ohms: 200}}
  old moving coil: {{ohms: 250}}
bays:
  - bay: Mic bay
    points: 1
    rows: {{A: {{1: Live}}, B: {{1: Pre in}}}}
    normals: {{1: full}}
  - bay: Line bay
    points: {boxes + 1}
    rows:
      C: {{1: Pre out, 2-{boxes + 1}: "Box {{1-{boxes}}} out"}}
      D: {{1-{boxes}: "Box {{1-{boxes}}} in", {boxes + 1}: Tape}}
"""
    text += "    normals:\n" + "\n".join(normals) + "\n" if normals else ""
    text += "house patch:\n" + "\n".join(cords) + "\n" if cords else ""
    return parse_room(text)


@pytest.mark.parametrize("seed", range(30))
def test_seeded_fault_in_a_random_chain(seed: int) -> None:
    rng = Random(seed)
    room = replace(chain_room(rng, rng.randint(2, 14)), priors=EQUAL)
    session = house(room)
    way = passed(session.patch.state, room.port_named["Live"].index, read_target("tape", session.names))
    for culprit in rng.sample(way, 4):
        session = house(room)
        found, count, first = search(session, "Live", "tape", {culprit.name})
        assert first == len(way)
        assert culprit.name in [suspect["element"] for suspect in found["suspects"]]
        assert len(found["suspects"]) <= 2, found[
            "suspects"
        ]  # gear and the lead behind it, or a full normal's two contacts
        left = math.log2(len(way) / len(found["suspects"]))
        assert left - 1 <= count <= math.log2(len(way)) + 1, (count, len(way))


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
    broken = {"cord 1", "Cue 2 L"}
    typed(session, "dead phones 2 l")
    typed(session, "good cue 1 l")
    found, _, _ = search(session, "Mix L send", "mix l return", broken)
    assert found["faults"] == 2
    assert broken <= {suspect["element"] for suspect in found["suspects"]}
