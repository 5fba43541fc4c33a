"""How two contacts of the wiring are joined at this moment, each joint with its name; and which plug opens a normal.

A joint leads from one contact to another: a normal's wire, a tie line, a mult, a port that is wired to two jacks, a cord,
or, inside an empty jack, the touch of its normal contact on its line contact. On a way through the bay that touch is no
step of its own: it belongs to the normal whose contact it is.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from itertools import pairwise
from typing import NamedTuple

from model.bay.state import State
from model.room.kinds import NORMAL_KINDS
from model.room.wiring import NO_PORT, Normal, Room, line_contact

NORMAL, TIE, MULT, PORT, CORD = "normal", "tie", "mult", "port", "cord"

# For each contact that a walk reached, the contact from which it was reached; the contacts it started from have none.
Walk = dict[int, int | None]


class Step(NamedTuple):
    """One joint on a way, in the direction of the signal."""

    kind: str  # of the table above
    name: str  # 'full normal', 'Tie 3', 'Mult 1', 'Mix L' (wired to both jacks), 'cord 7'
    contacts: tuple[int, ...]  # all contacts it passes, the normal contacts that touch in empty jacks among them
    cord: int | None = None

    @property
    def start(self) -> int:
        """The contact that it leads from."""
        return self.contacts[0]

    @property
    def end(self) -> int:
        """The contact that it leads to."""
        return self.contacts[-1]

    def backwards(self) -> Step:
        """The same joint, led through the other way."""
        return self._replace(contacts=self.contacts[::-1])

    def words(self, room: Room) -> str:
        """The joint in words: 'A5 > B5, full normal, closed'."""
        return (
            f"{contact_words(room, self.start)} > {contact_words(room, self.end)}, {joint_words(self.kind, self.name)}"
        )


class OpenNormal(NamedTuple):
    """A normal that joins nothing now, and the plugs that open it: jack and number of the cord."""

    normal: Normal
    plugs: tuple[tuple[int, int], ...]

    def words(self, state: State) -> str:
        """In words: 'A5 > B5, full normal, open: cord 7 is in B5'."""
        jacks = state.room.jacks
        held = " and ".join(f"cord {cord} is in {jacks[jack].address}" for jack, cord in self.plugs)
        ends = f"{jacks[self.normal.top].address} > {jacks[self.normal.bottom].address}"
        return f"{ends}, {NORMAL_KINDS[self.normal.kind].words}, open: {held}"


def contact_words(room: Room, contact: int) -> str:
    """A contact's name: the jack's address for its line contact."""
    address = room.jacks[contact >> 1].address
    return f"{address}'s normal contact" if contact & 1 else address


_SAYS = {
    NORMAL: "{}, closed",
    TIE: "tie line {}",
    MULT: "mult {}",
    PORT: "{} is wired to both",
    CORD: "{}",
}


def joint_words(kind: str, name: str) -> str:
    """What a joint is, without its ends; a name that says its kind itself ('Tie 3', 'Mult 1') is left as it is."""
    if kind in (TIE, MULT) and name.casefold().startswith(kind):
        return name
    return _SAYS[kind].format(name)


def joined_to(state: State, contact: int, blocked: Collection[int] = ()) -> list[int]:
    """The contacts that one joint leads to. ``blocked`` jacks count as if they held a plug."""
    found = list(state.room.wires[contact])
    number = state.plugs.get(contact >> 1)
    if number is None:
        if contact >> 1 not in blocked:
            found.append(contact ^ 1)
    elif not contact & 1:
        found += [line_contact(jack) for jack in state.cords[number].plugs if jack != contact >> 1]
    return found


def walk(state: State, starts: Iterable[int], blocked: Collection[int] = ()) -> Walk:
    """All contacts joined to some contacts now, the nearest first. Cost follows the net, not the room."""
    reached: Walk = dict.fromkeys(starts)
    todo = list(reached)
    for here in todo:  # grows while it is walked
        for there in joined_to(state, here, blocked):
            if there not in reached:
                reached[there] = here
                todo.append(there)
    return reached


def path_to(reached: Walk, contact: int) -> list[int]:
    """The contacts on the way of a walk from its start to a contact."""
    path = [contact]
    while (before := reached[path[-1]]) is not None:
        path.append(before)
    path.reverse()
    return path


def steps_of(state: State, path: Sequence[int]) -> tuple[Step, ...]:
    """The joints of a path of contacts from one line contact to another."""
    steps: list[Step] = []
    entered: int | None = None  # the line contact of an empty jack whose normal contact the path has just gone to
    for here, there in pairwise(path):
        if here >> 1 != there >> 1:
            step = joint(state, here, there)
            if entered is not None:
                step = step._replace(contacts=(entered, *step.contacts))
            steps.append(step)
            entered = None
        elif there & 1:
            entered = here
        else:
            steps[-1] = steps[-1]._replace(contacts=(*steps[-1].contacts, there))
    return tuple(steps)


def joint(state: State, a: int, b: int) -> Step:
    """The joint between two contacts that one wire or one cord joins."""
    room = state.room
    jack, other = a >> 1, b >> 1
    for normal in room.normals_at.get(jack, ()):
        if {a, b} == set(room.ends_of_normal(normal)):
            return Step(NORMAL, NORMAL_KINDS[normal.kind].words, (a, b))
    if not a & 1 and not b & 1:
        for tie in room.ties_at.get(jack, ()):
            if {jack, other} == {tie.a, tie.b}:
                return Step(TIE, tie.name, (a, b))
        if b in room.wires[a]:
            mult = room.mult_at.get(jack)
            if mult is not None and other in mult.jacks:
                return Step(MULT, mult.name, (a, b))
            port = room.port_at[jack]
            if port != NO_PORT and port == room.port_at[other]:
                return Step(PORT, room.ports[port].name, (a, b))
        number = state.plugs.get(jack)
        if number is not None and number == state.plugs.get(other):
            return Step(CORD, f"cord {number}", (a, b), number)
    raise ValueError(f"nothing joins {contact_words(room, a)} to {contact_words(room, b)}")


def open_normals_at(state: State, jack: int) -> list[OpenNormal]:
    """The normals of a jack that a plug opens now."""
    found = []
    for normal in state.room.normals_at.get(jack, ()):
        kind = NORMAL_KINDS[normal.kind]
        switched = [j for j, at in ((normal.top, kind.top_at_normal), (normal.bottom, kind.bottom_at_normal)) if at]
        plugs = tuple((j, state.plugs[j]) for j in switched if j in state.plugs)
        if plugs:
            found.append(OpenNormal(normal, plugs))
    return found


def normal_of_contact(state: State, contact: int, beside: int) -> Normal | None:
    """The normal whose wire joins a normal contact to another contact."""
    ends = {contact, beside}
    return next(
        (n for n in state.room.normals_at.get(contact >> 1, ()) if set(state.room.ends_of_normal(n)) == ends), None
    )
