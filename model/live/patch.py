"""The live patch: actions pushed and popped, each with its consequences.

``push`` and ``pop`` are exact inverses, so that a preview is push, read, pop. Cost follows the nets that an action touches.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from functools import cached_property
from typing import NamedTuple

from model.bay.actions import Action
from model.bay.edits import Step, make
from model.bay.refusals import Refusal
from model.bay.state import Edit, State
from model.live.change import Change, Connection, Joined, Split
from model.room.wiring import Room, line_contact, normal_contact
from model.signal import rules
from model.signal.cautions import cautions
from model.signal.circuit import Circuit
from model.signal.loops import feedback_loops
from model.signal.warning import Alert, worst_first

Identity = tuple[str, tuple[str, ...], tuple[str, ...]]
Standing = dict[Identity, Alert]
TABLES = ("plugs", "cords", "switches", "mics")  # of the state


class Look:
    """What stands on some nets at one moment: who feeds whom, and what is to be warned of."""

    def __init__(self, state: State, nodes: Iterable[int]) -> None:
        self.state = state
        self.circuits: list[Circuit] = []
        self.knotted: set[int] = set()  # outputs on knots of loops through these nets, once they have been looked for
        seen: set[int] = set()
        for node in nodes:
            if node not in seen:
                net = state.nodes_joined_to(node)
                seen.update(net)
                self.circuits.append(Circuit(state, net))

    def feeds(self) -> tuple[dict[str, tuple[str, ...]], dict[str, tuple[str, ...]]]:
        """The loads of each source, and the sources of each load, by name."""
        loads_of: dict[str, tuple[str, ...]] = {}
        sources_of: dict[str, tuple[str, ...]] = {}
        for circuit in self.circuits:
            if circuit.outputs and circuit.inputs:
                outputs = tuple([port.name for port in circuit.outputs])
                inputs = tuple([port.name for port in circuit.inputs])
                for name in outputs:
                    loads_of[name] = inputs
                for name in inputs:
                    sources_of[name] = outputs
        return loads_of, sources_of

    def warnings(self, knotted: Iterable[int] = ()) -> dict[Identity, Alert]:
        """All standing warnings of these nets; the loops among them also through the outputs ``knotted``."""
        found: dict[Identity, Alert] = {}
        loose: set[int] = set()
        for circuit in self.circuits:
            loose.update(circuit.loose)
            if not circuit.outputs and not circuit.inputs:
                continue
            for rule in rules.RULES:
                warning = rule.finds(circuit)
                if warning is not None:
                    found[warning.identity] = warning
        for jack in loose:
            warning = self._loose_end(jack)
            found[warning.identity] = warning
        loops, self.knotted = feedback_loops(self.state, self.circuits, knotted)
        for warning in loops:
            found[warning.identity] = warning
        return found

    def _loose_end(self, jack: int) -> Alert:
        state = self.state
        line, normal = (
            Circuit(state, state.nodes_joined_to(contact(jack))) for contact in (line_contact, normal_contact)
        )
        return rules.loose_end(state.room.jacks[jack].address, state.plugs[jack], rules.broken_by_plug((line, normal)))


class Pushed(NamedTuple):
    """An action on the stack, and what takes it back."""

    action: Action
    step: Step
    change: Change  # nothing where it was done quietly
    standing_before: (
        dict[Identity, Alert | None] | None
    )  # the standing warnings that it set, as they were; None: not known
    by: str = ""  # the seat at which it was typed


class Patch:
    """A room with its cords, switches and microphones, and the actions that led there."""

    def __init__(self, room: Room, at_rest: Standing | None = None) -> None:
        """``at_rest``: the warnings that stand in the room at rest, where they were found before."""
        self.room = room
        self.state = State(room)
        self.stack: list[Pushed] = []
        self.standing: Standing = {}
        self._quiet = False
        self._standing_at_rest = standing_at_rest(room) if at_rest is None else at_rest
        self.standing = dict(self._standing_at_rest)

    def all_that_stands(self) -> Change:
        """All connections, splits and warnings of the room as it is now, as if they had just been made.

        Cost follows the room. Warnings about cords' number are not in it: they are about no net.
        """
        look = look_at_all(self.state)
        return difference(Look(self.state, ()), look, {}, look.warnings())

    @cached_property
    def at_rest(self) -> Change:
        """All that stands in the room before any cord."""
        return Patch(self.room).all_that_stands()

    def standing_warnings(self) -> list[Alert]:
        """All warnings whose cause stands, worst first."""
        return sorted(self.standing.values(), key=worst_first)

    def actions(self) -> list[Action]:
        """The actions that led here, oldest first."""
        return [pushed.action for pushed in self.stack]

    def push(self, action: Action, by: str = "") -> Change:
        """Do an action; the answer is what it changed. ``by`` is the seat at which it was typed.

        Raises a :class:`~model.bay.refusals.Refusal`, and changes nothing, where it is not possible now.
        """
        step = Step(self.state)
        try:
            make(step, action)
        except Refusal:
            step.take_back()
            raise
        if self._quiet:
            self.stack.append(Pushed(action, step, Change(cord=step.cord), None, by))
            return self.stack[-1].change
        redo = step.take_back()
        nodes = self._nodes_touched(step)
        before = Look(self.state, nodes)
        warned = self._warnings(before, step)
        step.do_again(redo)
        after = Look(self.state, nodes)
        warns = self._warnings(after, step, before.knotted)
        if not after.knotted <= before.knotted:
            # a knot took in loops that pass none of the nets: they stood before, too
            redo = step.take_back()
            warned = self._warnings(before, step, after.knotted)
            step.do_again(redo)
        change = difference(before, after, warned, warns, step)
        entries = {**dict.fromkeys(warned), **warns}
        self.stack.append(Pushed(action, step, change, {key: self.standing.get(key) for key in entries}, by))
        self._set_standing(entries)
        return change

    def pop(self) -> Action:
        """Take the last action back, exactly. Raises IndexError where there is none."""
        pushed = self.stack[-1]
        if pushed.standing_before is None and not self._quiet:
            self.take_back()
            return pushed.action
        self.stack.pop()
        pushed.step.take_back()
        self._set_standing(pushed.standing_before or {})
        return pushed.action

    def preview(self, action: Action) -> Change:
        """What an action would change. Nothing is changed; refuses as :meth:`push` does."""
        change = self.push(action)
        self.pop()
        return change

    def take_back(self) -> Change:
        """Take the last action back, and say what that changed; IndexError where there is none."""
        pushed = self.stack[-1]
        if self._quiet:
            self.pop()
            return Change()
        nodes = self._nodes_touched(pushed.step)
        before = Look(self.state, nodes)
        warned = self._warnings(before, pushed.step)
        self.stack.pop()
        redo = pushed.step.take_back()
        after = Look(self.state, nodes)
        warns = self._warnings(after, pushed.step, before.knotted)
        if not after.knotted <= before.knotted:
            pushed.step.do_again(redo)
            warned = self._warnings(before, pushed.step, after.knotted)
            pushed.step.take_back()
        # of an action that was done quietly, what it set is found now
        before_it = pushed.standing_before
        self._set_standing({**dict.fromkeys(warned), **warns} if before_it is None else before_it)
        return difference(before, after, warned, warns, pushed.step)

    # Many actions at once, whose consequences nobody reads

    @contextmanager
    def quietly(self) -> Iterator[None]:
        """Actions pushed and popped meanwhile find no consequences; the standing warnings are found once, at the end."""
        self._quiet = True
        try:
            yield
        finally:
            self._quiet = False
            self._find_standing()

    def empty(self) -> None:
        """Back to the room at rest, with no action to take back."""
        self.stack.clear()
        for name in TABLES:
            for key in list(getattr(self.state, name)):
                self.state.edit(Edit(name, key, None))
        self._find_standing()

    def state_before(self, last: int) -> State:
        """The state as it was before the last so many actions, as a state of its own."""
        was = State(self.room)
        for name in TABLES:
            for key, value in sorted(getattr(self.state, name).items()):
                was.edit(Edit(name, key, value))
        for pushed in reversed(self.stack[len(self.stack) - last :]):
            for edit in reversed(pushed.step.undo):
                was.edit(edit)
        return was

    def _find_standing(self) -> None:
        """The standing warnings, from those at rest: only nets with a plug, a supply that is on or a microphone differ."""
        state, rest = self.state, State(self.room)
        nodes = [contact(jack) for jack in state.plugs for contact in (line_contact, normal_contact)]
        ports = {port for switch in state.switches for port in self.room.ports_of_switch[switch]}.union(state.mics)
        nodes += [line_contact(jack) for port in ports for jack in self.room.jacks_of_port[port]]
        self.standing = dict(self._standing_at_rest)
        at_rest, now = Look(rest, nodes), Look(state, nodes)
        at_rest.warnings()
        stands = now.warnings(at_rest.knotted)
        for identity in at_rest.warnings(now.knotted):
            self.standing.pop(identity, None)
        self.standing.update(stands)
        self.standing.update(self._short_of_cords())

    def circuit_at(self, node: int) -> Circuit:
        """The circuit of the net that a contact is on."""
        return Circuit(self.state, self.state.nodes_joined_to(node))

    def _set_standing(self, entries: dict[Identity, Alert | None]) -> None:
        for key, warning in entries.items():
            if warning is None:
                self.standing.pop(key, None)
            else:
                self.standing[key] = warning

    def _nodes_touched(self, step: Step) -> list[int]:
        """Contacts whose nets an action can change. Between them they have all ends of what it joins or parts."""
        nodes: list[int] = []
        for jack in step.jacks:
            nodes += (2 * jack, 2 * jack + 1)
        nodes += [2 * jack for jack in step.joined]
        for port in step.ports:
            nodes += [2 * jack for jack in self.room.jacks_of_port[port]]
        return nodes

    def _warnings(self, look: Look, step: Step, knotted: Iterable[int] = ()) -> dict[Identity, Alert]:
        """The warnings of some nets, and those of the cords, where an action handled one."""
        found = look.warnings(knotted)
        return found | self._short_of_cords() if step.jacks else found

    def _short_of_cords(self) -> dict[Identity, Alert]:
        if self.room.cords is None:
            return {}
        short = rules.short_of_cords(len(self.state.cords), sum(self.room.cords.values()))
        return {} if short is None else {short.identity: short}


def look_at_all(state: State) -> Look:
    """All nets of a room. Cost follows the room."""
    return Look(state, (line_contact(jack.index) for jack in state.room.jacks))


def standing_at_rest(room: Room) -> Standing:
    """The warnings that stand in a room before any cord."""
    return look_at_all(State(room)).warnings()


def difference(
    before: Look,
    after: Look,
    warned: dict[Identity, Alert],
    warns: dict[Identity, Alert],
    step: Step | None = None,
) -> Change:
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
    return Change(
        tuple(made),
        tuple(broken),
        tuple(sorted(split)),
        tuple(sorted(joined)),
        tuple(sorted(raised, key=worst_first)),
        tuple(sorted(cleared, key=worst_first)),
        () if step is None else cautions(before.circuits, after.circuits, step.jacks, step.ports),
        None if step is None else step.cord,
        () if step is None else tuple(sorted(step.jacks)),
    )
