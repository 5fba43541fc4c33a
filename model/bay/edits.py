"""How each action changes the state: one function an action, each a table entry. They refuse what is not possible now."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from model.bay.actions import Action, Clear, Move, Phantom, Plug, PlugLooseEnd, Pull, PullAll, Put, Together, Unplug
from model.bay.refusals import NotNow, UnknownName
from model.bay.state import Cord, Edit, State
from model.room.addresses import split_address
from model.room.wiring import Port
from model.signal.warning import list_words

HIGHEST_CORD_NUMBER = 99_999


class Step:
    """One action being turned into edits: what it touches, and how to take it back."""

    def __init__(self, state: State) -> None:
        self.state = state
        self.undo: list[Edit] = []
        self.jacks: set[int] = set()  # jacks that a plug enters or leaves
        self.joined: set[int] = set()  # other jacks that the same cords hold
        self.ports: set[int] = set()  # ports whose supply or microphone changes
        self.cord: int | None = None

    def set(self, table: str, key: Any, value: Any) -> None:
        """Make an edit, and remember how to take it back."""
        self.undo.append(self.state.edit(Edit(table, key, value)))

    def take_back(self) -> list[Edit]:
        """Undo all edits; the answer, played in order, does them again."""
        redo = [self.state.edit(edit) for edit in reversed(self.undo)]
        self.undo.clear()
        redo.reverse()
        return redo

    def do_again(self, redo: list[Edit]) -> None:
        """Make edits that were taken back."""
        self.undo += [self.state.edit(edit) for edit in redo]

    def jack(self, address: str) -> int:
        """The number of the jack at an address."""
        place = split_address(address)
        found = self.state.room.jack_at(*place) if place else None
        if found is None:
            raise UnknownName(f"the room has no jack {address}", address)
        return found.index

    def free_jack(self, address: str) -> int:
        """The number of a jack that holds no plug."""
        jack = self.jack(address)
        holder = self.state.plugs.get(jack)
        if holder is not None:
            raise NotNow(f"{self.state.room.jacks[jack].address} already holds a plug of cord {holder}", address)
        return jack

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
        self._touch(jack, cord)
        self.set("cords", number, cord._replace(plugs=(*cord.plugs, jack)))
        self.set("plugs", jack, number)

    def take_out(self, number: int, jack: int) -> None:
        """One plug of a cord out of a jack; the cord is gone from the bay with its last plug."""
        cord = self.state.cords[number]
        self._touch(jack, cord)
        left = tuple(other for other in cord.plugs if other != jack)
        self.set("plugs", jack, None)
        self.set("cords", number, cord._replace(plugs=left) if left else None)

    def _touch(self, jack: int, cord: Cord) -> None:
        self.jacks.add(jack)
        self.joined.update(cord.plugs)

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
    step.cord = number
    cord = Cord(tuple(jacks), max(2, len(jacks)), action.length_cm)
    step.set("cords", number, cord)
    for jack in jacks:
        step.set("plugs", jack, number)
    step.jacks.update(jacks)


def plug_loose_end(step: Step, action: PlugLooseEnd) -> None:
    """The loose end of a cord into a jack."""
    cord = step.cord_numbered(action.cord)
    if len(cord.plugs) >= cord.ends:
        where = list_words([step.state.room.jacks[jack].address for jack in cord.plugs])
        raise NotNow(f"cord {action.cord} has no loose end: it is in {where}", f"#{action.cord}")
    jack = step.free_jack(action.jack)
    step.check_one_place((*cord.plugs, jack))
    step.put_in(action.cord, jack)
    step.cord = action.cord


def unplug(step: Step, action: Unplug) -> None:
    """One plug out."""
    jack, number = step.held_jack(action.jack)
    step.take_out(number, jack)
    step.cord = number


def pull(step: Step, action: Pull) -> None:
    """A whole cord out."""
    for jack in step.cord_numbered(action.cord).plugs:
        step.take_out(action.cord, jack)
    step.cord = action.cord


def pull_all(step: Step, _action: PullAll) -> None:
    """Every cord out."""
    if not step.state.cords:
        raise NotNow("no cord is in the bay")
    for number in sorted(step.state.cords):
        pull(step, Pull(number))
    step.cord = None


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
        step.jacks.add(there)
    step.cord = number


def phantom(step: Step, action: Phantom) -> None:
    """A supply, or all supplies of its switch, on or off."""
    port = step.port(action.port)
    if port.supply is None:
        raise NotNow(f"{port.name} has no phantom supply", action.port)
    if step.state.is_on(port.supply.switch) == action.on:
        raise NotNow(f"phantom at {port.name} is already {'on' if action.on else 'off'}", action.port)
    step.set("switches", port.supply.switch, action.on or None)
    step.ports.update(step.state.room.ports_of_switch[port.supply.switch])


def put(step: Step, action: Put) -> None:
    """A microphone on a line, in place of one that stands there."""
    mic = step.state.room.mic_named.get(action.mic)
    if mic is None:
        raise UnknownName(f"the locker has no '{action.mic}'", action.mic)
    line = _mic_line(step, action.line)
    if step.state.mics.get(line.index) == mic:
        raise NotNow(f"the {mic.name} already stands on {line.name}", action.mic)
    step.set("mics", line.index, mic)
    step.ports.add(line.index)


def clear(step: Step, action: Clear) -> None:
    """A line left without its microphone."""
    line = _mic_line(step, action.line)
    if line.index not in step.state.mics:
        raise NotNow(f"no microphone stands on {line.name}", action.line)
    step.set("mics", line.index, None)
    step.ports.add(line.index)


def together(step: Step, action: Together) -> None:
    """Several actions as one step."""
    for part in action.actions:
        make(step, part)


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
    Together: together,
}


def make(step: Step, action: Action) -> None:
    """Turn an action into edits; on a refusal the edits made so far are still there, for the caller to take back."""
    MAKERS[type(action)](step, action)
