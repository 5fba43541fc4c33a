"""No fix harms: whatever the program offers is carried out, and no danger stands after it or between two of its actions.

The judge types each action by itself, finds the warnings of every moment in the whole room from scratch, and takes no
consequence from the engine. Rooms and states are random; so are the states of the shipped rooms.
About 6 s in all; BAYHAND_HARMS says by hand how many random rooms are tried.
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from random import Random
from typing import Any

import pytest

from model.bay.state import State
from model.live.look import look_at_all
from model.room.wiring import Room
from model.session import Outcome, Session
from model.signal.warning import DANGER, NOTE, Alert
from model.way.why import RULES
from tests.random_rooms import random_room
from tests.sessions import shipped_room

SEEDS = range(int(os.environ.get("BAYHAND_HARMS", 12)))
ROOMS = ("attic", "kelpfield", "orrery")
MOST_FIXES = 80  # in a chain: more than any state below has plugs and warnings

Found = dict[tuple[Any, ...], Alert]


def found_in(state: State) -> Found:
    """All warnings of nets in a state, found from scratch."""
    return dict(look_at_all(state).warnings())


def dangers_in(found: Found) -> set[tuple[Any, ...]]:
    """Which of them are dangers."""
    return {identity for identity, warning in found.items() if warning.severity == DANGER}


def busy(room: Room, rng: Random, entries: int, near: int = 0) -> Session:
    """A session after so many random entries that are possible: cords, loose ends, microphones, phantom.

    ``near``: all of it is about so many jacks in a row, where the room is large.
    """
    session = Session(room)
    first = rng.randrange(max(1, len(room.jacks) - near)) if near else 0
    stage = room.jacks[first : first + near] if near else room.jacks
    addresses = [jack.address for jack in stage]
    ports = [room.ports[p] for p in sorted({jack.port for jack in stage if jack.port >= 0})] or list(room.ports)
    lines = [p.name for p in ports if p.kind.is_mic_line]
    supplied = [p.name for p in ports if p.supply is not None]
    for _ in range(entries):
        chance = rng.random()
        if chance < 0.2 and lines:
            session.enter(f"put {rng.choice(room.mics).name} on {rng.choice(lines)}")
        elif chance < 0.4 and supplied:
            session.enter(f"phantom {rng.choice(supplied)} {rng.choice(('on', 'on', 'off'))}")
        elif chance < 0.45:
            session.enter(f"plug {rng.choice(addresses)}")
        else:
            session.enter(" > ".join(rng.sample(addresses, 2)))
    return session


def copy_of(session: Session) -> Session:
    """A session in which something can be tried."""
    copy = Session(session.room, at_rest={})
    copy.now, copy.proposals = session.now, session.proposals
    return copy


def carried_out(session: Session, entry: str) -> Iterator[State]:
    """The states that an entry leads through, each of its actions typed by itself."""
    outcome = copy_of(session).preview(entry)
    assert outcome.ok, f"{entry}: {outcome.error}"
    step_by_step = copy_of(session)
    for action in outcome.canonical.split("; "):
        done = step_by_step.enter(action)
        assert done.ok, f"{action} of {entry}: {done.error}"
        yield step_by_step.patch.state


def words(outcome: Outcome) -> str:
    """All words of an answer."""
    return "\n".join(told.words for told in outcome.answer.said)


def harm_of(session: Session, asked: Outcome, before: Found) -> Iterator[str]:
    """What an answer's offers would raise: any danger, and any warning of which the answer does not speak."""
    said = words(asked)
    for offer in asked.answer.offers:
        would = copy_of(session).preview(offer)
        if would.ok and would.read is not None and would.read.entry.acts and not offer.startswith("swap"):
            *on_the_way, last = [found_in(state) for state in carried_out(session, offer)]
            stood = dangers_in(before)
            for found in (*on_the_way, last):
                yield from (f"{asked.typed}: {offer}: {found[d].text}" for d in dangers_in(found) - stood)
            for identity in last.keys() - before.keys():
                if last[identity].severity != NOTE and last[identity].text not in said:
                    yield f"{asked.typed}: {offer}: not said: {last[identity].text}"


def questions(session: Session, rng: Random, most: int, near: Room | None = None) -> list[str]:
    """Every rule that stands, and some of everything else that is answered with offers."""
    room, state = session.room, session.patch.state
    rules = sorted({warning.rule for warning in session.patch.standing.values()} & RULES)
    used = [room.jacks[jack].address for jack in sorted(state.plugs)] or [room.jacks[0].address]
    ports = {room.port_at[jack] for jack in state.plugs} | set(state.mics)
    names = [room.ports[port].name for port in sorted(ports) if port >= 0] or [room.ports[0].name]
    free = [jack.address for jack in room.jacks if jack.index not in state.plugs]
    asked = [f"why {rng.choice((*used, *names))}" for _ in range(most)]
    asked += [f"around {rng.choice(names)}" for _ in range(most)]
    asked += [f"route {rng.choice((*used, *free))} > {rng.choice((*used, *free))}" for _ in range(most)]
    return [f"why {rule}" for rule in rules] + asked


def harms(session: Session, rng: Random, most: int) -> list[str]:
    """What the program's offers in a state would do that they must not."""
    before = found_in(session.patch.state)
    told: list[str] = []
    for question in questions(session, rng, most):
        asked = session.enter(question)
        told += harm_of(session, asked, before)
    return told


@pytest.mark.parametrize("seed", SEEDS)
def test_no_offer_raises_a_danger(seed: int) -> None:
    rng = Random(seed)
    assert harms(busy(random_room(rng), rng, rng.randrange(4, 20)), rng, 3) == []


@pytest.mark.parametrize("name", ROOMS)
def test_no_offer_raises_a_danger_in_a_shipped_room(name: str) -> None:
    rng = Random(name)
    room = shipped_room(name)
    most = 1 if name == "orrery" else 2
    assert harms(busy(room, rng, 14, near=48), rng, most) == []


# Chains


def chain(session: Session) -> list[str]:
    """What is typed where each fix that `why` offers for a standing warning is taken, one after another, to the end."""
    typed: list[str] = []
    seen = [session.patch.state]
    while len(typed) < MOST_FIXES:
        offers: tuple[str, ...] = ()
        for rule in sorted({warning.rule for warning in session.patch.standing.values()} & RULES):
            offers = session.enter(f"why {rule}").answer.offers
            if offers:
                break
        if not offers:
            return typed
        for action in offers[0].split("; "):
            assert session.enter(action).ok, action
        typed.append(offers[0])
        assert not any(session.patch.state == state for state in seen), f"back to where it was: {typed}"
        seen.append(session.patch.state)
    raise AssertionError(f"it does not end: {typed}")


@pytest.mark.parametrize("seed", SEEDS)
def test_a_chain_of_fixes_ends(seed: int) -> None:
    rng = Random(1000 + seed)
    session = busy(random_room(rng), rng, rng.randrange(4, 20))
    dangers = len(dangers_in(found_in(session.patch.state)))
    chain(session)
    assert len(dangers_in(found_in(session.patch.state))) <= dangers


# Work lists


def list_harms(session: Session) -> list[str]:
    """Dangers and warnings that a step of the work list under way raises, and of which its answer did not speak before."""
    told: list[str] = []
    asked = session.enter("worklist")
    said = words(asked)
    while asked.answer.offers and asked.answer.offers[0].startswith("done"):
        before = found_in(session.patch.state)
        stepped = session.enter(asked.answer.offers[0])
        assert stepped.ok, stepped.error
        after = found_in(session.patch.state)
        for identity, warning in after.items():
            new = identity not in before or (warning.severity == DANGER != before[identity].severity)
            if new and warning.severity != NOTE:
                if warning.text not in said:
                    told.append(f"{stepped.typed}: not said in the list: {warning.text}")
                if warning.text not in words(asked):
                    told.append(f"{stepped.typed}: not said before the step: {warning.text}")
        asked = stepped
    return told


@pytest.mark.parametrize("seed", SEEDS)
def test_a_work_list_says_first_what_its_steps_raise(seed: int) -> None:
    rng = Random(2000 + seed)
    room = random_room(rng)
    goal = busy(room, rng, rng.randrange(4, 16))
    goal.enter("save goal")
    session = busy(room, rng, rng.randrange(4, 16))
    shelf = {**session.now.parts, **goal.now.parts}
    session.now = type(session.now)(session.patch, parts=shelf)
    assert session.enter("recall goal").ok
    assert list_harms(session) == []


@pytest.mark.parametrize("name", ROOMS[:2])
def test_a_reset_says_first_what_its_steps_raise(name: str) -> None:
    session = busy(shipped_room(name), Random(name), 14, near=48)
    assert session.enter("reset").ok
    assert list_harms(session) == []


def test_a_switch_that_a_ribbon_shares_is_not_offered() -> None:
    """Brindles 9 to 12 share a switch: phantom for the condenser on the one would reach the ribbon on the other."""
    session = Session(shipped_room("kelpfield"))
    for entry in ("put condenser on parlour 1", "put ribbon on parlour 2"):
        assert session.enter(entry).ok
    asked = session.enter("why parlour 1")
    assert asked.answer.offers == ()
    assert "But not 'phantom Brindle 9 in on', which would be a danger: Phantom from Brindle 10 in puts" in words(asked)
    assert session.enter("clear parlour 2").ok
    assert session.enter("why parlour 1").answer.offers == ("phantom Brindle 9 in on",)
