"""Mistakes of wiring, made deliberately in a right room: a table that `check` must find, and one that it must let pass.

Each entry makes one mistake somewhere in a room, drawn at random among the places where it can be made, and says which
finding must come and at which jacks. A room without such a place has no mistake of that kind.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from itertools import pairwise
from random import Random
from typing import NamedTuple

from model.check.numbering import Label, Labels
from model.check.pairs import Pair, columns, house_jacks, runs
from model.room.kinds import KINDS
from model.room.wiring import NO_PORT, HouseCord, Mult, Normal, Port, Room, Supply, Tie


class Made(NamedTuple):
    """A room with a mistake in it: the jacks that the one finding must name, and what follows from it besides."""

    room: Room
    jacks: set[int]
    also: tuple[str, ...] = ()  # other findings that come of the same mistake


class Mistake(NamedTuple):
    """A mistake and the finding that must come of it."""

    name: str
    finding: str
    make: Callable[[Random, Room], Made | None]


# Places in a room


def stretches(room: Room, alike: Callable[[Pair], object] = lambda p: (p.above.stem, p.below.stem)) -> list[list[Pair]]:
    """The runs of pairs of a room, where no house cord is plugged."""
    labels, house = Labels(room), house_jacks(room)
    found = []
    for panel in columns(room, labels):
        free = [None if pair is None or {pair.top, pair.bottom} & house else pair for pair in panel]
        found += list(runs(free, alike))
    return found


def normalled(run: list[Pair]) -> bool:
    """Whether all of a run have one kind of normal."""
    return run[0].kind != "none" and len({pair.kind for pair in run}) == 1


def port(room: Room, jack: int) -> Port | None:
    """The port behind a jack."""
    return None if room.port_at[jack] == NO_PORT else room.ports[room.port_at[jack]]


def kinds(room: Room, pair: Pair) -> tuple[str, str]:
    """The kinds of port of a pair; 'tie' for a tie line."""
    top, bottom = port(room, pair.top), port(room, pair.bottom)
    return (top.kind.name if top else "tie", bottom.kind.name if bottom else "tie")


def bare(room: Room) -> list[int]:
    """Jacks with nothing behind them and no normal."""
    used = set(room.ties_at) | set(room.mult_at) | set(room.normals_at) | house_jacks(room)
    return [jack.index for jack in room.jacks if jack.port == NO_PORT and jack.index not in used]


def unnormalled(room: Room) -> list[int]:
    """Jacks with an input behind them that no normal feeds."""
    used = set(room.normals_at) | set(room.mult_at) | set(room.ties_at) | house_jacks(room)
    return [j for j in range(len(room.jacks)) if (p := port(room, j)) and not p.kind.is_output and j not in used]


# Changes


def without(room: Room, pairs: list[Pair]) -> Room:
    """The room without the normals of some pairs."""
    gone = {(pair.top, pair.bottom) for pair in pairs}
    return replace(room, normals=tuple(normal for normal in room.normals if normal[:2] not in gone))


def with_kind(room: Room, pairs: list[Pair], kind: str) -> Room:
    """The room with the normals of some pairs of another kind."""
    these = {(pair.top, pair.bottom) for pair in pairs}
    return replace(room, normals=tuple(n._replace(kind=kind) if n[:2] in these else n for n in room.normals))


def with_ports(room: Room, ports: dict[int, int]) -> Room:
    """The room with other ports at some jacks."""
    return replace(room, jacks=tuple(j._replace(port=ports.get(j.index, j.port)) for j in room.jacks))


def with_port(room: Room, changed: Port) -> Room:
    """The room with one port changed."""
    return replace(room, ports=(*room.ports[: changed.index], changed, *room.ports[changed.index + 1 :]))


def ends(pairs: list[Pair]) -> set[int]:
    """The jacks of some pairs."""
    return {jack for pair in pairs for jack in (pair.top, pair.bottom)}


def pick(rng: Random, runs_found: list[list[Pair]]) -> list[Pair] | None:
    """One of several runs."""
    return rng.choice(runs_found) if runs_found else None


# The mistakes


def missing_on_part(rng: Random, room: Room) -> Made | None:
    """The normals of less than half of a run of microphones are missing."""
    run = pick(
        rng,
        [
            r
            for r in stretches(room, lambda p: kinds(room, p))
            if kinds(room, r[0]) == ("mic line", "mic in") and len(r) > 3
        ],
    )
    if run is None:
        return None
    count = rng.randint(1, (len(run) - 1) // 2)
    first = rng.randrange(len(run) - count + 1)
    part = run[first : first + count]
    return Made(without(room, part), ends(part))


def one_of_stereo(rng: Random, room: Room) -> Made | None:
    """One of a stereo pair has no normal."""
    found = [r for r in stretches(room) if len(r) == 2 and normalled(r) and r[0].above.side and r[0].below.side]
    run = pick(rng, found)
    if run is None:
        return None
    one = [rng.choice(run)]
    return Made(without(room, one), ends(one))


def one_of_run_of_lines(rng: Random, room: Room) -> Made | None:
    """One of a run of line outputs has no normal."""
    run = pick(rng, [r for r in stretches(room) if len(r) > 2 and normalled(r) and kinds(room, r[0])[0] == "line out"])
    if run is None:
        return None
    one = [rng.choice(run)]
    return Made(without(room, one), ends(one))


def other_kind_in_run(rng: Random, room: Room) -> Made | None:
    """One of a run of half normals is full."""
    run = pick(rng, [r for r in stretches(room) if len(r) > 2 and normalled(r) and r[0].kind == "half"])
    if run is None:
        return None
    one = [rng.choice(run)]
    return Made(with_kind(room, one, "full"), ends(one))


def _inserts(room: Room) -> list[list[Pair]]:
    def of_one_gear(run: list[Pair]) -> bool:
        send, back = port(room, run[0].top), port(room, run[0].bottom)
        if send is None or back is None or send.gear != back.gear:
            return False
        onward = room.carried(back.index)
        return bool(onward) and send.index not in onward and normalled(run)

    return [run for run in stretches(room) if of_one_gear(run)]


def inserts_open(rng: Random, room: Room) -> Made | None:
    """No insert of a run is normalled."""
    run = pick(rng, [run for run in _inserts(room) if len(run) > 1])
    return None if run is None else Made(without(room, run), ends(run))


def _family_elsewhere(room: Room, run: list[Pair]) -> bool:
    """Whether the house patch cuts others of the run's family off."""
    labels = Labels(room)
    house = {label.stem for jack in house_jacks(room) if (label := labels.at(jack)) is not None}
    return run[0].above.stem in house or run[0].below.stem in house


def send_over_wrong_return(rng: Random, room: Room) -> Made | None:
    """The returns of two channels are exchanged: channel 1's send stands over channel 2's return."""
    run = pick(rng, [r for r in _inserts(room) if len(r) > 2 and not r[0].below.side])
    if run is None:
        return None
    at = rng.randrange(len(run) - 1)
    one, two = run[at : at + 2]
    ports = {one.bottom: room.port_at[two.bottom], two.bottom: room.port_at[one.bottom]}
    return Made(with_ports(room, ports), ends([one, two]))


def left_and_right_on_row(rng: Random, room: Room) -> Made | None:
    """L and R of a stereo pair are exchanged on their row."""
    labels = Labels(room)
    found = []
    for row in room.rows:
        last: tuple[int, Label] | None = None
        for jack in range(row.first, row.first + row.points):
            label = labels.at(jack)
            if last and label and label.stem == last[1].stem and (last[1].side, label.side) == ("L", "R"):
                found.append((last[0], jack))
            last = None if label is None else (jack, label)
    taken = house_jacks(room)
    found = [(a, b) for a, b in found if port(room, a) and port(room, b) and not {a, b} & taken]
    if not found:
        return None
    a, b = rng.choice(found)
    return Made(with_ports(room, {a: room.port_at[b], b: room.port_at[a]}), {a, b}, ("or more",))


def left_and_right_on_normal(rng: Random, room: Room) -> Made | None:
    """L and R are exchanged by cross normals."""
    found = [r for r in stretches(room) if len(r) == 2 and normalled(r) and r[0].above.side and r[0].below.side]
    run = pick(rng, found)
    if run is None:
        return None
    one, two = run
    crossed = (
        Normal(one.top, two.bottom, one.kind, True, one.line),
        Normal(two.top, one.bottom, one.kind, True, one.line),
    )
    made = without(room, run)
    return Made(replace(made, normals=(*made.normals, *crossed)), ends(run))


def _shifted(by: int) -> Callable[[Random, Room], Made | None]:
    def make(rng: Random, room: Room) -> Made | None:
        """The numbers of the lower row are shifted along a whole run; what falls off the end comes in at the start."""
        found = []
        for run in stretches(room):
            straight = all(pair.above.number == pair.below.number for pair in run)
            if (
                len(run) > by + 1
                and normalled(run)
                and straight
                and port(room, run[0].bottom)
                and not run[0].below.side
            ):
                found.append(run)
        run_found = pick(rng, found)
        if run_found is None:
            return None
        size = len(run_found)
        ports = {pair.bottom: room.port_at[run_found[(at + by) % size].bottom] for at, pair in enumerate(run_found)}
        return Made(with_ports(room, ports), ends(run_found))

    return make


def _shifted_with_rest(by: int) -> Callable[[Random, Room], Made | None]:
    def make(rng: Random, room: Room) -> Made | None:
        """The same, and what falls off comes up nowhere: the last jacks stand empty, without normals."""
        found, labels = [], Labels(room)
        for run in stretches(room):
            whole = run[0].above.number == 0 and len(labels.of_family(run[0].below)) == len(run)
            straight = all(pair.above.number == pair.below.number for pair in run)
            ports = port(room, run[0].bottom) is not None and not run[0].below.side
            if len(run) > by + 3 and normalled(run) and straight and whole and ports:
                found.append(run)
        run_found = pick(rng, found)
        if run_found is None:
            return None
        kept, left = run_found[:-by], run_found[-by:]
        moved = {pair.bottom: room.port_at[run_found[at + by].bottom] for at, pair in enumerate(kept)}
        moved |= {pair.bottom: NO_PORT for pair in left}
        return Made(with_ports(without(room, left), moved), ends(kept), ("never-wired",))

    return make


def tie_in_one_place(rng: Random, room: Room) -> Made | None:
    """A tie line between two jacks of one place."""
    free = bare(room)
    rng.shuffle(free)
    for a, b in pairwise(free):
        if room.place_of(a) == room.place_of(b):
            return Made(replace(room, ties=(*room.ties, Tie("Odd one", a, b, 3.0, 1))), {a, b})
    return None


def tie_on_port(rng: Random, room: Room) -> Made | None:
    """A tie line at a jack that bears a port."""
    found = [(a, b) for a in unnormalled(room) for b in bare(room)[:200] if room.place_of(a) != room.place_of(b)]
    if not found:
        return None
    a, b = rng.choice(found)
    return Made(replace(room, ties=(*room.ties, Tie("Odd one", a, b, 3.0, 1))), {a})


def tie_on_tie(rng: Random, room: Room) -> Made | None:
    """A tie line at a jack that bears another."""
    found = [(a, b) for a in room.ties_at for b in bare(room)[:50] if room.place_of(a) != room.place_of(b)]
    if not found:
        return None
    a, b = rng.choice(found)
    return Made(replace(room, ties=(*room.ties, Tie("Odd one", a, b, 3.0, 1))), {a}, ("out-of-step",))


def mult_over_port(rng: Random, room: Room) -> Made | None:
    """A mult that reaches over a jack which bears an input."""
    inputs = unnormalled(room)
    if not inputs or not room.mults:
        return None
    jack, mult = rng.choice(inputs), rng.choice(room.mults)
    longer = Mult(mult.name, (*mult.jacks, jack), mult.line)
    return Made(replace(room, mults=tuple(longer if m is mult else m for m in room.mults)), {jack}, ("split-at-rest",))


def mult_over_tie(rng: Random, room: Room) -> Made | None:
    """A mult that reaches over the end of a tie line."""
    ends_of_ties = [jack for jack in room.ties_at if jack not in room.normals_at and jack not in house_jacks(room)]
    mults = [mult for mult in room.mults if not any(jack in room.normals_at for jack in mult.jacks)]
    if not ends_of_ties or not mults:
        return None
    jack, mult = rng.choice(ends_of_ties), rng.choice(mults)
    longer = Mult(mult.name, (*mult.jacks, jack), mult.line)
    return Made(replace(room, mults=tuple(longer if m is mult else m for m in room.mults)), {jack}, ("split-at-rest",))


def place_mistyped(rng: Random, room: Room) -> Made | None:
    """A bay whose place is another's with a letter left out."""
    house = {room.rows[room.jacks[jack].row].bay for jack in house_jacks(room)}
    bays = [bay for bay in room.bays if bay.index not in house]
    places = sorted({bay.place for bay in room.bays if len(bay.place) > 3})
    found = [(bay, place) for bay in bays for place in places if any(o.place == place and o != bay for o in room.bays)]
    if not found:
        return None
    bay, place = rng.choice(found)
    at = rng.randrange(1, 4)
    slip = bay._replace(place=place[:at] + place[at + 1 :])
    return Made(replace(room, bays=tuple(slip if b is bay else b for b in room.bays)), set())


def house_length(rng: Random, room: Room) -> Made | None:
    """A house cord in a length of which the room owns none."""
    if not room.house_patch:
        return None
    cord = rng.choice(room.house_patch)
    wrong = HouseCord(cord.jacks, 45.0, cord.line)
    return Made(replace(room, house_patch=tuple(wrong if c is cord else c for c in room.house_patch)), set(cord.jacks))


def _amplifier(room: Room, at: Port, kind: str) -> Port:
    return at._replace(kind=KINDS[kind], ohms=KINDS[kind].ohms, level_dbu=None, max_dbu=None, cable_m=0.0)


def amplifier_half(rng: Random, room: Room) -> Made | None:
    """An amplifier's output half normalled to a loudspeaker."""
    run = pick(
        rng, [r for r in stretches(room) if r[0].kind == "half" and kinds(room, r[0]) == ("line out", "line in")]
    )
    if run is None:
        return None
    pair = run[0]
    made = room
    for jack, kind in ((pair.top, "speaker out"), (pair.bottom, "speaker in")):
        made = with_port(made, _amplifier(made, made.ports[made.port_at[jack]], kind))
    return Made(made, ends([pair]), ("departs-from-advice", "out-of-step"))


def amplifier_on_jack(rng: Random, room: Room) -> Made | None:
    """An amplifier's output on a jack without a normal."""
    used = set(room.normals_at) | house_jacks(room) | set(room.mult_at)
    found = [j for j in range(len(room.jacks)) if (p := port(room, j)) and p.kind.name == "line out" and j not in used]
    if not found:
        return None
    jack = rng.choice(found)
    return Made(with_port(room, _amplifier(room, room.ports[room.port_at[jack]], "speaker out")), {jack})


def supply_of_no_class(rng: Random, room: Room) -> Made | None:
    """A supply of 30 V that does not state its feed resistors."""
    found = [p for p in room.ports if p.supply is not None]
    if not found:
        return None
    one = rng.choice(found)
    assert one.supply is not None
    wrong = one._replace(supply=one.supply._replace(volts=30.0, feed_ohm=None, feed_assumed=True))
    return Made(with_port(room, wrong), set(room.jacks_of_port[one.index]))


def _made_half(family: str) -> Callable[[Random, Room], Made | None]:
    def make(rng: Random, room: Room) -> Made | None:
        """One normal that must be full is half."""
        found = [r for r in stretches(room) if r[0].kind == "full" and kinds(room, r[0])[0].startswith(family)]
        run = pick(rng, [r for r in found if "tie" not in kinds(room, r[0])])
        if run is None:
            return None
        one = [rng.choice(run)]
        return Made(with_kind(room, one, "half"), ends(one))

    return make


def half_the_wrong_way(rng: Random, room: Room) -> Made | None:
    """A whole run of half normals that break at the top."""
    found = [run for run in stretches(room) if normalled(run) and run[0].kind == "half"]
    found = [run for run in found if all(kinds(room, pair) == ("line out", "line in") for pair in run)]
    run = pick(rng, found)
    if run is None:
        return None
    return Made(with_kind(room, run, "half top"), ends(run), ("out-of-step",))


def sleeves_isolated(rng: Random, room: Room) -> Made | None:
    """A microphone bay whose sleeves are isolated."""
    microphones = [r for r in stretches(room, lambda p: kinds(room, p)) if kinds(room, r[0]) == ("mic line", "mic in")]
    run = pick(rng, [r for r in microphones if normalled(r)])
    if run is None:
        return None
    bay = room.bays[room.rows[room.jacks[run[0].top].row].bay]
    these = {at for row in bay.rows for at in range(room.rows[row].first, room.rows[row].first + bay.points)}
    all_of = {j for r in microphones for j in ends(r) if j in these and j in room.normals_at}
    isolated = bay._replace(sleeve="isolated")
    return Made(replace(room, bays=tuple(isolated if b is bay else b for b in room.bays)), all_of)


def row_one_short(rng: Random, room: Room) -> Made | None:
    """The last output of a run comes up nowhere, and its normal is there: nothing feeds the input below."""
    run = pick(
        rng,
        [r for r in stretches(room) if len(r) > 2 and normalled(r) and kinds(room, r[0]) == ("line out", "line in")],
    )
    if run is None:
        return None
    return Made(with_ports(room, {run[-1].top: NO_PORT}), ends(run[-1:]), ("never-wired",))


def row_one_short_below(rng: Random, room: Room) -> Made | None:
    """The last input of a run comes up nowhere, and its normal is there: the output above goes nowhere."""
    run = pick(
        rng,
        [r for r in stretches(room) if len(r) > 2 and normalled(r) and kinds(room, r[0]) == ("line out", "line in")],
    )
    if run is None:
        return None
    return Made(with_ports(room, {run[-1].bottom: NO_PORT}), ends(run[-1:]), ("never-wired",))


MISTAKES: tuple[Mistake, ...] = (
    Mistake("normals missing on part of a run of microphones", "out-of-step", missing_on_part),
    Mistake("normal missing on one of a stereo pair", "out-of-step", one_of_stereo),
    Mistake("normal missing in a run of lines", "out-of-step", one_of_run_of_lines),
    Mistake("one full normal in a run of halves", "out-of-step", other_kind_in_run),
    Mistake("inserts not normalled", "open-at-rest", inserts_open),
    Mistake("channel 1's send over channel 2's return", "out-of-step", send_over_wrong_return),
    Mistake("L and R exchanged on a row", "out-of-step", left_and_right_on_row),
    Mistake("L and R exchanged on a normal", "out-of-step", left_and_right_on_normal),
    Mistake("numbers shifted by one", "out-of-step", _shifted(1)),
    Mistake("numbers shifted by eight", "out-of-step", _shifted(8)),
    Mistake("numbers shifted by one, the first wired nowhere", "out-of-step", _shifted_with_rest(1)),
    Mistake("numbers shifted by eight, the first wired nowhere", "out-of-step", _shifted_with_rest(8)),
    Mistake("a row one output short", "nothing-feeds", row_one_short),
    Mistake("a row one input short", "goes-nowhere", row_one_short_below),
    Mistake("a tie line with both ends in one place", "tie-in-one-place", tie_in_one_place),
    Mistake("a tie line on a jack that bears a port", "occupied-twice", tie_on_port),
    Mistake("a tie line on a jack that bears another", "occupied-twice", tie_on_tie),
    Mistake("a port inside a mult", "occupied-twice", mult_over_port),
    Mistake("a mult over the end of a tie line", "occupied-twice", mult_over_tie),
    Mistake("a place with a letter left out", "place-like-another", place_mistyped),
    Mistake("a house cord of a length not owned", "length-not-owned", house_length),
    Mistake("an amplifier's output half normalled", "half-normalled-amplifier", amplifier_half),
    Mistake("an amplifier's output on a jack", "amplifier-on-bay", amplifier_on_jack),
    Mistake("a supply of no class without feed", "feed-unknown", supply_of_no_class),
    Mistake("a microphone half normalled", "half-normalled-mic", _made_half("mic")),
    Mistake("a digital line half normalled", "half-normalled-digital", _made_half("aes3")),
    Mistake("a pickup half normalled", "departs-from-advice", _made_half("instrument")),
    Mistake("half normals the wrong way round", "departs-from-advice", half_the_wrong_way),
    Mistake("sleeves isolated on a microphone bay", "sleeve-open", sleeves_isolated),
)


# What looks like one of them and is right


class Right(NamedTuple):
    """A variant of a right room that is right as well."""

    name: str
    make: Callable[[Random, Room], Room | None]


def no_microphone_normalled(rng: Random, room: Room) -> Room | None:
    """Every microphone of every bay waits for a cord."""
    return without(room, [p for r in stretches(room) for p in r if kinds(room, p) == ("mic line", "mic in")])


def inserts_switched(rng: Random, room: Room) -> Room | None:
    """The desk closes its inserts itself."""
    run = pick(rng, _inserts(room))
    if run is None:
        return None
    made = without(room, run)
    for pair in run:
        made = with_port(made, made.ports[made.port_at[pair.top]]._replace(switched=True))
    return made


def run_full_for_half(rng: Random, room: Room) -> Room | None:
    """A whole run is full where half is usual: a plug is meant to mute."""
    found = [run for run in stretches(room) if normalled(run) and run[0].kind == "half"]
    run = pick(rng, [run for run in found if not _family_elsewhere(room, run)])
    return None if run is None else with_kind(room, run, "full")


def _supply(volts: float, feed: float, assumed: bool) -> Callable[[Random, Room], Room | None]:
    def make(rng: Random, room: Room) -> Room | None:
        """A supply near its class, or one that states its feed."""
        found = [p for p in room.ports if p.supply is not None]
        if not found:
            return None
        one = rng.choice(found)
        assert one.supply is not None
        return with_port(room, one._replace(supply=Supply(volts, feed, one.supply.switch, assumed)))

    return make


def length_owned(rng: Random, room: Room) -> Room | None:
    """A house cord of a length that the room owns."""
    if not room.house_patch or not room.cords:
        return None
    length = next(length for length, count in room.cords.items() if count)
    first = HouseCord(room.house_patch[0].jacks, float(length), room.house_patch[0].line)
    return replace(room, house_patch=(first, *room.house_patch[1:]))


def tie_to_another_place(rng: Random, room: Room) -> Room | None:
    """A tie line between bare jacks of two places."""
    free = bare(room)
    found = [(a, b) for a in free[:40] for b in free[-40:] if room.place_of(a) != room.place_of(b)]
    return replace(room, ties=(*room.ties, Tie("Spare line", *rng.choice(found), 9.0, 1))) if found else None


def mult_of_bare_jacks(rng: Random, room: Room) -> Room | None:
    """A mult of jacks that nothing stands behind."""
    free = bare(room)
    return replace(room, mults=(*room.mults, Mult("Spare mult", tuple(free[:3]), 1))) if len(free) > 2 else None


def sleeves_bussed(rng: Random, room: Room) -> Room | None:
    """All sleeves joined along each bay."""
    return replace(room, bays=tuple(bay._replace(sleeve="bussed") for bay in room.bays))


RIGHT: tuple[Right, ...] = (
    Right("as it is", lambda rng, room: room),
    Right("no microphone normalled at all", no_microphone_normalled),
    Right("inserts that the desk switches", inserts_switched),
    Right("a whole run full in place of half", run_full_for_half),
    Right("a supply of 46.5 V", _supply(46.5, 6800.0, True)),
    Right("a supply of 30 V that states its feed", _supply(30.0, 1500.0, False)),
    Right("a house cord of a length owned", length_owned),
    Right("a tie line to another place", tie_to_another_place),
    Right("a mult of bare jacks", mult_of_bare_jacks),
    Right("sleeves bussed", sleeves_bussed),
)
