"""What is wrong behind the panel, from what the tests showed: the pattern of three tests names the kind that is there."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any, NamedTuple

from model.bench.jumpers import KIND_OF_PATTERN, LINE, NORMAL, STATES, closed, joined_contacts
from model.bench.methods import LEGS_V
from model.bench.pairs import Jacks, Pair, bay_of, column_of, pairs_of
from model.bench.proof import ALL, CLOSED, LEFT_RIGHT, MULT, NEIGHBOURS, OPEN, PHANTOM, TERMINATION, TIE, Trial
from model.bench.proof import NORMAL as NORMAL_TEST
from model.bench.results import AS_EXPECTED, BAD_JOINT, Reading
from model.bench.runs import run_words
from model.room.kinds import NO_NORMAL
from model.room.wiring import Room
from model.text.listing import list_words

WRONG_KIND, DEAD, SHIFTED, CROSSED, SHORT, JOINT, UNSTEADY, LEGS, OTHER = (
    "wrong kind",
    "none or dead",
    "shifted",
    "crossed",
    "short",
    "bad joint",
    "unsteady",
    "legs",
    "failed",
)
_RUN = 3  # pairs side by side with the same fault: one cause sooner than so many


class Fault(NamedTuple):
    """Something that is wrong: its name, the jacks, the conductors, the kind in the file and the one that it behaves as."""

    fault: str
    jacks: tuple[int, ...]
    conductors: tuple[str, ...]
    file: str | None
    behaves: str | None
    text: str

    def as_json(self, room: Room) -> dict[str, Any]:
        """As `proof --results FILE --json` prints it."""
        return {
            "fault": self.fault,
            "jacks": [room.jacks[jack].address for jack in self.jacks],
            "conductors": list(self.conductors),
            "file": self.file,
            "behaves": self.behaves,
            "text": self.text,
        }


class _Seen(NamedTuple):
    """What the three tests of a pair showed, conductor by conductor; None where a test has no result."""

    pair: Pair
    patterns: dict[str, tuple[str | None, ...]]
    other_way: bool  # it is joined another way round too, by mults and the like: then no pattern names a kind


def find_faults(room: Room, results: Mapping[Trial, Reading]) -> list[Fault]:
    """What is wrong, as far as the results tell; in the order of the bays."""
    seen = _seen(room, results)
    faults, explained = _displaced(room, seen, results)
    dead: list[_Seen] = []
    for one in seen.values():
        if (one.pair.top, one.pair.bottom) in explained:
            continue
        if one.other_way:
            continue
        if _all_open(one) and one.pair.kind != NO_NORMAL:
            dead.append(one)
            continue
        faults += _of_pair(room, one)
    faults += _dead(room, dead)
    faults += _joints(room, results)
    faults += _others(room, results, explained, {jacks for jacks, one in seen.items() if one.other_way})
    return sorted(faults, key=lambda fault: fault.jacks)


def _seen(room: Room, results: Mapping[Trial, Reading]) -> dict[Jacks, _Seen]:
    kinds = {(pair.top, pair.bottom): pair for pair in pairs_of(room)}
    seen: dict[Jacks, _Seen] = {}
    for trial, reading in results.items():
        if trial.kind == NORMAL_TEST and not trial.about:
            jacks = (trial.top, trial.bottom)
            one = seen.get(jacks) or _Seen(kinds[jacks], {}, False)
            if (trial.expected == CLOSED) != closed(kinds[jacks].kind, trial.state):
                one = one._replace(other_way=True)
            seen[jacks] = one
            pattern = list(one.patterns.get(trial.conductor, (None,) * len(STATES)))
            # a bad joint is closed, badly: it is told apart
            pattern[STATES.index(trial.state)] = CLOSED if reading.said == BAD_JOINT else reading.said
            one.patterns[trial.conductor] = tuple(pattern)
    return {jacks: seen[jacks] for jacks in kinds if jacks in seen}


def _expected(kind: str) -> tuple[str, ...]:
    return tuple(CLOSED if closed(kind, state) else OPEN for state in STATES)


def _fits(pattern: Sequence[str | None], kind: str) -> bool:
    return all(said in (None, wanted) for said, wanted in zip(pattern, _expected(kind), strict=True))


def _all_open(one: _Seen) -> bool:
    return all(set(pattern) <= {OPEN, None} for pattern in one.patterns.values()) and any(
        pattern[0] == OPEN for pattern in one.patterns.values()
    )


# What is one place off: normals that go to the next column


def _displaced(
    room: Room, seen: Mapping[Jacks, _Seen], results: Mapping[Trial, Reading]
) -> tuple[list[Fault], set[Jacks]]:
    """Crossed neighbours and shifted rows: where a pair is open, and its top comes out one column on."""
    bottom_of = dict(seen)
    comes_out = {trial.top: reading.found_at for trial, reading in results.items() if reading.found_at is not None}
    closed_across = {
        (trial.top, trial.bottom)
        for trial, reading in results.items()
        if trial.kind == NEIGHBOURS and reading.said in (CLOSED, BAD_JOINT)
    }
    steps: dict[Jacks, int] = {}
    for top, bottom in bottom_of:
        if column_of(room, top, bottom) is None or not _all_open(seen[top, bottom]):
            continue
        for step in (-1, 1):
            if comes_out.get(top) == bottom + step or (top, bottom + step) in closed_across:
                steps[top, bottom] = step
    faults: list[Fault] = []
    explained: set[Jacks] = set()
    for top, bottom in steps:
        beside = (top + 1, bottom + 1)
        if (top, bottom) in explained or beside not in steps or beside in explained:
            continue
        if (steps[top, bottom], steps[beside]) == (1, -1):
            explained.update(((top, bottom), beside))
            names = [room.jacks[jack].address for jack in (top, bottom + 1, top + 1, bottom)]
            text = f"crossed neighbours: {names[0]} comes out at {names[1]}, and {names[2]} at {names[3]}."
            faults.append(Fault(CROSSED, (top, bottom, *beside), (ALL,), None, None, text))
    for run in _runs_of(jacks for jacks in steps if jacks not in explained):
        step = steps[run[0]]
        if len(run) > 1 and all(steps[jacks] == step for jacks in run):
            tops, bottoms = (run_words(room, [jacks[side] for jacks in run]) for side in (0, 1))
            where = "up" if step > 0 else "down"
            text = f"a row is shifted by one: {tops} over {bottoms} come out one column further {where}."
            faults.append(Fault(SHIFTED, tuple(jack for jacks in run for jack in jacks), (ALL,), None, None, text))
            explained.update(run)
        else:
            for top, bottom in run:
                at = room.jacks[bottom + steps[top, bottom]].address
                text = f"the normal of {room.jacks[top].address} goes to {at} in place of {room.jacks[bottom].address}."
                faults.append(Fault(CROSSED, (top, bottom), (ALL,), None, None, text))
                explained.add((top, bottom))
    # what comes out there is no short
    return faults, explained | {(top, bottom + steps[top, bottom]) for top, bottom in explained}


def _runs_of(pairs: Any) -> Iterator[list[Jacks]]:
    run: list[Jacks] = []
    for jacks in sorted(pairs):
        if run and run[-1] != (jacks[0] - 1, jacks[1] - 1):
            yield run
            run = []
        run.append(jacks)
    if run:
        yield run


# One pair


def _of_pair(room: Room, one: _Seen) -> Iterator[Fault]:
    """What is wrong with one pair: all its conductors alike, or one of them alone."""
    wrong = {name: pattern for name, pattern in one.patterns.items() if not _fits(pattern, one.pair.kind)}
    if not wrong:
        return
    patterns = set(wrong.values())
    if len(wrong) == len(one.patterns) and len(patterns) == 1:
        yield _named(room, one.pair, tuple(wrong), patterns.pop(), alone=False)
        return
    for conductor, pattern in wrong.items():
        yield _named(room, one.pair, (conductor,), pattern, alone=len(one.patterns) > 1)


def _named(room: Room, pair: Pair, conductors: tuple[str, ...], pattern: tuple[str | None, ...], alone: bool) -> Fault:
    jacks, file = (pair.top, pair.bottom), pair.kind
    head = f"{_pair_words(room, pair)}{f', {conductors[0]} alone' if alone else ''}: file: {file}; "
    if pattern[0] == OPEN and CLOSED in pattern[1:]:
        text = "open with nothing plugged, closed with a plug: a contact that a plug wipes clean, or a test of another pair."
        return Fault(UNSTEADY, jacks, conductors, file, None, head + text)
    kinds = [kind for kind in dict.fromkeys((*KIND_OF_PATTERN.values(),)) if _fits(pattern, kind)]
    if NO_NORMAL in kinds and set(pattern) <= {OPEN, None}:
        return Fault(DEAD, jacks, conductors, file, NO_NORMAL, head + _dead_words(pattern, alone))
    if len(kinds) != 1:
        text = (
            f"behaves as {' or '.join(kinds)}: measure all three states."
            if kinds
            else "no wiring does that: measure again."
        )
        return Fault(UNSTEADY if not kinds else WRONG_KIND, jacks, conductors, file, None, head + text)
    text = f"behaves as {kinds[0]}: {_where_ends_sit(file, kinds[0])}."
    return Fault(WRONG_KIND, jacks, conductors, file, kinds[0], head + text)


def _dead_words(pattern: Sequence[str | None], alone: bool) -> str:
    times = {1: "once open", 2: "twice open"}.get(sum(said == OPEN for said in pattern), "three times open")
    if alone:
        return f"{times}: a dead contact or jumper of this leg; sound still passes, thin and low."
    return f"{times}: no normal, or a dead contact or jumper."


def _where_ends_sit(file: str, behaves: str) -> str:
    """Which ends are elsewhere than the file says."""
    if file == NO_NORMAL:
        return "a normal is there that the file does not have"
    words = []
    for end, was, is_now in zip(("top", "bottom"), joined_contacts(file), joined_contacts(behaves), strict=True):
        if was == NORMAL and is_now == LINE:
            words.append(f"the {end} end sits on the line contact, or the {end} jack's contact does not open")
        elif was == LINE and is_now == NORMAL:
            words.append(f"the {end} end sits on the normal contact")
    return " and ".join(words)


def _pair_words(room: Room, pair: Pair) -> str:
    return f"{room.jacks[pair.top].address} and {room.jacks[pair.bottom].address}"


def _dead(room: Room, dead: Sequence[_Seen]) -> Iterator[Fault]:
    """Pairs that are open in all they were tested in; several side by side have one cause sooner than many."""
    of = {(one.pair.top, one.pair.bottom): one for one in dead}
    for run in _runs_of(of):
        bays = {bay_of(room, top) for top, _ in run}
        if len(run) >= _RUN and len(bays) == 1:
            tops, bottoms = (run_words(room, [jacks[side] for jacks in run]) for side in (0, 1))
            kinds = list(dict.fromkeys(of[jacks].pair.kind for jacks in run))
            text = (
                f"{tops} over {bottoms}: file: {' and '.join(kinds)}; all open: no normals there, or the row is shifted by "
                "one. Look for each one column on, and write the jack where it comes out in place of 'open'."
            )
            conductors = tuple(dict.fromkeys(name for jacks in run for name in of[jacks].patterns))
            jacks_of = tuple(jack for jacks in run for jack in jacks)
            yield Fault(DEAD, jacks_of, conductors, kinds[0] if len(kinds) == 1 else None, NO_NORMAL, text)
            continue
        for jacks in run:
            one = of[jacks]
            pattern = next(iter(one.patterns.values()))
            text = f"{_pair_words(room, one.pair)}: file: {one.pair.kind}; {_dead_words(pattern, alone=False)}"
            if len(run) == 2:
                text += " Two side by side: are they crossed? Look for each at the other's jack."
            yield Fault(DEAD, jacks, tuple(one.patterns), one.pair.kind, NO_NORMAL, text)


def _joints(room: Room, results: Mapping[Trial, Reading]) -> Iterator[Fault]:
    told: set[tuple[int, int, str]] = set()
    for trial, reading in results.items():
        key = (trial.top, trial.bottom, trial.conductor)
        if reading.said == BAD_JOINT and trial.expected == CLOSED and key not in told:
            told.add(key)
            both = " and ".join(room.jacks[jack].address for jack in key[:2])
            text = f"{both}, {trial.conductor}: {reading.figure:g} ohm: a dirty contact or a bad joint."
            yield Fault(JOINT, key[:2], (trial.conductor,), None, None, text)


# All else


def _others(
    room: Room, results: Mapping[Trial, Reading], explained: set[Jacks], other_way: set[Jacks]
) -> Iterator[Fault]:
    legs: dict[int, list[tuple[Trial, Reading]]] = {}
    for trial, reading in results.items():
        if trial.kind == PHANTOM:
            legs.setdefault(trial.top, []).append((trial, reading))
        if trial.kind == NORMAL_TEST and not trial.about and (trial.top, trial.bottom) not in other_way:
            continue
        if reading.said in (trial.expected, AS_EXPECTED, BAD_JOINT):
            continue
        if trial.kind == NEIGHBOURS and (trial.top, trial.bottom) in explained:
            continue
        yield _other(room, trial, reading)
    for leg in legs.values():
        volts = [reading.figure for _, reading in leg if reading.figure is not None]
        # a thousandth for what figures lose when they are read
        if len(volts) == 2 and abs(volts[0] - volts[1]) > LEGS_V * 1.001 and all(r.said == AS_EXPECTED for _, r in leg):
            trial, apart = leg[0][0], abs(volts[0] - volts[1])
            text = f"{trial.about}: the legs differ by {apart:.2g} V: a bad joint, or an unlike feed resistor."
            yield Fault(LEGS, (trial.top,), tuple(t.conductor for t, _ in leg), None, None, text)


_WRONG = {
    NEIGHBOURS: (SHORT, "{both}: joined, and should not be: a short, or a normal between them."),
    TIE: (DEAD, "{about}, {conductor}: open from end to end."),
    MULT: (DEAD, "{about}: {bottom}, {conductor}: not joined to {top}."),
    LEFT_RIGHT: (CROSSED, "{about}: left is not heard at the left alone: are L and R exchanged?"),
    PHANTOM: (LEGS, "{about}, {conductor}{figure}: not {expected}: an open leg, a bad joint, or the wrong supply."),
    TERMINATION: (OTHER, "{about}{figure}: not {expected}: no termination, or more than one."),
    NORMAL_TEST: (OTHER, "{both}, {conductor}, {state}: not {expected}. They are joined by more than their normal."),
}


def _other(room: Room, trial: Trial, reading: Reading) -> Fault:
    fault, words = _WRONG[trial.kind]
    top, bottom = room.jacks[trial.top].address, room.jacks[trial.bottom].address
    text = words.format(
        both=list_words([top, bottom]),
        top=top,
        bottom=bottom,
        about=trial.about,
        conductor=trial.conductor,
        expected=trial.expected,
        state=trial.state,
        figure="" if reading.figure is None else f" reads {reading.figure:g}",
    )
    jacks = tuple(dict.fromkeys((trial.top, trial.bottom)))
    return Fault(fault, jacks, (trial.conductor,), None, None, text)
