"""The reasoning about faults alone: halving, likelihoods, several faults, what contradicts itself."""

from __future__ import annotations

import math
import time
from collections.abc import Sequence
from itertools import combinations
from random import Random

import pytest

from model.fault.reasoning import CONTACT, CORD, GEAR, LEAD, PRIORS, Element, Finding, Observation, heard_again
from model.room.file.house_patch import PRIOR_KEYS

EQUAL = dict.fromkeys(PRIORS, 1.0)
KINDS = tuple(PRIORS)


def chain(length: int, kinds: Sequence[str] = (CORD,)) -> tuple[Element, ...]:
    """So many things one behind the other."""
    return tuple(Element(kinds[n % len(kinds)], f"thing {n}") for n in range(length))


def dead(place: str, passed: Sequence[Element]) -> Observation:
    return Observation(place, False, "Source", tuple(passed))


def good(place: str, passed: Sequence[Element]) -> Observation:
    return Observation(place, True, "Source", tuple(passed))


def needed_for(way: tuple[Element, ...], culprit: Element, priors: dict[str, float]) -> int:
    """How many times one listens, always between the two things where that tells most, until the culprit is found."""
    heard = [dead("the end", way)]
    finding = Finding(heard, priors)
    count = 0
    while not finding.is_found:
        passed = max((way[:n] for n in range(1, len(way))), key=finding.gain)
        heard = heard_again(heard, Observation(f"after {len(passed)}", culprit not in passed, "Source", passed))
        finding = Finding(heard, priors)
        count += 1
        assert count <= len(way)
    assert [element for element, _ in finding.suspects] == [culprit]
    return count


def test_priors_are_the_ones_that_a_room_file_may_overrule() -> None:
    assert set(PRIORS) == PRIOR_KEYS
    assert PRIORS[CORD] > PRIORS[CONTACT] > PRIORS[LEAD] > PRIORS[GEAR]  # common practice, no source


@pytest.mark.parametrize("seed", range(60))
def test_one_fault_in_a_chain_takes_its_logarithm(seed: int) -> None:
    # No search with yes and no answers finds one of n equally likely things in fewer than log2 n on average (Shannon 1948).
    rng = Random(seed)
    way = chain(rng.randint(2, 70))
    needed = [needed_for(way, culprit, EQUAL) for culprit in rng.sample(way, min(len(way), 8))]
    assert all(abs(count - math.log2(len(way))) <= 1 for count in needed)


@pytest.mark.parametrize("seed", range(25))
def test_unequal_priors_take_their_entropy(seed: int) -> None:
    # Between the entropy H and H + 2: the bounds of a tree that keeps the order of the things (Gilbert and Moore 1959, from
    # memory). The best of all such trees, found by trying every place to begin with, is the judge from below.
    rng = Random(seed)
    priors = {kind: rng.uniform(0.2, 12.0) ** 2 for kind in KINDS}
    way = tuple(Element(rng.choice(KINDS), f"thing {n}") for n in range(rng.randint(2, 24)))
    total = sum(priors[element.kind] for element in way)
    chances = [priors[element.kind] / total for element in way]
    entropy = -sum(chance * math.log2(chance) for chance in chances)
    expected = sum(chance * needed_for(way, element, priors) for chance, element in zip(chances, way, strict=True))
    best = fewest_expected(chances)
    assert entropy - 1e-9 <= best <= expected + 1e-9
    assert expected <= entropy + 2
    assert expected <= best + 0.5  # halving is not the best of all, and never far from it


def fewest_expected(chances: Sequence[float]) -> float:
    """The expected number of tests of the best plan, by trying every first test of every stretch."""
    size = len(chances)
    cost = {(n, n + 1): 0.0 for n in range(size)}
    for length in range(2, size + 1):
        for first in range(size - length + 1):
            last = first + length
            part = min(cost[first, cut] + cost[cut, last] for cut in range(first + 1, last))
            cost[first, last] = part + sum(chances[first:last])
    return cost[0, size]


@pytest.mark.parametrize("seed", range(120))
def test_likelihoods_and_gain_against_trying_every_set_of_faults(seed: int) -> None:
    rng = Random(seed)
    things = tuple(Element(rng.choice(KINDS), f"thing {n}") for n in range(rng.randint(3, 9)))
    heard = [
        Observation(f"place {n}", rng.random() < 0.25, "Source", tuple(rng.sample(things, rng.randint(1, 3))))
        for n in range(rng.randint(1, 6))
    ]
    finding = Finding(heard)
    sound = {element for each in heard if each.works for element in each.passed}
    ways = [set(each.passed) - sound for each in heard if not each.works]
    ways = [way for way in ways if way]
    if not ways:
        assert finding.comes_and_goes or not finding.suspects
        return
    for size in range(1, len(things) + 1):
        sets = [set(few) for few in combinations(things, size) if all(way & set(few) for way in ways)]
        if sets:
            break
    weights = [math.prod(PRIORS[element.kind] for element in few) for few in sets]
    total = sum(weights)
    assert finding.faults == size
    likelihoods = {
        element: sum(weight for few, weight in zip(sets, weights, strict=True) if element in few) / total
        for element in things
    }
    found = dict(finding.suspects)
    for element, likelihood in likelihoods.items():
        assert found.get(element, 0.0) == pytest.approx(likelihood)
    passed = set(rng.sample(things, rng.randint(1, len(things))))
    chance = sum(weight for few, weight in zip(sets, weights, strict=True) if not few & passed) / total
    entropy = -sum(p * math.log2(p) for p in (chance, 1 - chance) if p > 1e-12)
    assert finding.gain(passed) == pytest.approx(entropy, abs=1e-9)


def test_two_faults_are_found_one_after_the_other() -> None:
    left, right = chain(6), tuple(Element(LEAD, f"other {n}") for n in range(5))
    faulty = {left[4], right[1]}
    heard = [dead("left", left), dead("right", right)]
    for _ in range(12):
        finding = Finding(heard, EQUAL)
        assert finding.faults == 2
        if finding.is_found:
            break
        passed = max((way[:n] for way in (left, right) for n in range(1, len(way))), key=finding.gain)
        heard.append(Observation(f"{passed[-1].name}", faulty.isdisjoint(passed), "Source", passed))
    assert {element for element, _ in finding.suspects} == faulty


def test_what_a_branch_shares_is_suspected_where_both_ends_are_dead() -> None:
    trunk, left, right = chain(3), (Element(LEAD, "left"),), (Element(LEAD, "right"),)
    one = Finding([dead("left", trunk + left)], EQUAL)
    both = Finding([dead("left", trunk + left), dead("right", trunk + right)], EQUAL)
    other = Finding([dead("left", trunk + left), good("right", trunk + right)], EQUAL)
    assert {element for element, _ in one.suspects} == {*trunk, *left}
    assert {element for element, _ in both.suspects} == set(trunk)
    assert (both.faults, other.is_found, other.suspects) == (1, True, [(left[0], 1.0)])


def test_dead_before_good_is_a_doubt_and_the_older_is_heard_again() -> None:
    way = chain(6)
    finding = Finding([good("after 5", way[:5]), dead("after 2", way[:2])])
    (doubt,) = finding.doubts
    assert (doubt.dead.place, [heard.place for heard in doubt.good]) == ("after 2", ["after 5"])
    assert finding.comes_and_goes and not finding.is_found
    assert {element for element, _ in finding.suspects} == set(way[:2])  # of what comes and goes
    assert finding.gain(way[:1]) == 0
    # a doubt beside a place that is dead without one leaves that place's suspects alone
    beside = Finding([good("after 5", way[:5]), dead("after 2", way[:2]), dead("the end", way)])
    assert not beside.comes_and_goes and beside.suspects == [(way[5], 1.0)]


def test_the_later_of_two_answers_counts_but_not_where_the_way_was_another() -> None:
    way = chain(3)
    swapped = (way[0], Element(CORD, "another"), way[2])
    heard = heard_again([dead("end", way)], good("end", way))
    assert heard == [good("end", way)]
    heard = heard_again([dead("end", way)], good("end", swapped))
    assert Finding(heard).suspects == [(way[1], 1.0)]


def test_priors_of_any_size_give_finite_likelihoods() -> None:
    way = tuple(Element(kind, kind) for kind in KINDS)
    finding = Finding([dead("end", way)], {**EQUAL, CORD: 1e308, GEAR: 1e-308})
    assert sum(chance for _, chance in finding.suspects) == pytest.approx(1)
    assert finding.suspects[0][0].kind == CORD


@pytest.mark.parametrize("seed", range(6))
def test_many_dead_places_do_not_take_long(seed: int) -> None:
    rng = Random(seed)
    things = chain(40, KINDS)
    heard = [dead(f"place {n}", rng.sample(things, rng.randint(2, 5))) for n in range(60)]
    begun = time.perf_counter()
    finding = Finding(heard)
    assert time.perf_counter() - begun < 3
    found = {element for element, _ in finding.suspects}
    assert all(found & set(each.passed) for each in heard)
