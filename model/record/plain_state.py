"""The state of the bay, and its actions, as JSON can write them: by addresses and names, so that they outlive the room file."""

from __future__ import annotations

from dataclasses import fields
from typing import Any

from model.bay import actions
from model.bay.actions import Action, Together
from model.bay.state import Cord, Edit, State
from model.entry.parts import Plain
from model.room.addresses import split_address
from model.room.wiring import NO_PORT, Room
from model.signal.warning import list_words

_ACTIONS: dict[str, type[Any]] = {
    kind.__name__: kind
    for kind in (
        actions.Plug,
        actions.PlugLooseEnd,
        actions.Unplug,
        actions.Pull,
        actions.PullAll,
        actions.Move,
        actions.Phantom,
        actions.Put,
        actions.Clear,
    )
}


def action_as_plain(action: Action) -> Plain:
    """An action: its kind and its fields.

    >>> action_as_plain(actions.Plug(("A5", "C3")))
    ['Plug', ['A5', 'C3'], None, None]
    """
    if isinstance(action, Together):
        return [action_as_plain(part) for part in action.actions]
    values = [getattr(action, field.name) for field in fields(action)]
    return [type(action).__name__, *(list(value) if isinstance(value, tuple) else value for value in values)]


def action_from_plain(plain: Any) -> Action:
    """The action that was written so; several as one step, where the value holds several.

    >>> action_from_plain(["Plug", ["A5", "C3"], None, None])
    Plug(jacks=('A5', 'C3'), cord=None, length_cm=None)

    Raises KeyError or TypeError where it is none.
    """
    if not plain or isinstance(plain[0], list):
        return Together(tuple(action_from_plain(part) for part in plain))
    kind, *values = plain
    made: Action = _ACTIONS[kind](*(tuple(value) if isinstance(value, list) else value for value in values))
    return made


def state_as_plain(state: State) -> dict[str, Plain]:
    """Cords with what is wired to their jacks, supplies that are on with the inputs they feed, microphones on lines."""
    room = state.room
    return {
        "cords": [
            [number, cord.ends, cord.length_cm, [[room.jacks[j].address, wired_to(room, j)] for j in cord.plugs]]
            for number, cord in sorted(state.cords.items())
        ],
        "phantom": [
            [switch, [room.ports[port].name for port in room.ports_of_switch[switch]]]
            for switch in sorted(state.switches)
        ],
        "mics": [[room.ports[line].name, mic.name] for line, mic in sorted(state.mics.items())],
    }


def put_into(state: State, plain: Any) -> list[str]:
    """Put a state as it was written into an empty one, as far as its room still has what it names.

    The answer is one sentence for each thing that no longer holds or means something else now. Nothing is moved to
    another jack: where the plug is in truth, only someone at the bay can see.
    """
    words: list[str] = []
    for number, ends, length_cm, plugs in plain["cords"]:
        words += _put_cord(state, number, ends, length_cm, plugs)
    for switch, ports in plain["phantom"]:
        words += _put_phantom(state, switch, ports)
    for line, mic in plain["mics"]:
        words += _put_mic(state, line, mic)
    return words


def wired_to(room: Room, jack: int) -> str | None:
    """The name of the port at a jack's rear; None where there is none."""
    port = room.port_at[jack]
    return None if port == NO_PORT else room.ports[port].name


def _put_cord(state: State, number: int, ends: int, length_cm: float | None, plugs: list[list[Any]]) -> list[str]:
    room = state.room
    words = []
    held = []
    for address, wired in plugs:
        jack = jack_at(room, address)
        if jack is None:
            words.append(f"cord {number}: the room has no jack {address} now{_where_now(room, wired)}")
            continue
        held.append(jack)
        now = wired_to(room, jack)
        if now != wired:
            words.append(
                f"cord {number} stays in {address}, which was {wired or 'wired to nothing'} and is "
                f"{now or 'wired to nothing'} now{_where_now(room, wired)}"
            )
    if len(held) < len(plugs):
        left = list_words([room.jacks[jack].address for jack in held])
        words.append(
            f"cord {number} stays in {left} with a loose end" if held else f"cord {number} is out of the record's bay"
        )
    if held:
        state.edit(Edit("cords", number, Cord(tuple(held), ends, length_cm)))
        for jack in held:
            state.edit(Edit("plugs", jack, number))
    return words


def _put_phantom(state: State, switch: str, ports: list[str]) -> list[str]:
    room = state.room
    if switch not in room.ports_of_switch:
        return [f"phantom '{switch}' was on at {list_words(ports)}: the room has no such supply now"]
    state.edit(Edit("switches", switch, True))
    now = [room.ports[port].name for port in room.ports_of_switch[switch]]
    if sorted(now) == sorted(ports):
        return []
    return [f"phantom '{switch}' stays on: it fed {list_words(ports)} and feeds {list_words(now)} now"]


def _put_mic(state: State, line: str, mic: str) -> list[str]:
    room = state.room
    port, microphone = room.port_named.get(line), room.mic_named.get(mic)
    if port is None:
        return [f"the {mic} stood on {line}: the room has no {line} now"]
    if not port.kind.is_mic_line:
        return [f"the {mic} stood on {line}, which is no microphone line now but a {port.kind.name}"]
    if microphone is None:
        return [f"the {mic} stood on {line}: the locker has no {mic} now"]
    state.edit(Edit("mics", port.index, microphone))
    return []


def jack_at(room: Room, address: str) -> int | None:
    """The number of the jack at an address; None where the room has none."""
    place = split_address(address)
    jack = room.jack_at(*place) if place else None
    return None if jack is None else jack.index


def _where_now(room: Room, wired: str | None) -> str:
    """Where what was wired to a jack is now."""
    port = room.port_named.get(wired) if wired else None
    if port is None:
        return f"; there is no {wired} either" if wired else ""
    jacks = [room.jacks[jack].address for jack in room.jacks_of_port[port.index]]
    return f"; {port.name} is at {list_words(jacks)}" if jacks else f"; {port.name} is at no jack"
