"""What the field shows of each jack and normal at this moment. Nothing here draws."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import NamedTuple

from model.bay.state import State
from model.live.patch import Patch
from model.room.wiring import NO_PORT, Normal, Room
from model.session import Session
from model.signal.warning import SEVERITIES, Alert
from tui.screen.marks import BESIDE_JACKS


class JackLook(NamedTuple):
    """A jack: the mark before it (or none), the number of the cord that it holds or would hold, and what is behind it."""

    mark: str | None
    cord: int | None
    behind: str  # wired, tie, mult, bare


class NormalLook(NamedTuple):
    """What stands between a jack and the one below it: a normal or none, whether it is open, and cross normals."""

    kind: str | None
    is_open: bool
    cross: str | None


def opened_by(state: State, normal: Normal) -> list[int]:
    """The jacks whose plugs hold a normal open: none, then it is closed. A normal contact opens when its jack is plugged."""
    room = state.room
    return [
        jack
        for jack, node in zip((normal.top, normal.bottom), room.ends_of_normal(normal), strict=True)
        if node & 1 and jack in state.plugs
    ]


def jacks_warned(patch: Patch) -> dict[int, str]:
    """The jacks on nets of which a warning stands, with the worst severity."""
    worst: dict[int, str] = {}
    for warning in reversed(patch.standing_warnings()):  # the worst last: it stays
        for jack in jacks_of(patch, warning):
            worst[jack] = warning.severity
    return worst


def jacks_of(patch: Patch, warning: Alert) -> set[int]:
    """The jacks that a warning is about: those of its net, of its ports, and those it names."""
    room = patch.room
    jacks: set[int] = set()
    if warning.node >= 0:
        jacks.update(node >> 1 for node in patch.state.nodes_joined_to(warning.node) if not node & 1)
    for name in warning.ports:
        port = room.port_named.get(name)
        if port is not None:
            jacks.update(room.jacks_of_port[port.index])
    named = set(warning.jacks)
    if named:
        jacks.update(jack for jack in patch.state.plugs if room.jacks[jack].address in named)
    return jacks


class BayView:
    """The marks of the field. Each ``set_`` answers which jacks look different now."""

    def __init__(self, session: Session) -> None:
        self.session = session
        self.room: Room = session.room
        self.cursor = 0
        self.wanted: Mapping[int, int | None] = {}  # jack: number of the cord that it would hold
        self.lit: frozenset[int] = frozenset()
        self.changed: frozenset[int] = frozenset()
        self.warned: dict[int, str] = {}
        self._beside: dict[int, str] = {}
        self._behind: dict[int, str] = {}
        self._between: dict[int, NormalLook] = {}
        self.after_line((), ())

    @property
    def patch(self) -> Patch:
        """The live patch."""
        return self.session.patch

    @property
    def state(self) -> State:
        """The state of the bay."""
        return self.session.patch.state

    def set_cursor(self, jack: int) -> set[int]:
        """Describe a jack."""
        old, self.cursor = self.cursor, jack
        return {old, jack} if old != jack else set()

    def set_wanted(self, wanted: Mapping[int, int | None]) -> set[int]:
        """The jacks that the entry being typed is about."""
        old, self.wanted = self.wanted, wanted
        return {jack for jack in {*old, *wanted} if old.get(jack, -1) != wanted.get(jack, -1)}

    def after_line(self, changed: Iterable[int], lit: Iterable[int]) -> None:
        """A line was done: everything may look different."""
        self.changed, self.lit = frozenset(changed), frozenset(lit)
        self.warned = jacks_warned(self.patch)
        self._between.clear()
        cords = self.state.cords.values()
        holding: dict[str, Iterable[int]] = {
            "lit": self.lit,
            "changed": self.changed,
            "loose": [cord.plugs[0] for cord in cords if len(cord.plugs) == 1],
            **{s: [jack for jack, severity in self.warned.items() if severity == s] for s in SEVERITIES},
        }
        self._beside = {}
        for mark in reversed(BESIDE_JACKS):  # the first of the table is written last, and stays
            self._beside.update(dict.fromkeys(holding.get(mark.name, ()), mark.name))

    def highest_number(self) -> int:
        """The highest cord number that must be shown."""
        return max(self.state.cords, default=0)

    def jack(self, jack: int) -> JackLook:
        """How a jack looks."""
        number = self.state.plugs.get(jack)
        mark = self._beside.get(jack)
        if jack in self.wanted:
            mark = "wanted"
            number = self.wanted[jack] or number
        if jack == self.cursor:
            mark = "cursor"
        return JackLook(mark, number, self.behind(jack))

    def behind(self, jack: int) -> str:
        """What is wired to a jack's rear."""
        found = self._behind.get(jack)
        if found is None:
            found = self._behind[jack] = self._wired_to(jack)
        return found

    def _wired_to(self, jack: int) -> str:
        if self.room.port_at[jack] != NO_PORT:
            return "wired"
        if jack in self.room.ties_at:
            return "tie"
        return "mult" if jack in self.room.mult_at else "bare"

    def between(self, above: int, below: int | None) -> NormalLook:
        """What stands between a jack and the one under it."""
        found = self._between.get(above)
        if found is None:
            found = self._between[above] = self._look_between(above, below)
        return found

    def _look_between(self, above: int, below: int | None) -> NormalLook:
        at = self.room.normals_at
        kind, is_open = None, False
        crosses: dict[str, list[bool]] = {"above": [], "below": []}
        for side, jack in (("above", above), ("below", below)):
            for normal in at.get(jack, ()) if jack is not None else ():
                opened = bool(opened_by(self.state, normal))
                if not normal.cross and {normal.top, normal.bottom} == {above, below}:
                    kind, is_open = normal.kind, opened
                else:
                    crosses[side].append(opened)
        sides = [side for side, found in crosses.items() if found]
        cross = None
        if sides:
            cross = f"cross {'both' if len(sides) == 2 else sides[0]}"
            if any(crosses["above"] + crosses["below"]):
                cross += ", open"
        if kind is None:
            kind, is_open = self._cross_kind(above, below)
        return NormalLook(kind, is_open, cross)

    def _cross_kind(self, above: int, below: int | None) -> tuple[str | None, bool]:
        """The kind of the only cross normal of two jacks, which has the place between them to itself."""
        at = self.room.normals_at
        crosses = [*at.get(above, ()), *(at.get(below, ()) if below is not None else ())]
        if len(crosses) != 1:
            return None, False
        return crosses[0].kind, bool(opened_by(self.state, crosses[0]))
