"""A run in which some differ from the rest: in the kind of their normal, in number or in side."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator

from model.check.finding import Finding, addresses
from model.check.numbering import Label, Labels
from model.check.pairs import Pair, columns, crossed, house_jacks, runs
from model.room.advice import advice
from model.room.kinds import NO_NORMAL, NORMAL_KINDS
from model.room.wiring import Room
from model.signal.warning import WARNING

RULE = "out-of-step"
SHIFTS = (1, 8)  # slips of the hand: the next jack, the next group of eight (common practice, no source)
SHORTEST_RUN = 3  # of fewer, none can be told to be the odd one


def out_of_step(room: Room) -> Iterator[Finding]:
    """A run in which some differ from the rest: no normal, or one of another kind; numbers shifted or exchanged; L and R
    exchanged.

    What the house patch plugs, and what would be a loop, is left out.
    """
    labels = Labels(room)
    panels = list(columns(room, labels))
    yield from _kinds(room, panels)
    pairs = [pair for panel in panels for pair in panel if pair is not None]
    pairs += crossed(room, labels)
    blamed: set[int] = set()
    for finding, jacks in _numbers(room, labels, pairs):
        blamed.update(jacks)
        yield finding
    yield from _rows(room, labels, blamed)


# In kind


def _kinds(room: Room, panels: list[list[Pair | None]]) -> Iterator[Finding]:
    house = house_jacks(room)
    for panel in panels:
        odd: dict[tuple[int, int], Finding] = {}
        meant = [_if_meant(room, pair, house) for pair in panel]
        for run in runs(meant, lambda pair: (pair.above.stem, pair.below.stem)):
            _odd_ones(room, run, len(run) / 2, False, odd)
        for run in (*runs(meant, lambda pair: pair.above.stem), *runs(meant, lambda pair: pair.below.stem)):
            if len(run) >= SHORTEST_RUN:
                _odd_ones(room, run, (len(run) + 1) / 2, True, odd)
        microphones = [pair for pair in meant if pair is not None and _is_microphone(room, pair)]
        if any(pair.kind != NO_NORMAL for pair in microphones):
            _odd_ones(room, microphones, 0, True, odd)
        yield from odd.values()


def _if_meant(room: Room, pair: Pair | None, house: set[int]) -> Pair | None:
    """The pair, where a normal could be meant between its jacks."""
    if pair is None or pair.top in house or pair.bottom in house:
        return None
    if pair.kind == NO_NORMAL and advice(room, (pair.top, pair.bottom)).kind == NO_NORMAL:
        return None
    return pair


def _is_microphone(room: Room, pair: Pair) -> bool:
    top, bottom = room.port_at[pair.top], room.port_at[pair.bottom]
    return top >= 0 <= bottom and room.ports[top].kind.is_mic_line and room.ports[bottom].kind.is_mic_in


def _odd_ones(
    room: Room, run: list[Pair], least: float, missing_only: bool, odd: dict[tuple[int, int], Finding]
) -> None:
    """Notes the pairs of a run that differ from the kind which at least so many have; none, where no kind has."""
    counts = Counter(pair.kind for pair in run)
    if len(counts) < 2:
        return
    candidates = [kind for kind in counts if kind != NO_NORMAL] if missing_only else list(counts)
    kind = max(candidates, key=lambda one: (counts[one], one != NO_NORMAL))
    if counts[kind] < least:
        return
    for pair in run:
        if pair.kind == kind or (missing_only and pair.kind != NO_NORMAL) or (pair.top, pair.bottom) in odd:
            continue
        if pair.kind != NO_NORMAL and advice(room, (pair.top, pair.bottom)).kind == "full":
            continue  # it is right, or has a finding of its own, which says more
        has = "has no normal" if pair.kind == NO_NORMAL else f"is a {NORMAL_KINDS[pair.kind].words}"
        rest = "no normal" if kind == NO_NORMAL else f"a {NORMAL_KINDS[kind].words}"
        odd[pair.top, pair.bottom] = Finding(
            pair.line,
            RULE,
            WARNING,
            addresses(room, pair.top, pair.bottom),
            f"{pair.above.name} over {pair.below.name} {has}; most of its run have {rest}.",
        )


# In number and side


def _numbers(room: Room, labels: Labels, pairs: list[Pair]) -> Iterator[tuple[Finding, tuple[int, int]]]:
    groups: dict[tuple[str, str], list[Pair]] = defaultdict(list)
    for pair in pairs:
        same = labels.gear_stem(pair.above) == labels.gear_stem(pair.below) != ""
        if pair.kind != NO_NORMAL or same:
            groups[pair.above.stem, pair.below.stem].append(pair)
    used = {jack for normal in room.normals for jack in (normal.top, normal.bottom)}
    used_names = {label.name for jack in used if (label := labels.at(jack)) is not None}
    for group in groups.values():
        for pair, why in _wrong_number(labels, group, used_names):
            said = f"{pair.above.name} meets {pair.below.name}: {why}."
            where = addresses(room, pair.top, pair.bottom)
            yield Finding(pair.line, RULE, WARNING, where, said), (pair.top, pair.bottom)


def _wrong_number(labels: Labels, group: list[Pair], used: set[str]) -> Iterator[tuple[Pair, str]]:
    """The pairs of a family with a family that are out of number or side, and in what."""
    rest = []
    for pair in group:
        if pair.above.side and pair.below.side and pair.above.side != pair.below.side:
            yield pair, "left and right are exchanged"
        else:
            rest.append(pair)
    steps = [pair.below.number - pair.above.number for pair in rest]
    if not rest:
        return
    meant = _meant_step(labels, rest, steps)
    shifted = len(set(steps)) == 1 and len(rest) >= SHORTEST_RUN and abs(steps[0]) in SHIFTS
    if meant is None and shifted and _leaves_some_over(labels, rest, steps[0], used):
        meant = 0
    if meant is None:
        return
    for pair, step in zip(rest, steps, strict=True):
        if step != meant:
            yield pair, "their numbers do not run together"


def _meant_step(labels: Labels, group: list[Pair], steps: list[int]) -> int | None:
    """By how much the numbers below were meant to differ from those above; None where it cannot be told."""
    above, below = group[0].above, group[0].below
    own = labels.gear_stem(above) == labels.gear_stem(below) != "" and labels.are_one_each(above, below)
    if own:
        return 0  # a send to its own return
    if len(steps) > 1 and {pair.above.number for pair in group} == {pair.below.number for pair in group}:
        return 0
    step, count = Counter(steps).most_common(1)[0]
    return step if len(steps) >= SHORTEST_RUN and 2 * count > len(steps) and count < len(steps) else None


def _leaves_some_over(labels: Labels, group: list[Pair], step: int, used: set[str]) -> bool:
    """Whether the members that a shift leaves out at the start are joined to nothing."""
    side = [pair.below if step > 0 else pair.above for pair in group]
    family = labels.of_family(side[0])
    first = min(label.number for label in side)
    left = family[max(0, first - abs(step)) : first]
    return len(left) == abs(step) and not any(label.name in used for label in left)


# In a row by itself


def _rows(room: Room, labels: Labels, blamed: set[int]) -> Iterator[Finding]:
    """Numbers, or L and R, that do not run upward along a row."""
    found: list[tuple[list[tuple[int, Label]], list[tuple[int, Label]]]] = []
    left_first = right_first = 0
    for row in room.rows:
        for run in _families_of_row(labels, range(row.first, row.first + row.points)):
            numbers = [label.number for _, label in run]
            stereo = len(run) == 2 and {label.side for _, label in run} == {"L", "R"}
            upward = numbers == sorted(numbers)
            left_first += stereo and upward
            right_first += stereo and not upward
            downward = numbers == sorted(numbers, reverse=True)
            if upward or (downward and len(run) >= SHORTEST_RUN) or any(jack in blamed for jack, _ in run):
                continue
            ordered = sorted(numbers)
            found.append((run, [one for one, number in zip(run, ordered, strict=True) if one[1].number != number]))
    for run, odd in found:
        stereo = len(run) == 2 and {label.side for _, label in run} == {"L", "R"}
        if stereo and right_first > left_first:
            continue  # the habit of this room
        why = "left and right are exchanged" if stereo else "the numbers of the row do not run on"
        for jack, label in odd:
            line = room.jacks[jack].line
            yield Finding(line, RULE, WARNING, addresses(room, jack), f"{label.name} stands here: {why}.")


def _families_of_row(labels: Labels, jacks: range) -> Iterator[list[tuple[int, Label]]]:
    run: list[tuple[int, Label]] = []
    for jack in jacks:
        label = labels.at(jack)
        if run and (label is None or label.stem != run[-1][1].stem):
            yield run
            run = []
        if label is not None:
            run.append((jack, label))
    if run:
        yield run
