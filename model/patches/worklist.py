"""The work that leads from the present patch to another, in the order in which hands should do it.

Nothing of a list is stored: it is made afresh from the present state, the goal, and what is to be left alone. So it stays
true when lines are typed by hand in between, and each step that is done makes it shorter.

The order: phantom off wherever a plug or a microphone is about to be handled, pulls, plugs unplugged, plugs moved, loose ends
plugged, new cords, the input list, phantom on. The number of handlings is the least possible
(see :mod:`model.patches.compare`).
Plugs that wait for each other's jacks in a circle cost no more: one of them hangs loose for a while.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from model.bay.actions import Action, Clear, Move, Phantom, Plug, PlugLooseEnd, Pull, Put, Unplug
from model.bay.edits import moments
from model.bay.state import State
from model.live.look import Look
from model.patches.compare import (
    ClearMic,
    Difference,
    MoveCord,
    PlugCord,
    PullCord,
    PutMic,
    differences,
    handlings,
)
from model.patches.patch_words import cord_words, from_output, jack_words
from model.patches.placed import Placed, PlacedCord, present
from model.room.wiring import NO_PORT, Room, line_contact
from model.signal.cautions import FAMILY_CAUTIONS, PHANTOM_OFF, PHANTOM_ON
from model.text.listing import list_words


@dataclass(frozen=True, slots=True)
class WorkStep:
    """One step: the action that does it, the same in words, and its cautions.

    ``about`` tells what the step changes, as it stands now: a step that is skipped stays skipped for as long as that does.
    """

    action: Action
    words: str
    cautions: tuple[str, ...]
    about: str


@dataclass(frozen=True, slots=True)
class LeftAlone:
    """Something that the list does not bring about, and why."""

    what: str
    why: str


@dataclass(frozen=True, slots=True)
class WorkList:
    """The steps that are left, first to last, and what stays undone."""

    steps: tuple[WorkStep, ...] = ()
    left: tuple[LeftAlone, ...] = ()
    handlings: int = 0


def work_list(
    state: State, goal: Placed, holds: Mapping[int, str] | None = None, skips: Mapping[str, str] | None = None
) -> WorkList:
    """The list from the present state to a goal.
    ``holds``: cords (by number) that stay where they are, and why. ``skips``: what skipped steps were about, and why.
    """
    plan = _Plan(state, goal, holds or {}, skips or {})
    while plan.meets_phantom_that_stays():
        pass  # what met it is left alone now; the rest may come out otherwise
    return plan.work_list()


def about_cord(room: Room, cord: PlacedCord) -> str:
    """A cord as it stands, for a step that takes it out or moves it."""
    return f"#{cord.number} in {' '.join(sorted(room.jacks[jack].address for jack in cord.jacks))}"


def about_jacks(room: Room, cord: PlacedCord) -> str:
    """The jacks of a cord that is to be plugged."""
    return f"plug {' '.join(sorted(room.jacks[jack].address for jack in cord.jacks))}"


def about_switch(switch: str, on: bool) -> str:
    """A phantom switch as it stands."""
    return f"phantom {switch} is {'on' if on else 'off'}"


def about_line(room: Room, line: int, mic: str | None) -> str:
    """A microphone line as it stands."""
    return f"{room.ports[line].name} has {mic or 'no microphone'}"


class _Plan:
    """A list in the making: what is left alone, and what follows for the rest."""

    def __init__(self, state: State, goal: Placed, holds: Mapping[int, str], skips: Mapping[str, str]) -> None:
        self.state, self.room, self.goal = state, state.room, goal
        self.now = present(state)
        room = self.room
        self.cords_left: dict[int, str] = {}  # cords that stay as they are: why
        self.jacks_left: dict[frozenset[int], str] = {}  # cords of the goal that are not plugged
        self.lines_left: dict[int, str] = {}
        self.switches_left: dict[str, str] = {}
        for cord in self.now.cords:
            if cord.number in holds:
                self.cords_left[cord.number] = f"on hold: {holds[cord.number]}"
            elif (why := skips.get(about_cord(room, cord))) is not None:
                self.cords_left[cord.number] = f"skipped: {why}"
        for cord in goal.cords:
            if (why := skips.get(about_jacks(room, cord))) is not None:
                self.jacks_left[frozenset(cord.jacks)] = f"skipped: {why}"
        mics = dict(self.now.mics)
        for line in mics.keys() | dict(goal.mics).keys():
            if (why := skips.get(about_line(room, line, mics.get(line)))) is not None:
                self.lines_left[line] = f"skipped: {why}"
        for switch in room.ports_of_switch:
            if (why := skips.get(about_switch(switch, switch in self.now.switches))) is not None:
                self.switches_left[switch] = f"skipped: {why}"
        self._work_out()

    def _work_out(self) -> None:
        """The steps at jacks and lines, and the switches on whose lines they are."""
        held = {jack: cord for cord in self.now.cords if cord.number in self.cords_left for jack in cord.jacks}
        self.waiting: list[tuple[PlacedCord, str]] = []
        wanted: list[PlacedCord] = []
        in_place: set[int] = set()  # cords that are left alone and right where they are
        for cord in self.goal.cords:
            holder = next((held[jack] for jack in cord.jacks if jack in held), None)
            if holder is not None and set(holder.jacks) == set(cord.jacks):
                in_place.add(holder.number)
            elif frozenset(cord.jacks) in self.jacks_left:
                self.waiting.append((cord, self.jacks_left[frozenset(cord.jacks)]))
            elif holder is not None:
                where = list_words([self.room.jacks[j].address for j in cord.jacks if held.get(j) == holder])
                self.waiting.append((cord, f"cord {holder.number} is in {where}: {self.cords_left[holder.number]}"))
            else:
                wanted.append(cord)
        self.in_place = in_place
        free = tuple(cord for cord in self.now.cords if cord.number not in self.cords_left)
        mics_now, mics_then = dict(self.now.mics), dict(self.goal.mics)
        for line in self.lines_left:
            mics_then.pop(line, None)
            if line in mics_now:
                mics_then[line] = mics_now[line]
        found = differences(
            Placed(free, mics=self.now.mics), Placed(tuple(wanted), mics=tuple(sorted(mics_then.items())))
        )
        self.found = found
        self.steps = [*self._cord_steps(found), *self._mic_steps(found)]
        self.met = switches_met(self.state, [step.action for step in self.steps])

    def meets_phantom_that_stays(self) -> bool:
        """Whether a step is on a line whose phantom stays on because that was skipped. If so, it is left alone from now."""
        for step, met in zip(self.steps, self.met, strict=True):
            staying = sorted(met & self.switches_left.keys() & self.now.switches)
            if not staying:
                continue
            why = f"phantom stays on at {staying[0]} ({self.switches_left[staying[0]]})"
            match step.action:
                case Pull(number) | PlugLooseEnd(number):
                    self.cords_left[number] = why
                case Unplug(address) | Move(address):
                    self.cords_left[self._holder(address)] = why
                case Plug(addresses):
                    jacks = frozenset(self._jack(address) for address in addresses)
                    self.jacks_left[jacks] = why
                case Put(_, line) | Clear(line):
                    self.lines_left[self.room.port_named[line].index] = why
            self._work_out()
            return True
        return False

    def _jack(self, address: str) -> int:
        jack = self.room.jack_of(address)
        assert jack is not None  # the list wrote it itself
        return jack

    def _holder(self, address: str) -> int:
        # a plug is moved or unplugged once, from where it is now
        return self.state.plugs[self._jack(address)]

    def work_list(self) -> WorkList:
        """The whole list: phantom off, the steps, phantom on."""
        on_now, on_then = self.now.switches, self.goal.switches
        off = ((on_now - on_then) | set().union(*self.met)) - self.switches_left.keys()
        on = (on_then - (on_now - off)) - {s for s in self.switches_left if s not in on_now}
        order = list(self.room.ports_of_switch)
        steps = [
            *(self._phantom_step(switch, False) for switch in order if switch in off),
            *self.steps,
            *(self._phantom_step(switch, True) for switch in order if switch in on),
        ]
        return WorkList(tuple(steps), tuple(self._left()), handlings(self.found))

    def _left(self) -> list[LeftAlone]:
        """What the list leaves as it is, though the goal has it otherwise."""
        room = self.room
        left = [
            LeftAlone(f"cord {cord.number} stays: {cord_words(room, cord)}", self.cords_left[cord.number])
            for cord in self.now.cords
            if cord.number in self.cords_left and cord.number not in self.in_place
        ]
        left += [LeftAlone(f"not plugged: {cord_words(room, cord)}", why) for cord, why in self.waiting]
        left += [
            LeftAlone(f"phantom stays {'on' if switch in self.now.switches else 'off'} at {switch}", why)
            for switch, why in self.switches_left.items()
            if (switch in self.now.switches) != (switch in self.goal.switches)
        ]
        mics_now, mics_then = dict(self.now.mics), dict(self.goal.mics)
        left += [
            LeftAlone(f"stays: {about_line(room, line, mics_now.get(line))}", why)
            for line, why in self.lines_left.items()
            if mics_now.get(line) != mics_then.get(line)
        ]
        return left

    # Cords

    def _cord_steps(self, found: Sequence[Difference]) -> list[WorkStep]:
        pulls = [d.cord for d in found if isinstance(d, PullCord)]
        moves = [d for d in found if isinstance(d, MoveCord)]
        plugs = [d.cord for d in found if isinstance(d, PlugCord)]
        steps = [self._step(Pull(cord.number), cord, f"pull #{cord.number}: {self._words(cord)}") for cord in pulls]
        unplugs, shifts, hanging = _sorted_out(moves)
        steps += [self._unplug(cord, jack) for cord, jack in unplugs]
        order, circled = in_order(shifts)
        of = {jack: difference for difference in moves for jack in difference.out}
        for jack, to in order:
            cord = of[jack].before
            if to is None:
                hanging.append((cord, circled[jack]))
                steps.append(self._unplug(cord, jack, circled[jack]))
            else:
                words = f"move #{cord.number}: {jack_words(self.room, jack)} to {jack_words(self.room, to)}"
                steps.append(self._step(Move(self._address(jack), self._address(to)), cord, words, to))
        for cord, jack in hanging:
            words = f"plug the loose end of #{cord.number} into {jack_words(self.room, jack)}"
            steps.append(self._step(PlugLooseEnd(cord.number, self._address(jack)), cord, words, jack))
        return steps + self._new_cords(plugs, pulls)

    def _unplug(self, cord: PlacedCord, jack: int, later: int | None = None) -> WorkStep:
        cautions = (
            () if later is None else (f"Leave it hanging: it goes into {jack_words(self.room, later)} further down.",)
        )
        words = f"unplug the plug of #{cord.number} out of {jack_words(self.room, jack)}"
        return self._step(Unplug(self._address(jack)), cord, words, cautions=cautions)

    def _new_cords(self, plugs: Sequence[PlacedCord], pulls: Sequence[PlacedCord]) -> list[WorkStep]:
        """New cords take the number that they had, where no other cord bears it."""
        pulled = {cord.number for cord in pulls}
        staying = [cord for cord in self.now.cords if cord.number not in pulled]
        numbers = {cord.number for cord in staying}
        wanted = {cord.number for cord in plugs}
        out = [cord.length_cm for cord in staying]
        steps: list[WorkStep] = []
        lowest = 1
        for cord in plugs:
            number = cord.number
            if number in numbers:
                while lowest in numbers or lowest in wanted:
                    lowest += 1
                number = lowest
            numbers.add(number)
            jacks = from_output(self.room, cord.jacks)
            action = Plug(tuple(self._address(jack) for jack in jacks), number, cord.length_cm)
            steps.append(
                WorkStep(
                    action,
                    f"plug {self._words(cord)}, tag #{number}",
                    (*self._cautions(jacks), *self._stock(cord.length_cm, out)),
                    about_jacks(self.room, cord),
                )
            )
            out.append(cord.length_cm)
        return steps

    def _stock(self, length_cm: float | None, out: Sequence[float | None]) -> tuple[str, ...]:
        owned = self.room.cords
        if length_cm is None or owned is None:
            return ()
        if length_cm not in owned:
            return (f"The room's stock has no cord of {length_cm:g} cm.",)
        if out.count(length_cm) >= owned[int(length_cm)]:
            return (f"All {owned[int(length_cm)]} cords of {length_cm:g} cm are out.",)
        return ()

    def _step(
        self, action: Action, cord: PlacedCord, words: str, to: int | None = None, cautions: tuple[str, ...] = ()
    ) -> WorkStep:
        jacks = cord.jacks if to is None else (*cord.jacks, to)
        return WorkStep(action, words, (*self._cautions(jacks), *cautions), about_cord(self.room, cord))

    def _cautions(self, jacks: Sequence[int]) -> tuple[str, ...]:
        at = (self.room.port_at[jack] for jack in jacks)
        families = (self.room.ports[port].kind.family for port in at if port != NO_PORT)
        return tuple(dict.fromkeys(FAMILY_CAUTIONS[family] for family in families if family in FAMILY_CAUTIONS))

    def _words(self, cord: PlacedCord) -> str:
        return cord_words(self.room, cord)

    def _address(self, jack: int) -> str:
        return self.room.jacks[jack].address

    # Input list and phantom

    def _mic_steps(self, found: Sequence[Difference]) -> list[WorkStep]:
        now = dict(self.now.mics)
        steps: list[WorkStep] = []
        for difference in found:
            match difference:
                case ClearMic(line, mic):
                    name = self.room.ports[line].name
                    action: Action = Clear(name)
                    words = f"clear {name}: the {mic}"
                    cautions: tuple[str, ...] = (FAMILY_CAUTIONS["mic"],)
                case PutMic(line, mic):
                    name = self.room.ports[line].name
                    action = Put(mic, name)
                    words = f"put {mic} on {name}" + (f" in place of the {now[line]}" if line in now else "")
                    harmed = self.room.mic_named[mic].harmed
                    cautions = (FAMILY_CAUTIONS["mic"], *((f"Phantom must not reach the {mic}.",) if harmed else ()))
                case _:
                    continue
            steps.append(WorkStep(action, words, cautions, about_line(self.room, line, now.get(line))))
        return steps

    def _phantom_step(self, switch: str, on: bool) -> WorkStep:
        ports = [self.room.ports[port].name for port in self.room.ports_of_switch[switch]]
        words = f"phantom {'on' if on else 'off'} at {list_words(ports)}"
        cautions = ((PHANTOM_ON if on else PHANTOM_OFF).first,)
        return WorkStep(Phantom(ports[0], on), words, cautions, about_switch(switch, not on))


def _sorted_out(
    moves: Sequence[MoveCord],
) -> tuple[list[tuple[PlacedCord, int]], list[tuple[int, int]], list[tuple[PlacedCord, int]]]:
    """Of cords that change, the plugs that only go out, those that go from jack to jack, and those that only go in."""
    unplugs: list[tuple[PlacedCord, int]] = []
    shifts: list[tuple[int, int]] = []
    hanging: list[tuple[PlacedCord, int]] = []
    for difference in moves:
        out, into = difference.out, difference.into
        both = min(len(out), len(into))
        shifts += zip(out[:both], into[:both], strict=True)
        unplugs += [(difference.before, jack) for jack in out[both:]]
        hanging += [(difference.before, jack) for jack in into[both:]]
    return unplugs, shifts, hanging


def in_order(shifts: Sequence[tuple[int, int]]) -> tuple[list[tuple[int, int | None]], dict[int, int]]:
    """Plugs that go from jack to jack, in an order in which each finds its jack empty.

    Where they wait for each other in a circle, one of them is only taken out (its jack to go to is None here); the second
    answer says where such a plug goes once the others have moved.

    >>> in_order([(1, 2), (2, 3)])
    ([(2, 3), (1, 2)], {})
    >>> in_order([(1, 2), (2, 1)])
    ([(1, None), (2, 1)], {1: 2})
    """
    to = dict(shifts)
    waits_for = {target: jack for jack, target in shifts}
    order: list[tuple[int, int | None]] = []
    circled: dict[int, int] = {}

    def follow(freed: int) -> None:
        while (jack := waits_for.get(freed)) is not None and jack in to:
            order.append((jack, to.pop(jack)))
            freed = jack

    for _, target in shifts:
        if target not in to and target in waits_for and waits_for[target] in to:
            follow(target)
    for jack, _ in shifts:
        if jack in to:
            circled[jack] = to.pop(jack)
            order.append((jack, None))
            follow(jack)
    return order, circled


def switches_met(state: State, actions: Sequence[Action]) -> list[frozenset[str]]:
    """For each action, done one after another, the phantom switches that are on now on lines that it touches.

    A plug's tip passes other contacts on its way, and a microphone's plug is one as well: so before and after count alike.
    """
    if not state.switches:
        return [frozenset()] * len(actions)
    met: list[frozenset[str]] = []
    for action in actions:
        before = state
        (difference,) = moments(before, action)
        state = before.after(difference)
        jacks = {key for table, key, *_ in difference if table == "plugs"}
        lines = {key for table, key, *_ in difference if table == "mics"}
        jacks |= {jack for port in lines for jack in state.room.jacks_of_port[port]}
        met.append(_switches_at(before, jacks) | _switches_at(state, jacks))
    return met


def _switches_at(state: State, jacks: set[int]) -> frozenset[str]:
    look = Look(state, [line_contact(jack) for jack in sorted(jacks)])
    return frozenset(
        port.supply.switch for circuit in look.circuits for port in circuit.supplies if port.supply is not None
    )
