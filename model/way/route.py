"""`route X > Y [via Z, W]`: which cords take a signal there, and through what on its way."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import product

from model.bay.actions import Action
from model.bay.refusals import Ambiguous, Malformed, NotNow
from model.entry.answer import Answer
from model.entry.draft import Draft
from model.entry.entry import Asks
from model.entry.guarded import GUARDED
from model.language.names import IN, OUT, Names
from model.language.targets import (
    CORD,
    GEAR,
    MULT,
    PORT,
    TIE,
    Target,
    contacts_of,
    jack_words,
    read_ends,
    read_gear,
    read_target,
)
from model.room.wiring import Port, Room
from model.text.listing import list_words
from model.text.suggest import listed
from model.way.joints import path_to, steps_of, walk
from model.way.proposals import Proposal, answer, best_of
from model.way.wayfinder import MAX_CORDS, Stretch, Wayfinder

MAX_VIA = 6
USAGE = "route pre 4 out > tape 4 in via squash l"


@dataclass(frozen=True, slots=True)
class Passing:
    """Something on the way: where the signal goes into it and where it comes out, as contacts."""

    enter: tuple[int, ...]
    leave: tuple[int, ...]
    only: bool  # these jacks and no other that they are joined to


def passings(target: Target, room: Room, names: Names) -> list[Passing]:
    """The ways to pass something: gear and ports in one way, a tie line in either direction, a mult from any jack to any.

    Raises a refusal where a signal cannot pass it, or where it is not clear from which input to which output.
    """
    if target.kind == TIE:
        a, b = target.contacts
        return [Passing((a,), (b,), True), Passing((b,), (a,), True)]
    if target.kind == MULT:
        return [Passing(target.contacts, target.contacts, True)]
    if target.kind not in (GEAR, PORT):
        raise NotNow(f"a signal passes gear, a tie line or a mult on its way, and {target.name} is none", target.name)
    if target.port is None:
        assert target.gear is not None
        ports = room.gear[target.gear].ports
        ways = [(p, out) for p in ports if not room.ports[p].kind.is_output for out in room.carried(p)]
    elif target.port.kind.is_output:
        ways = [(into, target.port.index) for into in room.carried_from(target.port.index)]
    else:
        ways = [(target.port.index, out) for out in room.carried(target.port.index)]
    if not ways:
        raise NotNow(f"{target.name} carries no signal from an input to an output", target.name)
    if len(ways) > 1:
        named = sorted({room.ports[port].name for way in ways for port in way if room.ports[port] is not target.port})
        raise Ambiguous(
            f"there are {len(ways)} ways through {target.name}: name one of {listed(named, 'or')}", target.name, named
        )
    into, out = (_at_jacks(names, room.ports[port]) for port in ways[0])
    return [Passing(into, out, False)]


def _at_jacks(names: Names, port: Port) -> tuple[int, ...]:
    contacts = tuple(contacts_of(names.state, port.index))
    if not contacts:
        raise NotNow(f"{port.name} comes up at no jack of the bay", port.name)
    return contacts


def find_ways(
    finder: Wayfinder, start: Sequence[int], end: Sequence[int], over: Sequence[Sequence[Passing]]
) -> list[Proposal]:
    """Up to three proposals from some contacts to others, passing each of ``over`` in its order, best first."""
    found: list[Proposal] = []
    for passed in product(*over):
        stretches = []
        leaving: tuple[tuple[int, ...], tuple[int, ...] | None] = (tuple(start), None)
        for passing in passed:
            jacks = tuple(contact >> 1 for contact in passing.enter) if passing.only else None
            stretches.append(Stretch(leaving[0], passing.enter, leaving[1], jacks))
            leaving = passing.leave, tuple(contact >> 1 for contact in passing.leave) if passing.only else None
        stretches.append(Stretch(leaving[0], tuple(end), leaving[1]))
        found += along(finder, stretches)
    return best_of(found, finder.room)


def along(finder: Wayfinder, stretches: Sequence[Stretch]) -> list[Proposal]:
    """Cords for one stretch after another, the best few carried on from each to the next."""
    if len(stretches) == 1:
        return finder.find(stretches[0])
    begun: list[tuple[tuple[Action, ...], int]] = [((), 0)]
    proposals: list[Proposal] = []
    for number, stretch in enumerate(stretches, start=1):
        longer: list[tuple[tuple[Action, ...], int]] = []
        for actions, reach in begun:
            after = finder.after(actions)
            if after.joined(stretch):
                longer.append((actions, reach))
            else:
                longer += [(actions + more.actions, reach + more.reach) for more in after.find(stretch)]
        played = [finder.play(actions, stretches[:number], reach) for actions, reach in longer]
        proposals = best_of((p for p in played if p is not None), finder.room)
        begun = [(proposal.actions, proposal.reach) for proposal in proposals]
    return proposals


@dataclass(frozen=True, slots=True)
class Route(Asks):
    """Which cords take a signal from one place to another."""

    source: str
    load: str
    via: tuple[str, ...] = ()

    def __str__(self) -> str:
        via = f" via {', '.join(self.via)}" if self.via else ""
        return f"route {self.source} > {self.load}{via}"

    def run(self, draft: Draft) -> Answer:
        """Find up to three ways; `use` does one."""
        names, room, guarded = draft.names, draft.room, draft.get(GUARDED)
        source, load = read_target(self.source, names, OUT), read_target(self.load, names, IN)
        over = [passings(read_gear(text, names), room, names) for text in self.via]
        finder = Wayfinder(draft.patch, draft.places, guarded)
        if not over and finder.joined(Stretch(source.contacts, load.contacts)):
            return answer(
                draft, (), [f"{self.source} is joined to {self.load} already: {self._way(draft, source, load)}"]
            )
        proposals = find_ways(finder, source.contacts, load.contacts, over)
        return answer(draft, proposals, () if proposals else self._why_none(draft, finder, source, load, over))

    def _way(self, draft: Draft, source: Target, load: Target) -> str:
        state = draft.patch.state
        reached = walk(state, source.contacts)
        there = next(contact for contact in load.contacts if contact in reached)
        steps = steps_of(state, path_to(reached, there))
        return "; ".join(step.words(draft.room) for step in steps) or "they share a jack"

    def _why_none(
        self, draft: Draft, finder: Wayfinder, source: Target, load: Target, over: Sequence[Sequence[Passing]]
    ) -> list[str]:
        """Why no cords lead there."""
        room, plugs = draft.room, draft.patch.state.plugs
        words = []
        for target in (source, load):
            if not finder.ends_at(target.contacts):
                held = [
                    f"{jack_words(room, jack)} holds a plug of cord {plugs[jack]}"
                    for jack in target.jacks
                    if jack in plugs
                ]
                words.append(f"no cord can go to {target.name}: {list_words(held)}")
        guarded = draft.get(GUARDED)
        if not words and guarded:
            anyhow = find_ways(Wayfinder(draft.patch, draft.places), source.contacts, load.contacts, over)
            if anyhow:
                lost = sorted({pair for proposal in anyhow for pair in proposal.change.broken if pair in guarded})
                words.append(
                    f"every way found would break what is guarded: {list_words([f'{a} > {b}' for a, b in lost])}"
                )
        if not words and finder.danger is not None:
            words.append(f"every way found would be a danger: {finder.danger.text}")
        if not words:
            places = sorted(
                {draft.places.place_of(jack) or "no place stated" for t in (source, load) for jack in t.jacks}
            )
            words.append(
                f"no cords were found from {source.name} to {load.name}"
                + (
                    f": between {list_words(places)} no free tie lines lead within {MAX_CORDS} cords"
                    if len(places) > 1
                    else ""
                )
            )
        return words


_VIA = re.compile(r"\s+via\s+", re.IGNORECASE)


def read_route(text: str, names: Names) -> Route:
    """'X > Y', 'X > Y via Z, W'."""
    ends, *rest = _VIA.split(text.rstrip())
    if len(rest) > 1:
        raise Malformed(f"say 'via' once, with commas between: {USAGE}, echo", text)
    first, last = read_ends(ends, USAGE)
    source, load = _end(first, names, OUT), _end(last, names, IN)
    if (
        source.port is not None
        and load.port is not None
        and load.port.kind.is_output
        and not source.port.kind.is_output
    ):
        source, load = load, source  # either way round, as a cord is
    if set(source.jacks) & set(load.jacks):
        raise NotNow(f"{source.name} and {load.name} are at one jack", text)
    via = [part.strip() for part in rest[0].split(",")] if rest else []
    if "" in via:
        raise Malformed(f"a name is missing after 'via': {USAGE}", text)
    if len(via) > MAX_VIA:
        raise Malformed(f"at most {MAX_VIA} things can be on the way", text)
    passed = [read_gear(name, names) for name in via]
    for target in passed:
        passings(target, names.room, names)
    return Route(source.name, load.name, tuple(target.name for target in passed))


def _end(text: str, names: Names, way: str) -> Target:
    target = read_target(text, names, way)
    if target.kind == CORD:
        raise Malformed("a route runs from a jack or a name to another, not from a cord", text)
    if not target.jacks:
        raise NotNow(f"{target.name} comes up at no jack of the bay", text)
    return target
