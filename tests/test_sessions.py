"""Random sessions in random rooms, against the slow model whose nets come from scipy.

Each step's consequences are compared with what differs between the slow model's before and after; each push is popped and
pushed again on the way. `BAYHAND_SESSIONS` gives the number of sessions, for longer runs by hand.
"""

from __future__ import annotations

import copy
import os
from random import Random
from typing import Any

from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, rule

from model.bay.actions import Action, Clear, Move, Phantom, Plug, PlugLooseEnd, Pull, PullAll, Put, Unplug
from model.bay.refusals import Refusal
from model.bay.state import State, reversed_difference
from model.commands.reading import Read
from model.entry.entry import AtBay
from model.live.change import Change
from model.live.patch import Patch
from model.session import Session
from tests.random_rooms import random_room
from tests.slow_model import SlowBay

SLOW_RULES = {"double-load", "shared-phantom", "stray-phantom", "no-phantom", "joined-outputs", "digital-split"}
choice = st.integers(0, 10**6)


class BaySession(RuleBasedStateMachine):
    """The engine and the slow model side by side."""

    @initialize(seed=st.integers(0, 2**32))
    def open_room(self, seed: int) -> None:
        self.room = random_room(Random(seed))
        self.session = Session(self.room)
        self.slow = SlowBay(self.room)
        self.done: list[SlowBay] = []
        self.undone: list[SlowBay] = []
        rest = self.patch.at_rest
        assert set(rest.made) == self.slow.connections()
        assert {(w.rule, w.ports) for w in rest.raised if w.rule in SLOW_RULES} == self.slow.rules()

    @property
    def patch(self) -> Patch:
        """The live patch."""
        return self.session.patch

    def jack(self, number: int) -> str:
        return self.room.jacks[number % len(self.room.jacks)].address

    def some_held(self, number: int) -> str:
        held = sorted(self.slow.held())
        return held[number % len(held)] if held else self.jack(number)

    def some_cord(self, number: int) -> int:
        numbers = sorted(self.slow.cords)
        return numbers[number % len(numbers)] if numbers else 1 + number % 3

    def act(self, action: Action) -> None:
        before = copy.deepcopy((self.patch.state.plugs, self.patch.state.cords, self.patch.state.switches))
        standing = dict(self.patch.standing)
        if not self.slow.possible(action):
            try:
                self.patch.do(action)
            except Refusal:
                assert (self.patch.state.plugs, self.patch.state.cords, self.patch.state.switches) == before
                assert self.patch.standing == standing
                return
            raise AssertionError(f"{action} is not possible and was taken")
        was = copy.deepcopy(self.slow)
        self.slow.do(action)
        previewed = self.patch.do(action).change
        assert (self.patch.state.plugs, self.patch.state.cords, self.patch.state.switches) == before
        assert self.patch.standing == standing
        outcome = self.session.enter(str(action))  # the action writes itself, and is read back
        assert outcome.read == Read(AtBay(action)), outcome.error
        assert outcome.change == previewed
        self.done.append(was)
        self.undone.clear()
        self.compare(was, outcome.change)

    def compare(self, was: SlowBay, change: Change) -> None:
        old, new = was.connections(), self.slow.connections()
        assert list(change.made) == sorted(new - old)
        assert list(change.broken) == sorted(old - new)
        for name, groups, side in (("split", change.split, 0), ("joined", change.joined, 1)):
            told: dict[str, Any] = dict(groups)
            for port in {pair[side] for pair in new}:
                others = tuple(sorted(pair[1 - side] for pair in new if pair[side] == port))
                others_before = tuple(sorted(pair[1 - side] for pair in old if pair[side] == port))
                assert told.get(port) == (others if len(others) > 1 and others != others_before else None), name
        for rules, warnings in (
            (self.slow.rules() - was.rules(), change.raised),
            (was.rules() - self.slow.rules(), change.cleared),
        ):
            assert {(w.rule, w.ports) for w in warnings if w.rule in SLOW_RULES} == rules
        raised = {w.jacks[0] for w in change.raised if w.rule == "loose-end"}
        assert raised == self.slow.loose() - was.loose()

    @rule(a=choice, b=choice, tag=st.none() | st.integers(1, 9))
    def plug(self, a: int, b: int, tag: int | None) -> None:
        self.act(Plug((self.jack(a), self.jack(b)), tag))

    @rule(jacks=st.lists(choice, min_size=3, max_size=4))
    def plug_several(self, jacks: list[int]) -> None:
        self.act(Plug(tuple(map(self.jack, jacks))))

    @rule(a=choice)
    def plug_one_end(self, a: int) -> None:
        self.act(Plug((self.jack(a),)))

    @rule(cord=choice, jack=choice)
    def plug_loose_end(self, cord: int, jack: int) -> None:
        self.act(PlugLooseEnd(self.some_cord(cord), self.jack(jack)))

    @rule(a=choice)
    def unplug(self, a: int) -> None:
        self.act(Unplug(self.some_held(a)))

    @rule(a=choice)
    def pull(self, a: int) -> None:
        self.act(Pull(self.some_cord(a)))

    @rule(sure=st.integers(0, 9))
    def pull_all(self, sure: int) -> None:
        if sure == 0:
            self.act(PullAll())

    @rule(a=choice, b=choice)
    def move(self, a: int, b: int) -> None:
        self.act(Move(self.some_held(a), self.jack(b)))

    @rule(a=choice, on=st.booleans())
    def phantom(self, a: int, on: bool) -> None:
        supplied = [p.name for p in self.room.ports if p.supply is not None]
        if supplied:
            self.act(Phantom(supplied[a % len(supplied)], on))

    @rule(a=choice, mic=st.integers(0, 2))
    def put(self, a: int, mic: int) -> None:
        lines = [p.name for p in self.room.ports if p.kind.is_mic_line]
        if lines:
            self.act(Put(self.room.mics[mic].name, lines[a % len(lines)]))

    @rule(a=choice)
    def clear(self, a: int) -> None:
        lines = sorted(self.slow.mics)
        if lines:
            self.act(Clear(lines[a % len(lines)]))

    @rule()
    def undo(self) -> None:
        outcome = self.session.enter("undo")
        assert outcome.ok == bool(self.done)
        if self.done:
            was, self.slow = self.slow, self.done.pop()
            self.undone.append(was)
            self.compare(was, outcome.change)

    @rule()
    def redo(self) -> None:
        outcome = self.session.enter("redo")
        assert outcome.ok == bool(self.undone)
        if self.undone:
            was, self.slow = self.slow, self.undone.pop()
            self.done.append(was)
            self.compare(was, outcome.change)

    @invariant()
    def standing_is_what_stands(self) -> None:
        if not hasattr(self, "session"):
            return
        stands = {w.identity: w for w in self.patch.all_that_stands().raised}
        assert {k: v for k, v in self.patch.standing.items() if v.rule != "short-of-cords"} == stands
        owned = sum((self.room.cords or {}).values())
        short = self.room.cords is not None and len(self.slow.cords) > owned
        assert short == any(w.rule == "short-of-cords" for w in self.patch.standing.values())

    @invariant()
    def all_the_way_back_and_again(self) -> None:
        """All steps back and on again: the states and what stands are the same, found step by step or all at once."""
        patch, standing = self.patch, self.patch.standing
        for step in reversed(self.session.now.taken):
            patch = patch.after(reversed_difference(step.difference)).patch
        assert patch.state == State(self.room)
        assert patch.standing == {w.identity: w for w in patch.at_rest.raised}
        quick = patch
        for step in self.session.now.taken:
            patch, quick = patch.after(step.difference).patch, quick.moved(step.difference)
        assert patch.state == quick.state == self.patch.state
        assert patch.state.lowest_free_number() == self.patch.state.lowest_free_number()
        assert patch.standing == quick.standing == standing


BaySession.TestCase.settings = settings(
    max_examples=int(os.environ.get("BAYHAND_SESSIONS", "40")),
    stateful_step_count=50,
    deadline=None,
    suppress_health_check=list(HealthCheck),
)
TestBaySession = BaySession.TestCase
