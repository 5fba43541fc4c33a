"""The proof: the tests that show whether what is behind the panel is what the room file says, in the order of a walk."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator, Sequence
from functools import cache, partial
from itertools import pairwise
from typing import Any, NamedTuple

from model.bench.jumpers import BOTTOM, REST, STATES, TOP, closed
from model.bench.meetings import nets_at_rest
from model.bench.methods import (
    BY_FAMILY,
    METER,
    METHODS,
    PHANTOM_SHARE,
    PROBE_OHM,
    TERMINATION_OHM,
    TERMINATION_SHARE,
    TONE,
    VOLTMETER,
)
from model.bench.order import touched
from model.bench.pairs import Pair, bay_of, changed_pairs, columns, jacks_by_address, pairs_of
from model.language.targets import wired_words
from model.room.kinds import NO_NORMAL
from model.room.wiring import NO_PORT, Room, line_contact

NORMAL, NEIGHBOURS, LEFT_RIGHT, TIE, MULT, PHANTOM, TERMINATION = (
    "normal",
    "neighbours",
    "left and right",
    "tie line",
    "mult",
    "phantom",
    "termination",
)
CLOSED, OPEN = "closed", "open"
TIP, RING, SLEEVE, ALL = "tip", "ring", "sleeve", "all"
AUDIO = (TIP, RING)


class Trial(NamedTuple):
    """One test of the proof. ``top`` and ``bottom`` are the jacks at which something goes in and is read."""

    kind: str
    state: str  # one of STATES
    top: int
    bottom: int
    conductor: str
    expected: str
    method: str
    about: str = ""  # a tie line's or a mult's name, or what else must be known
    low: float | None = None  # of a figure, in the unit of what is expected
    high: float | None = None

    @property
    def dummy(self) -> int | None:
        """The jack that holds the dummy, a plug with nothing wired to it."""
        return {TOP: self.top, BOTTOM: self.bottom}.get(self.state)


def make_proof(room: Room, old: Room | None = None, quick: bool = False) -> list[Trial]:
    """The tests of a room. ``old``: only what differs from it, and its neighbours. ``quick``: normals, tip and ring."""
    only = None if old is None else _touched_jacks(old, room)
    trials: list[Trial] = []
    for bay in _by_bay(room, only):
        for state in STATES:
            for pair in bay:
                trials += _normal_tests(room, pair, state, quick)
    if quick:
        return trials
    for find in (_neighbours, _left_and_right, _ties, _mults, _phantom, _terminations):
        trials += (trial for trial in find(room) if only is None or trial.top in only or trial.bottom in only)
    return trials


def _touched_jacks(old: Room, room: Room) -> set[int]:
    """The jacks whose normals or ports differ from an older room's, with those beside them."""
    jacks = {jack for pair in touched(room, changed_pairs(old, room)) for jack in pair}
    was = jacks_by_address(old)
    for jack in room.jacks:
        before = was.get(jack.address.lower())
        if before is None or wired_words(old, before) != wired_words(room, jack.index):
            row = room.rows[jack.row]
            jacks.update(
                near
                for near in (jack.index - 1, jack.index, jack.index + 1)
                if row.first <= near < row.first + row.points
            )
    return jacks


def _by_bay(room: Room, only: Collection[int] | None) -> Iterator[list[Pair]]:
    """The pairs to be tested, bay by bay: those with a normal, and those with something behind both jacks."""
    bays: dict[int, list[Pair]] = {}
    for pair in pairs_of(room):
        if only is not None and pair.top not in only and pair.bottom not in only:
            continue
        if pair.kind != NO_NORMAL or (_wired(room, pair.top) and _wired(room, pair.bottom)):
            bays.setdefault(bay_of(room, pair.top), []).append(pair)
    yield from bays.values()


def _wired(room: Room, jack: int) -> bool:
    return room.port_at[jack] != NO_PORT or jack in room.ties_at or jack in room.mult_at


def _normal_tests(room: Room, pair: Pair, state: str, quick: bool) -> Iterator[Trial]:
    method = _method(room, pair)
    expected = CLOSED if _is_joined(room, pair, state) else OPEN
    sleeve = room.bays[bay_of(room, pair.top)].sleeve
    conductors: tuple[str, ...] = AUDIO if method == METER else (ALL,)
    if method == METER and sleeve == "carried" and not quick:
        conductors = (*AUDIO, SLEEVE)
    for conductor in conductors:
        yield Trial(NORMAL, state, pair.top, pair.bottom, conductor, expected, method)
    if method == METER and sleeve == "bussed" and state == REST and not quick:
        yield Trial(NORMAL, state, pair.top, pair.bottom, SLEEVE, CLOSED, method, "bussed all along the bay")


def _is_joined(room: Room, pair: Pair, state: str) -> bool:
    """Whether a pair is joined in one of the three states: by its normal, or another way round by mults, ties and the like."""
    if closed(pair.kind, state):
        return True
    dummy = {TOP: pair.top, BOTTOM: pair.bottom}.get(state)
    net = [line_contact(pair.top)]
    seen = set(net)
    for here in net:  # grows while it is walked
        if here == line_contact(pair.bottom):
            return True
        # an empty jack's line contact touches its normal contact
        for there in (*room.wires[here], *(() if here >> 1 == dummy else (here ^ 1,))):
            if there not in seen:
                seen.add(there)
                net.append(there)
    return False


def _method(room: Room, pair: Pair) -> str:
    """By which method a pair is tested: by the ports behind it."""
    families = {room.ports[at].kind.family for jack in pair[:2] if (at := room.port_at[jack]) != NO_PORT}
    return next((BY_FAMILY[family] for family in sorted(families) if family in BY_FAMILY), METER)


def _neighbours(room: Room) -> Iterator[Trial]:
    """Shorts to the next column: along each row, and across, where a crossed or a shifted normal shows."""
    nets = nets_at_rest(room)

    def apart(a: int, b: int) -> Iterator[Trial]:
        if _wired(room, a) and _wired(room, b) and nets[a] != nets[b]:
            yield Trial(NEIGHBOURS, REST, a, b, ALL, OPEN, METER)

    for bay in room.bays:
        if len(bay.rows) == 1:
            row = room.rows[bay.rows[0]]
            for jack in range(row.first, row.first + row.points - 1):
                yield from apart(jack, jack + 1)
        pairs = list(columns(room, bay.index))
        for (top, bottom), (next_top, next_bottom) in pairwise(pairs):
            yield from apart(top, next_top)
            yield from apart(bottom, next_bottom)
            yield from apart(top, next_bottom)
            yield from apart(next_top, bottom)


_SIDE = re.compile(r"\b[LR]\b")


def _left_and_right(room: Room) -> Iterator[Trial]:
    """Two jacks side by side whose outputs differ in L and R alone: tone into the left one is heard there alone."""
    for row in room.rows:
        for jack in range(row.first, row.first + row.points - 1):
            here, there = room.port_at[jack], room.port_at[jack + 1]
            if here == NO_PORT or there == NO_PORT or not room.ports[here].kind.is_output:
                continue
            left, right = room.ports[here].name, room.ports[there].name
            sides = _SIDE.findall(left), _SIDE.findall(right)
            if _SIDE.sub("", left) == _SIDE.sub("", right) and sides == (["L"], ["R"]):
                yield Trial(LEFT_RIGHT, REST, jack, jack + 1, ALL, "left alone", TONE, f"{left} and {right}")


def _ties(room: Room) -> Iterator[Trial]:
    for tie in room.ties:
        for conductor in AUDIO:
            yield Trial(TIE, REST, tie.a, tie.b, conductor, CLOSED, METER, tie.name)


def _mults(room: Room) -> Iterator[Trial]:
    for mult in room.mults:
        for jack in mult.jacks[1:]:
            for conductor in AUDIO:
                yield Trial(MULT, REST, mult.jacks[0], jack, conductor, CLOSED, METER, mult.name)


def _phantom(room: Room) -> Iterator[Trial]:
    """Each leg of each supply under load: an unloaded meter sees no bad joint. A divider: U = V R / (R + feed)."""
    for port in room.ports:
        jacks = room.jacks_of_port[port.index]
        if port.supply is None or port.supply.feed_ohm is None or not jacks:
            continue
        volts = port.supply.volts * PROBE_OHM / (PROBE_OHM + port.supply.feed_ohm)
        low, high = volts * (1 - PHANTOM_SHARE), volts * (1 + PHANTOM_SHARE)
        for leg in AUDIO:
            yield Trial(PHANTOM, REST, jacks[0], jacks[0], leg, f"{volts:.3g} V", VOLTMETER, port.name, low, high)


def _terminations(room: Room) -> Iterator[Trial]:
    """Each clock line has one termination, at its last input."""
    nets = nets_at_rest(room)
    seen: set[int] = set()
    for port in room.ports:
        jacks = room.jacks_of_port[port.index]
        if port.kind.family != "clock" or port.kind.is_output or not jacks or nets[jacks[0]] in seen:
            continue
        seen.add(nets[jacks[0]])
        low, high = (TERMINATION_OHM * (1 + share) for share in (-TERMINATION_SHARE, TERMINATION_SHARE))
        expected = f"{TERMINATION_OHM:g} ohm"
        yield Trial(TERMINATION, REST, jacks[0], jacks[0], TIP, expected, METER, port.name, low, high)


def minutes_of(trials: Collection[Trial]) -> float:
    """How long the tests take, in minutes: an estimate."""
    return sum(METHODS[trial.method].minutes for trial in trials)


def place_words(room: Room, jack: int) -> str:
    """Where a signal or a meter goes in or is read: never at the front, where a plug would open the normal under test."""
    port = room.port_at[jack]
    rear = f"the rear of {room.jacks[jack].address}"
    return rear if port == NO_PORT else f"{room.ports[port].name} at its gear, or {rear}"


def limit_words(trial: Trial) -> str:
    """What the expected value looks like on the instrument."""
    if trial.low is not None and trial.high is not None:
        unit = trial.expected.rpartition(" ")[2]
        legs = "; the two legs within 0.1 V" if trial.kind == PHANTOM else ""
        return f"{trial.low:.3g} to {trial.high:.3g} {unit}{legs}"
    method = METHODS[trial.method]
    return {CLOSED: method.closed, OPEN: method.open}.get(trial.expected, "")


# The members of each object of `proof --json`, and the columns of the table that is filled in.
COLUMNS = (
    "number", "test", "bay", "state", "dummy", "top", "bottom", "conductor", "in", "read", "by", "about", "expected",
    "limit", "minutes",
)  # fmt: skip


def as_json(room: Room, trials: Sequence[Trial]) -> Iterator[dict[str, Any]]:
    """The objects of `proof --json`, one a test; ``number`` counts from 1."""
    jacks, places = room.jacks, cache(partial(place_words, room))
    bays = [room.bays[row.bay].name for row in room.rows]
    for number, trial in enumerate(trials, 1):
        method, dummy = METHODS[trial.method], trial.dummy
        yield {
            "number": number,
            "test": trial.kind,
            "bay": bays[jacks[trial.top].row],
            "state": trial.state,
            "dummy": None if dummy is None else jacks[dummy].address,
            "top": jacks[trial.top].address,
            "bottom": jacks[trial.bottom].address,
            "conductor": trial.conductor,
            "in": places(trial.top),
            "read": places(trial.bottom),
            "by": method.words,
            "about": trial.about,
            "expected": trial.expected,
            "limit": limit_words(trial),
            "minutes": method.minutes,
        }
