"""The work list: it leads where it says, in the fewest handlings, and never through a live line."""

from __future__ import annotations

from collections import deque
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from model.bay.actions import Action, Clear, Move, Phantom, Plug, PlugLooseEnd, Pull, Put, Unplug
from model.live.change import Change
from model.live.patch import Patch
from model.patches.compare import differences, handlings, serves
from model.patches.placed import Placed, PlacedCord, house, present
from model.patches.worklist import WorkList, about_cord, about_switch, work_list
from model.room.file import read_room
from tests.patches import ways_there

ROOM = read_room(Path(__file__).parents[1] / "rooms" / "attic.yaml")
# microphone lines, their preamplifiers, and enough others: few, so that patches get into each other's way
POOL = ("A1", "A2", "A3", "B1", "B2", "B3", "A5", "A9", "A24", "B5", "B13", "B19", "B24")
patches = ways_there(ROOM, POOL)


def stage(action: Action) -> int:
    """Where a kind of action stands in a list."""
    if isinstance(action, Phantom):
        return 9 if action.on else 0
    stages: tuple[tuple[type, ...], ...] = ((Pull,), (Unplug, Move), (PlugLooseEnd,), (Plug,), (Clear,), (Put,))
    return next(number for number, kinds in enumerate(stages, start=1) if isinstance(action, kinds))


def played(actions: list[Action]) -> Patch:
    patch = Patch.of_room(ROOM)
    for action in actions:
        patch = patch.do(action).patch
    return patch


def jacks(*addresses: str) -> tuple[int, ...]:
    return tuple(jack.index for address in addresses for jack in ROOM.jacks if jack.address == address)


def cord(number: int, *addresses: str, ends: int = 2, length_cm: float | None = None) -> PlacedCord:
    return PlacedCord(number, jacks(*addresses), ends, length_cm)


def joined(placed: Placed) -> set[frozenset[int]]:
    return {frozenset(cord.jacks) for cord in placed.cords}


def lines(todo: WorkList) -> list[str]:
    return [str(step.action) for step in todo.steps]


def count(actions: list[Action], patch: Patch) -> int:
    """Plugs out and in of a list, counted one by one."""
    total = 0
    for action in actions:
        match action:
            case Pull(number):
                total += len(patch.state.cords[number].plugs)
            case Plug(addresses):
                total += len(addresses)
            case Move():
                total += 2
            case Unplug() | PlugLooseEnd():
                total += 1
        patch = patch.do(action).patch
    return total


# Known lists, as someone at the bay would write them


def test_a_plug_is_moved_and_not_pulled_and_plugged() -> None:
    patch = played([Plug(("A9", "B13"), 1)])
    todo = work_list(patch.state, Placed((cord(4, "A9", "B24"),)))
    assert lines(todo) == ["move B13 > B24"]
    assert todo.handlings == 2


def test_pulls_come_before_plugs_and_the_saved_number_comes_back() -> None:
    patch = played([Plug(("A9", "B13"), 1), Plug(("A5", "B19"), 2)])
    goal = Placed((cord(2, "A5", "B19"), cord(7, "A24", "B5", length_cm=60.0)))
    assert lines(work_list(patch.state, goal)) == ["pull #1", "plug A24 > B5 as #7 with 60 cm"]


def test_a_number_that_stays_in_the_bay_is_not_given_twice() -> None:
    patch = played([Plug(("A9", "B13"), 1)])
    goal = Placed((cord(1, "A5", "B19"), cord(2, "A9", "B13"), cord(3, "A24", "B24")))
    assert lines(work_list(patch.state, goal)) == ["plug A5 > B19 as #2", "plug A24 > B24 as #3"]


def test_a_jack_is_freed_before_the_next_plug_moves_in() -> None:
    patch = played([Plug(("A9", "B13"), 1), Plug(("A5", "B19"), 2)])
    goal = Placed((cord(1, "A9", "B19"), cord(2, "A5", "B24")))
    assert lines(work_list(patch.state, goal)) == ["move B19 > B24", "move B13 > B19"]


def test_two_plugs_that_wait_for_each_other_cost_no_more() -> None:
    patch = played([Plug(("A9", "B13"), 1), Plug(("A5", "B19"), 2)])
    goal = Placed((cord(1, "A9", "B19"), cord(2, "A5", "B13")))
    todo = work_list(patch.state, goal)
    assert lines(todo) == ["unplug B13", "move B19 > B13", "plug #1 > B19"]
    assert todo.handlings == 4
    assert "Leave it hanging" in todo.steps[0].cautions[-1]


def test_a_cord_of_another_length_is_not_moved_but_left_where_it_serves() -> None:
    patch = played([Plug(("A9", "B13"), 1, 30.0), Plug(("A5", "B19"), 2, 30.0)])
    goal = Placed((cord(1, "A9", "B24", length_cm=60.0), cord(2, "A5", "B19", length_cm=60.0)))
    assert lines(work_list(patch.state, goal)) == ["pull #1", "plug A9 > B24 as #1 with 60 cm"]


def hot(change: Change) -> list[str]:
    """The cautions that a list must spare hands: a plug or a microphone on a line with phantom on."""
    return [caution.rule for caution in change.cautions if caution.rule in ("hot-plug", "hot-microphone")]


def test_phantom_goes_off_first_where_a_plug_is_handled_and_on_again_last() -> None:
    patch = played([Phantom("Pre 1 in", True), Phantom("Pre 3 in", True)])
    goal = Placed((cord(1, "A1", "B2"),), present(patch.state).switches)
    todo = work_list(patch.state, goal)
    assert lines(todo) == ["phantom Pre 1 in off", "plug A1 > B2 as #1", "phantom Pre 1 in on"]
    assert "half a minute" in todo.steps[0].cautions[0]
    assert "half a minute" not in " ".join(todo.steps[2].cautions)
    assert all("Monitors" in " ".join(step.cautions) for step in todo.steps)


def test_phantom_is_off_where_a_plug_leaves_its_line_or_comes_back_to_it() -> None:
    # a plug in A1 takes the line off its full normal, and so off the supply: before it, the line is live, or after it
    for cords, goal in (((), (cord(1, "A1", "B19"),)), ((Plug(("A1", "B19"), 1),), ())):
        start: list[Action] = [Phantom("Pre 1 in", True), *cords]
        listed = lines(work_list(played(start).state, Placed(goal, frozenset({"Pre pair A"}))))
        assert (listed[0], listed[-1]) == ("phantom Pre 1 in off", "phantom Pre 1 in on")


def test_phantom_is_off_while_a_microphone_is_changed() -> None:
    patch = played([Phantom("Pre 3 in", True), Put("condenser", "Booth 3")])
    goal = Placed(switches=present(patch.state).switches, mics=((ROOM.port_named["Booth 3"].index, "dynamic"),))
    assert lines(work_list(patch.state, goal)) == [
        "phantom Pre 3 in off",
        "put dynamic on Booth 3",
        "phantom Pre 3 in on",
    ]


def test_what_is_on_hold_stays_and_what_needs_its_jack_waits() -> None:
    patch = played([Plug(("A9", "B13"), 1), Plug(("A5", "B19"), 2)])
    goal = Placed((cord(1, "A9", "B24"), cord(2, "A5", "B19")))
    todo = work_list(patch.state, goal, holds={1: "her reference", 2: "her voice"})
    assert not todo.steps
    assert [(left.what, left.why) for left in todo.left] == [
        ("cord 1 stays: Keys L (A9) > Monitor L (B13)", "on hold: her reference"),
        ("not plugged: Keys L (A9) > Amp (B24)", "cord 1 is in A9: on hold: her reference"),
    ]


def test_what_was_skipped_stays_skipped_until_it_changes() -> None:
    patch = played([Plug(("A9", "B13"), 1)])
    first = work_list(patch.state, Placed()).steps[0]
    skips = {first.about: "still in use"}
    assert not work_list(patch.state, Placed(), skips=skips).steps
    patch = patch.do(Move("B13", "B24")).patch
    assert lines(work_list(patch.state, Placed(), skips=skips)) == ["pull #1"]


def test_where_phantom_was_left_on_no_plug_is_handled() -> None:
    patch = played([Phantom("Pre 1 in", True), Plug(("A1", "B2"), 1)])
    goal = Placed((cord(1, "A2", "B2"), cord(2, "A5", "B19")))
    skips = {about_switch("Pre pair A", True): "the guest's own"}
    todo = work_list(patch.state, goal, skips=skips)
    assert lines(todo) == ["plug A5 > B19 as #2"]
    assert any("phantom stays on at Pre pair A" in left.why for left in todo.left)
    assert any(left.what == "phantom stays on at Pre pair A" for left in todo.left)


def test_the_house_patch_is_cords_alone() -> None:
    patch = played([Phantom("Pre 1 in", True), Put("ribbon", "Booth 2"), Plug(("A5", "B19"), 3)])
    assert lines(work_list(patch.state, house(ROOM))) == [
        "phantom Pre 1 in off",
        "plug A12 > B5 as #2",
        "plug A19 > B23 as #1",
        "plug A23 > B12 as #4",
        "clear Booth 2",
    ]


def test_the_stock_is_minded() -> None:
    patch = played([Plug((f"A{point}",), point, 90.0) for point in (1, 2)])
    goal = Placed((*present(patch.state).cords, cord(9, "A5", "B19", length_cm=90.0), cord(10, "A9", length_cm=45.0)))
    cautions = [caution for step in work_list(patch.state, goal).steps for caution in step.cautions]
    assert cautions == ["All 2 cords of 90 cm are out.", "The room's stock has no cord of 45 cm."]


# Any patch to any other


@given(patches, patches)
@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_doing_every_step_reaches_the_goal(start: list[Action], end: list[Action]) -> None:
    patch = played(start)
    before = present(patch.state)
    goal = present(played(end).state)
    todo = work_list(patch.state, goal)
    assert present(patch.state) == before  # trying out changes nothing
    assert not todo.left
    actions = [step.action for step in todo.steps]
    assert [stage(action) for action in actions] == sorted(stage(action) for action in actions)
    for action in actions:
        patch, change, _ = patch.do(action)  # a refusal would be raised here
        assert not hot(change), (action, change.cautions)
        if isinstance(action, Put | Clear):
            line = ROOM.port_named[action.line]
            for jack in ROOM.jacks_of_port[line.index]:
                assert not patch.circuit_at(2 * jack).supplies
    after = present(patch.state)
    assert joined(after) == joined(goal)
    assert (after.switches, after.mics) == (goal.switches, goal.mics)
    of_jacks = {frozenset(cord.jacks): cord for cord in goal.cords}
    kept = joined(before)
    for now in after.cords:
        wanted = of_jacks[frozenset(now.jacks)]
        if frozenset(now.jacks) not in kept:
            assert now.length_cm == wanted.length_cm or None in (now.length_cm, wanted.length_cm)
    assert not work_list(patch.state, goal).steps


@given(patches, patches)
@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_a_list_made_afresh_after_each_step_goes_on_where_it_was(start: list[Action], end: list[Action]) -> None:
    patch = played(start)
    goal = present(played(end).state)
    whole = work_list(patch.state, goal)
    done = 0
    todo = whole
    while todo.steps:
        assert len(todo.steps) == len(whole.steps) - done
        patch = patch.do(todo.steps[0].action).patch
        done += 1
        todo = work_list(patch.state, goal)
    assert done == len(whole.steps)
    assert joined(present(patch.state)) == joined(goal)


@given(patches, patches, st.data())
@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_holds_and_skips_are_left_alone(start: list[Action], end: list[Action], data: st.DataObject) -> None:
    patch = played(start)
    goal = present(played(end).state)
    numbers = sorted(patch.state.cords)
    held = dict.fromkeys(data.draw(st.sets(st.sampled_from(numbers))) if numbers else (), "held")
    before = {number: patch.state.cords[number].plugs for number in held}
    skips: dict[str, str] = {}
    todo = work_list(patch.state, goal, held, skips)
    limit = 200
    while todo.steps and limit:
        limit -= 1
        step = todo.steps[0]
        if data.draw(st.integers(0, 3)) == 0:
            skips[step.about] = "no time"
        else:
            patch, change, _ = patch.do(step.action)
            assert not hot(change), (step.action, change.cautions)
        todo = work_list(patch.state, goal, held, skips)
    assert limit, "the list does not come to an end"
    for number, plugs in before.items():
        assert patch.state.cords[number].plugs == plugs
    now = present(patch.state)
    if joined(now) != joined(goal) or now.switches != goal.switches or now.mics != goal.mics:
        assert todo.left
        assert held or skips


# Fewest handlings: against trying everything

Bay = tuple[int, ...]  # for each jack, the cord whose plug it holds, or -1


def fewest(before: tuple[PlacedCord, ...], after: tuple[PlacedCord, ...], points: int) -> int:
    """The fewest single plugs out and in that lead from one patch to another: a breadth-first search over all bays.

    A cord, those out of the bay included, may have any of its plugs put into any empty jack, one at a time. For each cord
    of the goal there is a new one at hand as well.
    """
    cords = [*before, *after]  # those of the goal stand for the new ones
    start = [-1] * points
    for number, one in enumerate(before):
        for jack in one.jacks:
            start[jack] = number

    def is_goal(bay: Bay) -> bool:
        if sum(holder >= 0 for holder in bay) != sum(len(one.jacks) for one in after):
            return False
        for wanted in after:
            holder = bay[wanted.jacks[0]]
            if holder < 0 or any(bay[jack] != holder for jack in wanted.jacks):
                return False
            if bay.count(holder) != len(wanted.jacks) or not serves(cords[holder], wanted):
                return False
        return True

    queue = deque([(tuple(start), 0)])
    seen = {tuple(start)}
    while queue:
        bay, cost = queue.popleft()
        if is_goal(bay):
            return cost
        for jack, holder in enumerate(bay):
            at_hand = [number for number, one in enumerate(cords) if bay.count(number) < one.ends]
            for number in at_hand if holder < 0 else [-1]:
                changed = (*bay[:jack], number, *bay[jack + 1 :])
                if changed not in seen:
                    seen.add(changed)
                    queue.append((changed, cost + 1))
    raise AssertionError("no way there")


@st.composite
def few_cords(draw: st.DrawFn, points: int) -> tuple[PlacedCord, ...]:
    free = list(draw(st.permutations(range(points))))
    found = []
    for number in range(1, draw(st.integers(0, 3)) + 1):
        plugs = draw(st.sampled_from((1, 2, 2, 2, 3)))
        if plugs > len(free):
            break
        found.append(
            PlacedCord(number, tuple(free[:plugs]), max(2, plugs), draw(st.sampled_from((None, None, 30.0, 60.0))))
        )
        free = free[plugs:]
    return tuple(found)


POINTS = 6


@given(few_cords(POINTS), few_cords(POINTS))
@settings(max_examples=100, deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_no_list_has_fewer_handlings(before: tuple[PlacedCord, ...], after: tuple[PlacedCord, ...]) -> None:
    least = fewest(before, after, POINTS)
    assert handlings(differences(Placed(before), Placed(after))) == least
    addresses = [ROOM.jacks[jack].address for jack in range(POINTS)]
    start: list[Action] = [
        Plug(tuple(addresses[jack] for jack in one.jacks), one.number, one.length_cm) for one in before
    ]
    patch = played(start)
    todo = work_list(patch.state, Placed(after))
    assert count([step.action for step in todo.steps], patch) == least


@pytest.mark.parametrize(
    ("before", "after", "least"),
    [
        (((0, 1), (2, 3)), ((0, 3), (2, 1)), 4),  # two that change places
        (((0, 1), (2, 3)), ((1, 2), (3, 0)), 4),  # each end has another partner: one end of each stays
        (((0, 1), (2, 3), (4, 5)), ((0, 3), (2, 5), (4, 1)), 6),  # three in a circle
        (((0, 1), (2, 3)), ((1, 2),), 4),
        (((0, 1),), ((2, 3),), 4),
        (((0, 1, 2),), ((0, 1), (2, 3)), 3),  # a cord of three plugs gives one of its jacks up
    ],
)
def test_circles_and_chains(
    before: tuple[tuple[int, ...], ...], after: tuple[tuple[int, ...], ...], least: int
) -> None:
    def cords(of: tuple[tuple[int, ...], ...]) -> tuple[PlacedCord, ...]:
        return tuple(PlacedCord(n, at, max(2, len(at)), None) for n, at in enumerate(of, start=1))

    points = 1 + max(jack for at in (*before, *after) for jack in at)
    assert handlings(differences(Placed(cords(before)), Placed(cords(after)))) == least
    assert fewest(cords(before), cords(after), points) == least


def test_a_skip_is_known_by_what_it_is_about() -> None:
    patch = played([Plug(("A9", "B13"), 1)])
    now = present(patch.state).cords[0]
    assert about_cord(ROOM, now) == "#1 in A9 B13"
