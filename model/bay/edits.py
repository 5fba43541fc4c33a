"""What each action makes of a state: one function an action, each a table entry. They refuse what is not possible now."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from itertools import chain
from typing import Any

from model.bay.actions import Action, Clear, Move, Phantom, Plug, PlugLooseEnd, Pull, PullAll, Put, Unplug, singles
from model.bay.refusals import NotNow, UnknownName
from model.bay.state import Cord, Difference, Making, Set, State
from model.room.wiring import Port
from model.text.listing import list_words

HIGHEST_CORD_NUMBER = 99_999
SPLIT_BY_MULT = ("mic", "line", "instrument")  # families of ports of which one output can feed several inputs


class Step:
    """One action, or several, being turned into another state.

    ``moments`` are the differences that lead from state to state on the way, one for each single action.
    """

    def __init__(self, state: State) -> None:
        self._making = Making(state)
        self.moments: list[Difference] = []

    @property
    def state(self) -> State:
        """The state as far as it has come."""
        return self._making.state

    def set(self, table: str, key: Any, value: Any) -> None:
        """Set one entry of one table; None takes it out."""
        self._making.set(table, key, value)

    def next_moment(self) -> None:
        """A single action is done: what it differs by is a moment of its own."""
        self.moments.append(self._making.difference())
        self._making = Making(self.state)

    def jack(self, address: str) -> int:
        """The number of the jack at an address."""
        jack = self.state.room.jack_of(address)
        if jack is None:
            raise UnknownName(f"the room has no jack {address}", address)
        return jack

    def free_jack(self, address: str) -> int:
        """The number of a jack that holds no plug."""
        jack = self.jack(address)
        holder = self.state.plugs.get(jack)
        if holder is not None:
            raise NotNow(self._why_held(jack, holder), address)
        return jack

    def _why_held(self, jack: int, holder: int) -> str:
        """What holds a jack, where that cord goes, and what would split it."""
        room, plugs = self.state.room, self.state.plugs
        mult = room.mult_at.get(jack)
        if mult is not None and all(other in plugs for other in mult.jacks):
            return f"{mult.name} is full"
        others = [room.jacks[plug].address for plug in self.state.cords[holder].plugs if plug != jack]
        words = f"{room.jacks[jack].address} already holds a plug of cord {holder}"
        if others:
            words += f", which goes to {list_words(others)}"
        at = room.port_at[jack]
        if at >= 0 and room.ports[at].kind.is_output and room.ports[at].kind.family in SPLIT_BY_MULT:
            place = room.place_of(jack)
            free = (m for m in room.mults if room.place_of(m.jacks[0]) == place)
            split = next((m for m in free if not any(other in plugs for other in m.jacks)), None)
            words += f"; {split.name} ({room.jacks[split.jacks[0]].address}) is free to split it" if split else ""
        return words

    def held_jack(self, address: str) -> tuple[int, int]:
        """The number of a jack that holds a plug, and the number of the cord."""
        jack = self.jack(address)
        holder = self.state.plugs.get(jack)
        if holder is None:
            raise NotNow(f"{self.state.room.jacks[jack].address} is empty", address)
        return jack, holder

    def cord_numbered(self, number: int) -> Cord:
        """A cord that is in the bay."""
        cord = self.state.cords.get(number)
        if cord is None:
            raise NotNow(f"no cord {number} is in the bay", f"#{number}")
        return cord

    def port(self, name: str) -> Port:
        """The port of a full name."""
        port = self.state.room.port_named.get(name)
        if port is None:
            raise UnknownName(f"the room has no port '{name}'", name)
        return port

    def put_in(self, number: int, jack: int) -> None:
        """One plug of a cord into a jack."""
        cord = self.state.cords[number]
        self.set("cords", number, cord._replace(plugs=(*cord.plugs, jack)))
        self.set("plugs", jack, number)

    def take_out(self, number: int, jack: int) -> None:
        """One plug of a cord out of a jack; the cord is gone from the bay with its last plug."""
        cord = self.state.cords[number]
        left = tuple(other for other in cord.plugs if other != jack)
        self.set("plugs", jack, None)
        self.set("cords", number, cord._replace(plugs=left) if left else None)

    def check_one_place(self, jacks: tuple[int, ...]) -> None:
        """A cord joins jacks of one place: it does not reach from one room to another."""
        room = self.state.room
        if len(room.bays) < 2 or len(jacks) < 2:
            return
        first, place = room.jacks[jacks[0]], room.place_of(jacks[0])
        for jack in jacks[1:]:
            other = room.place_of(jack)
            if other != place:
                raise NotNow(
                    f"a cord does not reach from {first.address} ({place or 'no place stated'}) "
                    f"to {room.jacks[jack].address} ({other or 'no place stated'}): go over a tie line"
                )


def plug(step: Step, action: Plug) -> None:
    """A new cord into one jack or more."""
    jacks: list[int] = []
    for address in action.jacks:
        jack = step.free_jack(address)
        if jack in jacks:
            raise NotNow(f"both ends cannot go into {step.state.room.jacks[jack].address}", address)
        jacks.append(jack)
    step.check_one_place(tuple(jacks))
    number = action.cord
    if number is None:
        number = step.state.lowest_free_number()
    elif number in step.state.cords:
        raise NotNow(f"cord {number} is already in the bay", f"#{number}")
    if not 1 <= number <= HIGHEST_CORD_NUMBER:
        raise NotNow(f"cord numbers run from 1 to {HIGHEST_CORD_NUMBER}", f"#{number}")
    cord = Cord(tuple(jacks), max(2, len(jacks)), action.length_cm)
    step.set("cords", number, cord)
    for jack in jacks:
        step.set("plugs", jack, number)


def plug_loose_end(step: Step, action: PlugLooseEnd) -> None:
    """The loose end of a cord into a jack."""
    cord = step.cord_numbered(action.cord)
    if len(cord.plugs) >= cord.ends:
        where = list_words([step.state.room.jacks[jack].address for jack in cord.plugs])
        raise NotNow(f"cord {action.cord} has no loose end: it is in {where}", f"#{action.cord}")
    jack = step.free_jack(action.jack)
    step.check_one_place((*cord.plugs, jack))
    step.put_in(action.cord, jack)


def unplug(step: Step, action: Unplug) -> None:
    """One plug out."""
    jack, number = step.held_jack(action.jack)
    step.take_out(number, jack)


def pull(step: Step, action: Pull) -> None:
    """A whole cord out."""
    for jack in step.cord_numbered(action.cord).plugs:
        step.take_out(action.cord, jack)


def pull_all(step: Step, _action: PullAll) -> None:
    """Every cord out."""
    if not step.state.cords:
        raise NotNow("no cord is in the bay")
    for number in sorted(step.state.cords):
        pull(step, Pull(number))


def move(step: Step, action: Move) -> None:
    """One plug from one jack to another."""
    jack, number = step.held_jack(action.jack)
    there = step.free_jack(action.to)
    cord = step.state.cords[number]
    step.check_one_place((*(other for other in cord.plugs if other != jack), there))
    step.take_out(number, jack)
    if number in step.state.cords:
        step.put_in(number, there)
    else:
        step.set("cords", number, cord._replace(plugs=(there,)))
        step.set("plugs", there, number)


def phantom(step: Step, action: Phantom) -> None:
    """A supply, or all supplies of its switch, on or off."""
    port = step.port(action.port)
    if port.supply is None:
        raise NotNow(f"{port.name} has no phantom supply", action.port)
    if step.state.is_on(port.supply.switch) == action.on:
        raise NotNow(f"phantom at {port.name} is already {'on' if action.on else 'off'}", action.port)
    step.set("switches", port.supply.switch, action.on or None)


def put(step: Step, action: Put) -> None:
    """A microphone on a line, in place of one that stands there."""
    mic = step.state.room.mic_named.get(action.mic)
    if mic is None:
        raise UnknownName(f"the locker has no '{action.mic}'", action.mic)
    line = _mic_line(step, action.line)
    if step.state.mics.get(line.index) == mic:
        raise NotNow(f"the {mic.name} is already on {line.name}", action.mic)
    step.set("mics", line.index, mic)


def clear(step: Step, action: Clear) -> None:
    """A line left without its microphone."""
    line = _mic_line(step, action.line)
    if line.index not in step.state.mics:
        raise NotNow(f"no microphone is on {line.name}", action.line)
    step.set("mics", line.index, None)


def _mic_line(step: Step, name: str) -> Port:
    port = step.port(name)
    if not port.kind.is_mic_line:
        raise NotNow(f"{port.name} is no microphone line but a {port.kind.name}", name)
    return port


MAKERS: dict[type, Callable[[Step, Any], None]] = {
    Plug: plug,
    PlugLooseEnd: plug_loose_end,
    Unplug: unplug,
    Pull: pull,
    PullAll: pull_all,
    Move: move,
    Phantom: phantom,
    Put: put,
    Clear: clear,
}


def state_after(state: State, action: Action) -> State:
    """The state that an action leads to. Raises a refusal where it is not possible."""
    step = Step(state)
    for single in singles(action):
        MAKERS[type(single)](step, single)
    return step.state


def moments(state: State, action: Action) -> list[Difference]:
    """What an action changes, single action by single action. Raises a refusal where one of them is not possible."""
    step = Step(state)
    for single in singles(action):
        MAKERS[type(single)](step, single)
        step.next_moment()
    return step.moments


def whole(differences: Iterable[Difference]) -> Difference:
    """Several differences, one after another, as one: each entry from its first value to its last."""
    first: dict[tuple[str, Any], Any] = {}
    last: dict[tuple[str, Any], Any] = {}
    for table, key, before, after in chain.from_iterable(differences):
        first.setdefault((table, key), before)
        last[table, key] = after
    return tuple(Set(*entry, before, last[entry]) for entry, before in first.items() if before != last[entry])
