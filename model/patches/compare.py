"""What differs between two patches: frozen values, from which both the comparison and the work list are made.

A handling is one plug taken out of a jack or put into one; a plug moved from one jack to another is two. A cord of which
a plug stays where it is saves two handlings for each plug that stays, against pulling it and plugging another. Which cord
of the one patch becomes which of the other is therefore a matching of greatest weight, its weight the plugs that stay;
no order of work can do with fewer handlings than that leaves.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from model.patches.placed import Placed, PlacedCord


@dataclass(frozen=True, slots=True)
class Stay:
    """A cord that is in the same jacks in both."""

    before: PlacedCord
    after: PlacedCord


@dataclass(frozen=True, slots=True)
class PullCord:
    """A cord of the first that the second has not."""

    cord: PlacedCord


@dataclass(frozen=True, slots=True)
class PlugCord:
    """A cord of the second that the first has not."""

    cord: PlacedCord


@dataclass(frozen=True, slots=True)
class MoveCord:
    """A cord of which one plug stays, at least, and another is elsewhere, or is in only one of the two."""

    before: PlacedCord
    after: PlacedCord

    @property
    def out(self) -> tuple[int, ...]:
        """The jacks that its plugs leave."""
        return tuple(jack for jack in self.before.jacks if jack not in self.after.jacks)

    @property
    def into(self) -> tuple[int, ...]:
        """The jacks that its plugs enter."""
        return tuple(jack for jack in self.after.jacks if jack not in self.before.jacks)


@dataclass(frozen=True, slots=True)
class SwitchPhantom:
    """A phantom switch that is on in the one and off in the other; ``on`` is how it stands in the second."""

    switch: str
    on: bool


@dataclass(frozen=True, slots=True)
class PutMic:
    """A microphone of the second patch's input list."""

    line: int
    mic: str


@dataclass(frozen=True, slots=True)
class ClearMic:
    """A microphone of the first patch's input list, from a line that has none in the second."""

    line: int
    mic: str


Difference = Stay | PullCord | PlugCord | MoveCord | SwitchPhantom | PutMic | ClearMic


def differences(before: Placed, after: Placed) -> list[Difference]:
    """What to keep, pull, move and plug, to switch, to clear and to put, to come from one patch to another."""
    pairs = same_cords(before.cords, after.cords)
    staying_after = {after.cords[b] for b in pairs.values()}
    stays: list[Difference] = []
    moves: list[Difference] = []
    pulls: list[Difference] = []
    for a, cord in enumerate(before.cords):
        if a not in pairs:
            pulls.append(PullCord(cord))
            continue
        other = after.cords[pairs[a]]
        if set(cord.jacks) == set(other.jacks):
            stays.append(Stay(cord, other))
        else:
            moves.append(MoveCord(cord, other))
    mics_before, mics_after = dict(before.mics), dict(after.mics)
    return [
        *stays,
        *pulls,
        *moves,
        *(PlugCord(cord) for cord in after.cords if cord not in staying_after),
        *(SwitchPhantom(switch, False) for switch in sorted(before.switches - after.switches)),
        *(SwitchPhantom(switch, True) for switch in sorted(after.switches - before.switches)),
        *(ClearMic(line, mic) for line, mic in before.mics if line not in mics_after),
        *(PutMic(line, mic) for line, mic in after.mics if mics_before.get(line) != mic),
    ]


def handlings(found: Iterable[Difference]) -> int:
    """How many times a plug goes out or in."""
    total = 0
    for difference in found:
        match difference:
            case PullCord(cord) | PlugCord(cord):
                total += len(cord.jacks)
            case MoveCord():
                total += len(difference.out) + len(difference.into)
    return total


def serves(cord: PlacedCord, wanted: PlacedCord) -> bool:
    """Whether a cord can take the place of another: where it is in the same jacks already, or is as long with plugs enough.

    A length that is not known is taken for the right one.
    """
    if set(cord.jacks) == set(wanted.jacks):
        return True
    same_length = cord.length_cm is None or wanted.length_cm is None or cord.length_cm == wanted.length_cm
    return same_length and cord.ends >= len(wanted.jacks)


def same_cords(before: tuple[PlacedCord, ...], after: tuple[PlacedCord, ...]) -> dict[int, int]:
    """Which cord of the one is which of the other, by their places in the tuples, so that most plugs stay."""
    at = {jack: b for b, cord in enumerate(after) for jack in cord.jacks}
    stay: dict[tuple[int, int], int] = {}  # plugs that stay, for each pair that shares a jack and can be the same cord
    for a, cord in enumerate(before):
        for jack in cord.jacks:
            b = at.get(jack)
            if b is not None and ((a, b) in stay or serves(cord, after[b])):
                stay[a, b] = stay.get((a, b), 0) + 1
    partners: dict[int, int] = {}  # how many pairs each cord of the second is in
    choices: dict[int, int] = {}
    for a, b in stay:
        choices[a] = choices.get(a, 0) + 1
        partners[b] = partners.get(b, 0) + 1
    certain = {a: b for a, b in stay if choices[a] == 1 and partners[b] == 1}
    unsure = {(a, b): plugs for (a, b), plugs in stay.items() if a not in certain}
    return {**certain, **_heaviest(unsure, before, after)} if unsure else certain


def _heaviest(
    stay: dict[tuple[int, int], int], before: tuple[PlacedCord, ...], after: tuple[PlacedCord, ...]
) -> dict[int, int]:
    """The matching under which most plugs stay; of equals, the one that stays most lengths and numbers."""
    import networkx as nx  # takes a tenth of a second: not before there is a choice

    # all the likenesses of all pairs together weigh less than one plug
    plug = 3 * len(stay) + 1
    graph: nx.Graph[int] = nx.Graph()  # the cords of the first by their places, those of the second after them
    for (a, b), plugs in sorted(stay.items()):
        alike = 2 * (before[a].length_cm == after[b].length_cm) + (before[a].number == after[b].number)
        graph.add_edge(a, len(before) + b, weight=plug * plugs + alike)
    pairs: dict[int, int] = {}
    for part in nx.connected_components(graph):
        for a, b in map(sorted, nx.max_weight_matching(graph.subgraph(part))):
            pairs[a] = b - len(before)
    return pairs
