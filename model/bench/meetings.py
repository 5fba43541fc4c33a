"""What would meet at rest while normals are changed one after the other, with the gear alive.

At rest every jack is empty and its line contact touches its normal contact: then each normal joins its pair, whatever its
kind. Only a normal that is set can join what was apart.
"""

from __future__ import annotations

from collections.abc import Iterable
from itertools import pairwise

from model.bench.pairs import Changed, Jacks, kinds_of
from model.room.kinds import NO_NORMAL
from model.room.wiring import NO_PORT, Room


class AtRest:
    """The jacks that are joined in a room at rest, with normals that come and go.

    Two outputs, or a phantom supply and another port, may meet on the way only where they do so in the room as it was or
    as it will be.
    """

    def __init__(self, room: Room, before: Iterable[Jacks], after: Iterable[Jacks]) -> None:
        self.room = room
        before = list(before)
        self._fixed: dict[int, list[int]] = {}
        for tie in room.ties:
            _join(self._fixed, tie.a, tie.b)
        for chained in (*(mult.jacks for mult in room.mults), *room.jacks_of_port):
            for a, b in pairwise(chained):
                _join(self._fixed, a, b)
        self.after = self._nets(after)
        self._before = self._nets(before)  # and from here on the normals are those of before

    def _nets(self, normals: Iterable[Jacks]) -> list[int]:
        """For each jack, the number of the net that it is on with these normals."""
        self._normals: dict[int, list[int]] = {}
        for a, b in normals:
            _join(self._normals, a, b)
        of = [-1] * len(self.room.jacks)
        for jack in range(len(of)):
            if of[jack] < 0:
                for here in self._net(jack):
                    of[here] = jack
        return of

    def _net(self, jack: int) -> list[int]:
        net, seen = [jack], {jack}
        for here in net:  # grows while it is walked
            for there in (*self._fixed.get(here, ()), *self._normals.get(here, ())):
                if there not in seen:
                    seen.add(there)
                    net.append(there)
        return net

    def apply(self, changes: Iterable[tuple[Jacks, bool]]) -> bool:
        """Set (True) or take out normals in order. Where something foreign would meet: False, and nothing is changed."""
        done: list[tuple[Jacks, bool]] = []
        for jacks, is_set in changes:
            self._edit(jacks, is_set)
            done.append((jacks, is_set))
            if is_set and self._foreign_meet(jacks[0]):
                for undo, was_set in reversed(done):
                    self._edit(undo, not was_set)
                return False
        return True

    def _edit(self, jacks: Jacks, is_set: bool) -> None:
        if is_set:
            _join(self._normals, *jacks)
        else:
            for a, b in (jacks, jacks[::-1]):
                self._normals[a].remove(b)

    def _foreign_meet(self, jack: int) -> bool:
        ports = self.room.ports
        wired = [(here, ports[at]) for here in self._net(jack) if (at := self.room.port_at[here]) != NO_PORT]
        outputs = [here for here, port in wired if port.kind.is_output]
        supplies = [here for here, port in wired if port.supply is not None]
        return any(self._apart(a, b) for a in outputs for b in outputs) or any(
            self._apart(a, b) for a in supplies for b, _ in wired
        )

    def _apart(self, a: int, b: int) -> bool:
        return self._before[a] != self._before[b] and self.after[a] != self.after[b]


def _join(joined: dict[int, list[int]], a: int, b: int) -> None:
    joined.setdefault(a, []).append(b)
    joined.setdefault(b, []).append(a)


def edits_of(changes: Iterable[Changed]) -> list[tuple[Jacks, bool]]:
    """What changes do at rest: normals that are set or taken out; a normal of another kind joins the same."""
    return [
        ((change.top, change.bottom), change.then != NO_NORMAL)
        for change in changes
        if NO_NORMAL in (change.now, change.then)
    ]


def nets_at_rest(room: Room) -> list[int]:
    """For each jack, the number of the net that it is on while every jack is empty."""
    return AtRest(room, (), kinds_of(room)).after
