"""The live patch: a state of the bay with the warnings that stand, as a value; and what an action would make of it.

An action leads from one patch to another. What it changed is the difference between two looks at the nets that it touches:
cost follows these nets, and not the room.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from functools import cached_property
from typing import NamedTuple

from model.bay.actions import Action
from model.bay.edits import moments, whole
from model.bay.state import Difference, State
from model.live.change import Change, Connection, Joined, Split
from model.live.look import Identity, Look, Standing, look_at_all, standing_at_rest
from model.room.wiring import Room, line_contact, normal_contact
from model.signal import rules
from model.signal.cautions import cautions
from model.signal.circuit import Circuit
from model.signal.warning import DANGER, Alert, worst_first


class Touched(NamedTuple):
    """What a difference between two states is about."""

    jacks: frozenset[int]  # that plugs enter or leave
    nodes: tuple[
        int, ...
    ]  # contacts whose nets it can change; between them they have all ends of what it joins or parts
    cords: tuple[int, ...]  # numbers of the cords that it handles
    ports: frozenset[int]  # whose supply is switched, or whose microphone changes


class Done(NamedTuple):
    """What an action led to: the patch after it, what changed, and the difference of the two states."""

    patch: Patch
    change: Change
    difference: Difference


class Patch:
    """A room with its cords, switches and microphones, and the warnings that stand. It never changes."""

    def __init__(self, state: State, at_rest: Standing, unlike_rest: Mapping[Identity, Alert | None] | None) -> None:
        """``at_rest``: the warnings of the room at rest. ``unlike_rest``: those that stand otherwise now (None: gone).

        Where the latter is not known it is found when it is asked for.
        """
        self.state = state
        self._at_rest = at_rest
        self._known = unlike_rest

    @classmethod
    def of_room(cls, room: Room, at_rest: Standing | None = None) -> Patch:
        """A room before any cord. ``at_rest``: the warnings that stand in it, where they were found before."""
        return cls(State(room), standing_at_rest(room) if at_rest is None else at_rest, {})

    @property
    def room(self) -> Room:
        """The room."""
        return self.state.room

    # From patch to patch

    def do(self, action: Action) -> Done:
        """What an action leads to. Raises a :class:`~model.bay.refusals.Refusal` where it is not possible now."""
        return self._through(moments(self.state, action))

    def after(self, difference: Difference) -> Done:
        """What a difference leads to."""
        return self._through([difference])

    def moved(self, difference: Difference) -> Patch:
        """The patch that a difference leads to, whose consequences nobody reads now."""
        return Patch(self.state.after(difference), self._at_rest, None)

    def _through(self, on_the_way: list[Difference]) -> Done:
        difference = on_the_way[0] if len(on_the_way) == 1 else whole(on_the_way)
        touched = self._touched(difference)
        state = self.state.after(difference)
        before, after = Look(self.state, touched.nodes), Look(state, touched.nodes)
        warned = self._warnings(before, touched)
        warns = self._warnings(after, touched, before.knotted)
        if not after.knotted <= before.knotted:
            # a knot took in loops that pass none of the nets: they stood before, too
            warned = self._warnings(before, touched, after.knotted)
        unlike_rest = None
        if self._known is not None:
            unlike_rest = {**self._known, **dict.fromkeys(warned), **warns}
        change = difference_of_looks(before, after, warned, warns)
        cautioned, passing = self._on_the_way(on_the_way, before, after, touched, warned, warns)
        change = change._replace(
            cautions=cautioned, passing=passing, jacks=tuple(sorted(touched.jacks)), cords=touched.cords
        )
        return Done(Patch(state, self._at_rest, unlike_rest), change, difference)

    def _on_the_way(
        self,
        on_the_way: list[Difference],
        before: Look,
        after: Look,
        touched: Touched,
        warned: Standing,
        warns: Standing,
    ) -> tuple[tuple[Alert, ...], tuple[Alert, ...]]:
        """The cautions of every moment in the hand's order, and the dangers that stand only between two moments."""
        if len(on_the_way) == 1:
            return cautions(before.circuits, after.circuits, touched.jacks, touched.ports), ()
        cautioned: Standing = {}
        passing: Standing = {}
        state = self.state
        for number, difference in enumerate(on_the_way, start=1):
            part = self._touched(difference)
            then = state.after(difference)
            first, last = Look(state, part.nodes), Look(then, part.nodes)
            for caution in cautions(first.circuits, last.circuits, part.jacks, part.ports):
                cautioned.setdefault(caution.identity, caution)
            if number < len(on_the_way):
                for identity, warning in last.warnings().items():
                    stands = any(found[identity].severity == DANGER for found in (warned, warns) if identity in found)
                    if warning.severity == DANGER and not stands:
                        passing.setdefault(identity, warning)
            state = then
        return tuple(cautioned.values()), tuple(passing.values())

    def _touched(self, difference: Difference) -> Touched:
        room = self.room
        jacks: set[int] = set()
        nodes: list[int] = []
        cords: list[int] = []
        ports: set[int] = set()
        for table, key, before, after in difference:
            if table == "plugs":
                jacks.add(key)
                nodes += (2 * key, 2 * key + 1)
            elif table == "cords":
                cords.append(key)
                nodes += [2 * jack for cord in (before, after) if cord is not None for jack in cord.plugs]
            elif table == "switches":
                ports.update(room.ports_of_switch[key])
                nodes += [2 * jack for port in room.ports_of_switch[key] for jack in room.jacks_of_port[port]]
            else:
                ports.add(key)
                nodes += [2 * jack for jack in room.jacks_of_port[key]]
        return Touched(frozenset(jacks), tuple(nodes), tuple(sorted(cords)), frozenset(ports))

    # What stands

    @cached_property
    def _unlike_rest(self) -> Mapping[Identity, Alert | None]:
        return self._find_unlike_rest() if self._known is None else self._known

    @cached_property
    def standing(self) -> Standing:
        """All warnings whose cause stands."""
        standing: dict[Identity, Alert | None] = {**self._at_rest, **self._unlike_rest}
        return {identity: warning for identity, warning in standing.items() if warning is not None}

    def standing_warnings(self) -> list[Alert]:
        """All warnings whose cause stands, worst first."""
        return sorted(self.standing.values(), key=worst_first)

    def stands(self, identity: Identity) -> bool:
        """Whether a warning stands."""
        unlike = self._unlike_rest
        return unlike[identity] is not None if identity in unlike else identity in self._at_rest

    def _find_unlike_rest(self) -> dict[Identity, Alert | None]:
        """Only nets with a plug, a supply that is on or a microphone differ from the room at rest."""
        state, rest = self.state, State(self.room)
        nodes = [contact(jack) for jack in state.plugs for contact in (line_contact, normal_contact)]
        ports = {port for switch in state.switches for port in self.room.ports_of_switch[switch]}.union(state.mics)
        nodes += [line_contact(jack) for port in ports for jack in self.room.jacks_of_port[port]]
        at_rest, now = Look(rest, nodes), Look(state, nodes)
        at_rest.warnings()
        stands = now.warnings(at_rest.knotted)
        return {**dict.fromkeys(at_rest.warnings(now.knotted)), **stands, **_short_of_cords(state)}

    def _warnings(self, look: Look, touched: Touched, knotted: Iterable[int] = ()) -> Standing:
        """The warnings of some nets, and those of the cords, where an action handled one."""
        found = look.warnings(knotted)
        return found | _short_of_cords(look.state) if touched.cords else found

    # Questions

    @cached_property
    def at_rest(self) -> Change:
        """All that stands in the room before any cord."""
        return Patch(State(self.room), self._at_rest, {}).all_that_stands()

    def all_that_stands(self) -> Change:
        """All connections, splits and warnings of the room as it is now, as if they had just been made.

        Cost follows the room. Warnings about cords' number are not in it: they are about no net.
        """
        look = look_at_all(self.state)
        return difference_of_looks(Look(self.state, ()), look, {}, look.warnings())

    def circuit_at(self, node: int) -> Circuit:
        """The circuit of the net that a contact is on."""
        return Circuit(self.state, self.state.nodes_joined_to(node))


def _short_of_cords(state: State) -> Standing:
    if state.room.cords is None:
        return {}
    short = rules.short_of_cords(len(state.cords), sum(state.room.cords.values()))
    return {} if short is None else {short.identity: short}


def difference_of_looks(before: Look, after: Look, warned: Standing, warns: Standing) -> Change:
    """What differs between two looks at the same contacts."""
    loads_before, sources_before = before.feeds()
    loads_after, sources_after = after.feeds()
    old = {(source, load) for source, loads in loads_before.items() for load in loads}
    new = {(source, load) for source, loads in loads_after.items() for load in loads}
    made: list[Connection] = sorted(new - old)
    broken: list[Connection] = sorted(old - new)
    split = [Split(s, x) for s, x in loads_after.items() if len(x) > 1 and x != loads_before.get(s)]
    joined = [Joined(i, x) for i, x in sources_after.items() if len(x) > 1 and x != sources_before.get(i)]
    raised = [warns[key] for key in warns.keys() - warned.keys()]
    cleared = [warned[key] for key in warned.keys() - warns.keys()]
    changed = [(warned[key], warns[key]) for key in warns.keys() & warned.keys() if _differ(warned[key], warns[key])]
    return Change(
        tuple(made),
        tuple(broken),
        tuple(sorted(split)),
        tuple(sorted(joined)),
        tuple(sorted(raised, key=worst_first)),
        tuple(sorted(cleared, key=worst_first)),
        tuple(sorted(changed, key=lambda pair: worst_first(pair[1]))),
    )


def _differ(one: Alert, other: Alert) -> bool:
    """Whether a standing warning has other figures, or is worse or better. Rounding within a float is no difference."""
    if one.severity != other.severity or one.figures.keys() != other.figures.keys():
        return True
    return not all(math.isclose(one.figures[name], other.figures[name], abs_tol=1e-9) for name in one.figures)
