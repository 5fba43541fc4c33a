"""Where the way of a signal is broken: the first source that should feed something, and the plugs that keep it away.

What should feed it is what would, were no plug in the way: the way is followed upward over joints that stand and over
normals that plugs open, and the one with the fewest open normals is taken.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Iterable, Iterator
from itertools import pairwise
from typing import NamedTuple

from model.bay.state import State
from model.room.kinds import NORMAL_KINDS
from model.room.wiring import NO_PORT, Normal, Room, line_contact
from model.signal.flow import begins
from model.way.joints import joined_to, normal_of_contact


class Break(NamedTuple):
    """A normal that is open, and the plug that opens it."""

    normal: Normal
    jack: int
    cord: int

    def words(self, state: State) -> str:
        """In words: 'the full normal A5 > B5 is open, because a plug of cord 7 is in B5'."""
        jacks = state.room.jacks
        loose = " (its other end is loose)" if len(state.cords[self.cord].plugs) == 1 else ""
        kind = NORMAL_KINDS[self.normal.kind].words
        return (
            f"the {kind} {jacks[self.normal.top].address} > {jacks[self.normal.bottom].address} is open, because a plug "
            f"of cord {self.cord}{loose} is in {jacks[self.jack].address}"
        )


class Missing(NamedTuple):
    """A source that should feed something, and what breaks the way from it, the first break first."""

    source: int  # port
    breaks: tuple[Break, ...]


# A place on the way up: a contact, or -1 - a port.
Place = int


def missing(state: State, contacts: Iterable[int]) -> Missing | None:
    """The nearest source that should feed some contacts: the fewest breaks away; None where no wiring leads to one."""
    room = state.room
    came_from: dict[Place, Place | None] = {}
    waiting: deque[tuple[Place, Place | None]] = deque((contact, None) for contact in contacts)
    # nearest first: a joint that stands costs nothing and is taken at once, an open normal waits behind all that stands
    while waiting:
        place, before = waiting.popleft()
        if place in came_from:
            continue
        came_from[place] = before
        if place < 0:
            port = -1 - place
            if begins(room, port):
                return Missing(port, _breaks(state, came_from, place))
            for entry in room.carried_from(port):
                waiting.extendleft((line_contact(jack), place) for jack in room.jacks_of_port[entry])
            continue
        for there in _joined(state, place):
            waiting.appendleft((there, place))
        if place >> 1 in state.plugs:
            waiting.append((place ^ 1, place))
    return None


def _joined(state: State, contact: int) -> Iterator[Place]:
    yield from joined_to(state, contact)
    port = NO_PORT if contact & 1 else state.room.port_at[contact >> 1]
    if port != NO_PORT and state.room.ports[port].kind.is_output:
        yield -1 - port


def _breaks(state: State, came_from: dict[Place, Place | None], source: Place) -> tuple[Break, ...]:
    """The open normals between a source and where the search began, in the direction of the signal."""
    way: list[Place] = [source]
    while (before := came_from[way[-1]]) is not None:
        way.append(before)
    found: list[Break] = []
    for number, (here, there) in enumerate(pairwise(way)):
        if here < 0 or there < 0 or here ^ 1 != there or here >> 1 not in state.plugs:
            continue
        # beside a jack's normal contact lies the wire of the normal
        contact, beside = (here, way[number - 1]) if here & 1 else (there, way[number + 2])
        normal = None if beside < 0 else normal_of_contact(state, contact, beside)
        if normal is not None:
            found.append(Break(normal, here >> 1, state.plugs[here >> 1]))
    return tuple(found)


def source_words(room: Room, state: State, port: int) -> str:
    """A source in words, with the microphone on it where it is a microphone line."""
    found = room.ports[port]
    mic = state.mics.get(port)
    return f"{found.name} (the {mic.name} on it)" if mic is not None else found.name
