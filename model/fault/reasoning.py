"""Finding a fault: what was heard where, what can be at fault, how likely, and which test tells most.

Pure reasoning, which knows no bay. An observation says that the signal of a source was there or not, and what it must have
passed on its way. What it passed where it was there is sound. Where it was not there, something that it should have
passed is at fault. The fewest faults that explain all that is dead are taken for true, each weighed by its priors.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import NamedTuple

CORD, CONTACT, LEAD, GEAR, TIE, MULT, MICROPHONE, MIC_LINE = (
    "cord",
    "normal contact",
    "rear lead",
    "gear",
    "tie line",
    "mult",
    "microphone",
    "mic line",
)

# How likely each kind of thing is at fault, against the others. Common practice, no source: most faults on a bay are a
# cord, then a dirty normal contact, then a lead at the back, then the gear. A microphone stands here with its own cable.
# A room file may overrule any of them.
PRIORS: Mapping[str, float] = {
    CORD: 12.0,
    CONTACT: 6.0,
    MICROPHONE: 4.0,
    LEAD: 3.0,
    MIC_LINE: 2.0,
    TIE: 2.0,
    GEAR: 1.5,
    MULT: 0.5,
}

LEAST_WEIGHT = 1e-9  # against the likeliest: less is as good as never, and would be lost in the figures
LEAST_GAIN = 1e-6  # bits: a test that tells less tells nothing
MAX_STEPS = 20_000  # of the search for the fewest faults, after which one good explanation is taken


@dataclass(frozen=True, slots=True)
class Element:
    """One thing on the way of a signal that can fail. It is the same as another when kind and name agree."""

    kind: str  # a key of PRIORS
    name: str  # 'cord 7', 'normal contact of B5', 'lead of Pre 3 out'
    jacks: tuple[str, ...] = field(default=(), compare=False)  # addresses of the jacks that it touches
    of: str = field(default="", compare=False)  # how an entry writes it: '#7', 'B5', 'Pre 3 out'


@dataclass(frozen=True, slots=True)
class Observation:
    """What was heard at a place while a source played.

    ``passed`` is what the signal passes on every way there, as the bay was when it was heard, in the signal's order.
    """

    place: str  # as an entry writes it
    works: bool  # the signal was there
    source: str  # name of a port
    passed: tuple[Element, ...]

    def same_question(self, other: Observation) -> bool:
        """Whether both heard the same signal behind the same things, so that the later one stands in place of the earlier."""
        return (self.source, self.passed) == (other.source, other.passed)


class Doubt(NamedTuple):
    """A place that is dead although all that leads to it was heard to be sound, and what says so, oldest first."""

    dead: Observation
    good: tuple[Observation, ...]


class Group:
    """Things on the same dead ways: what is heard at the dead places does not tell them apart."""

    def __init__(self, weights: Mapping[Element, float]) -> None:
        self.weights = weights
        self.weight = math.fsum(weights.values())

    def outside(self, sound: Collection[Element]) -> float:
        """The weight of what is left of it when some things are sound."""
        return math.fsum(weight for element, weight in self.weights.items() if element not in sound)


class Tangle:
    """Dead ways that share things, and the fewest faults that explain them: ``covers``, each one fault in each group."""

    def __init__(self, dead: Sequence[frozenset[Element]], weigh: Mapping[str, float]) -> None:
        ways: dict[Element, frozenset[int]] = {}
        for number, way in enumerate(dead):
            for element in way:
                ways[element] = ways.get(element, frozenset()) | {number}
        members: dict[frozenset[int], dict[Element, float]] = {}
        for element, on in ways.items():
            members.setdefault(on, {})[element] = weigh[element.kind]
        self._hits = sorted(members, key=lambda on: (-len(on), sorted(on)))  # the ways that each group lies on
        self.groups = [Group(members[on]) for on in self._hits]
        self._steps = 0
        self.covers = self._fewest(frozenset(range(len(dead))))

    def _fewest(self, dead: frozenset[int]) -> list[frozenset[int]]:
        most = self._greedy(dead)
        for faults in range(1, len(most)):
            found: set[frozenset[int]] = set()
            self._extend(dead, frozenset(), faults, found)
            if self._steps > MAX_STEPS:
                return [most]
            if found:
                return sorted(found, key=sorted)
        found = set()
        self._extend(dead, frozenset(), len(most), found)
        return sorted(found | {most}, key=sorted)

    def _extend(self, dead: frozenset[int], chosen: frozenset[int], faults: int, found: set[frozenset[int]]) -> None:
        """All ways to explain what is dead with so many faults more."""
        self._steps += 1
        if not dead:
            found.add(chosen)
        elif faults and self._steps <= MAX_STEPS:
            first = min(dead)
            for number, on in enumerate(self._hits):
                if first in on:
                    self._extend(dead - on, chosen | {number}, faults - 1, found)

    def _greedy(self, dead: frozenset[int]) -> frozenset[int]:
        """One explanation: the group that explains most of what is left, until nothing is left."""
        chosen: set[int] = set()
        while dead:
            best = max(range(len(self._hits)), key=lambda number: (len(self._hits[number] & dead), -number))
            chosen.add(best)
            dead -= self._hits[best]
        return frozenset(chosen)

    @cached_property
    def total(self) -> float:
        """The weight of all explanations."""
        return math.fsum(math.prod(self.groups[number].weight for number in cover) for cover in self.covers)

    def chance_sound(self, sound: Collection[Element]) -> float:
        """How likely it is that no fault is among some things."""
        left = [group.outside(sound) for group in self.groups]
        return math.fsum(math.prod(left[number] for number in cover) for cover in self.covers) / self.total

    def likelihoods(self) -> dict[Element, float]:
        """How likely each thing is at fault; what is in no explanation is left out."""
        found: dict[Element, float] = {}
        for number, group in enumerate(self.groups):
            part = math.fsum(
                math.prod(self.groups[other].weight for other in cover if other != number)
                for cover in self.covers
                if number in cover
            )
            if part:
                found |= {element: weight * part / self.total for element, weight in group.weights.items()}
        return found


class Finding:
    """Where the search for a fault stands, from all observations, oldest first.

    >>> cord, lead = Element(CORD, "cord 7"), Element(LEAD, "lead of Tape 1 in")
    >>> found = Finding([Observation("Tape 1 in", False, "Mix L", (cord, lead))])
    >>> [(element.name, round(chance, 2)) for element, chance in found.suspects]
    [('cord 7', 0.8), ('lead of Tape 1 in', 0.2)]
    """

    def __init__(self, observations: Sequence[Observation], priors: Mapping[str, float] | None = None) -> None:
        self.observations = tuple(observations)
        weights = {**PRIORS, **(priors or {})}
        most = max(weights.values())
        weigh = {kind: max(weight / most, LEAST_WEIGHT) for kind, weight in weights.items()}
        good = [heard for heard in observations if heard.works]
        sound = {element for heard in good for element in heard.passed}
        ways: list[frozenset[Element]] = []
        self.doubts: list[Doubt] = []
        for heard in observations:
            if heard.works:
                continue
            left = frozenset(heard.passed) - sound
            if left:
                ways.append(left)
            else:
                against = tuple(other for other in good if not set(heard.passed).isdisjoint(other.passed))
                self.doubts.append(Doubt(heard, against))
        # where all that is dead is in doubt, the fault comes and goes: what was heard to be sound may be at fault again
        self.comes_and_goes = bool(self.doubts) and not ways
        if self.comes_and_goes:
            ways = [frozenset(doubt.dead.passed) for doubt in self.doubts]
        self.tangles = [Tangle(tangle, weigh) for tangle in _tangles(_smallest(ways))]
        order = {
            element: number
            for number, element in enumerate(e for heard in observations if not heard.works for e in heard.passed)
        }
        found = {element: chance for tangle in self.tangles for element, chance in tangle.likelihoods().items()}
        self.suspects: list[tuple[Element, float]] = sorted(found.items(), key=lambda item: (-item[1], order[item[0]]))

    @property
    def faults(self) -> int:
        """The fewest faults that explain all that is dead."""
        return sum(len(tangle.covers[0]) for tangle in self.tangles)

    @property
    def is_found(self) -> bool:
        """Whether nothing but the faults themselves is left."""
        return bool(self.suspects) and len(self.suspects) == self.faults and not self.comes_and_goes

    def gain(self, passed: Collection[Element]) -> float:
        """What a test tells, in bits, that shows whether all of some things are sound.

        The entropy of its answer (Shannon 1948): 1 where both answers are equally likely, 0 where one is certain.
        """
        if self.comes_and_goes:
            return 0.0
        chance = math.prod(tangle.chance_sound(passed) for tangle in self.tangles)
        if not 0 < chance < 1:
            return 0.0
        return -chance * math.log2(chance) - (1 - chance) * math.log2(1 - chance)


def _smallest(ways: Iterable[frozenset[Element]]) -> list[frozenset[Element]]:
    """Dead ways without those that hold another one whole: whatever explains the smaller one explains them."""
    found: list[frozenset[Element]] = []
    for way in sorted(ways, key=len):
        if not any(smaller <= way for smaller in found):
            found.append(way)
    return found


def _tangles(ways: Iterable[frozenset[Element]]) -> list[list[frozenset[Element]]]:
    """Dead ways gathered with those that they share things with."""
    found: list[list[frozenset[Element]]] = []
    for way in ways:
        apart = [tangle for tangle in found if all(way.isdisjoint(other) for other in tangle)]
        touched = [tangle for tangle in found if tangle not in apart]
        found = [*apart, [*(other for tangle in touched for other in tangle), way]]
    return found


def heard_again(observations: Sequence[Observation], new: Observation) -> list[Observation]:
    """Observations with a new one, in place of one that asked the same."""
    return [*(heard for heard in observations if not heard.same_question(new)), new]
