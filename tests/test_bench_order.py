"""The work order carried out by a hand that knows contacts and jumpers alone. About 4 s; BAYHAND_ORDERS lengthens it."""

from __future__ import annotations

import os
from dataclasses import replace
from pathlib import Path
from random import Random
from typing import Any

import pytest

from model.bay.state import Cord, Set, State
from model.bench.jumpers import STATES, closed, ends_moved, joined_contacts
from model.bench.order import NothingInCommon, Step, as_json, first_wiring, make_order
from model.bench.pages.order_html import order_html
from model.bench.pages.order_sheet import order_sheet
from model.bench.pages.order_text import order_text
from model.bench.pairs import kinds_of
from model.bench.plan import with_kinds
from model.paper.sheet_writers import as_csv, as_markdown
from model.room.file import parse_room, read_room
from model.room.kinds import NORMAL_KINDS
from model.room.wiring import Room, line_contact
from tests.contacts import Contacts
from tests.random_rooms import random_room
from tui.cli.main import main

ROUNDS = int(os.environ.get("BAYHAND_ORDERS", "40"))
KINDS = [*NORMAL_KINDS, "none"]


def changed(room: Room, rng: Random, share: float = 0.5) -> Room:
    """The room with other normals: some pairs of another kind, some cross normals gone, some new."""
    kinds = kinds_of(room)
    for bay in room.bays:
        top, bottom = (room.rows[row] for row in bay.rows)
        for column in range(bay.points):
            if rng.random() < share:
                kinds[top.first + column, bottom.first + column] = rng.choice(KINDS)
    for jacks in list(kinds):
        if rng.random() < 0.2:
            kinds[jacks] = rng.choice(KINDS)
    for _ in range(rng.randrange(4)):
        a, b = rng.sample(range(len(room.jacks)), 2)
        if (a, b) not in kinds and (b, a) not in kinds:
            kinds[a, b] = rng.choice(KINDS)
    return with_kinds(room, kinds)


def random_pair_of_rooms(seed: int) -> tuple[Room, Room]:
    """A random room as it is and as it is to be."""
    rng = Random(seed)
    room = random_room(rng, points=5)
    room = with_kinds(room, kinds_of(room))  # a random room may have two normals between the same jacks
    bays = tuple(
        bay._replace(
            reached_from=rng.choice(("rear", "front")),
            jumper_carries=rng.choice((1, 2, 3)),
            sleeve=rng.choice((None, "carried", "bussed", "isolated")),
        )
        for bay in room.bays
    )
    room = replace(room, bays=bays)
    return (first_wiring(room) if seed % 5 == 0 else room), changed(room, rng)


def connections(room: Room, plugged: list[int]) -> set[tuple[int, int]]:
    """Who feeds whom in the engine's own state, with plugs of loose ends in some jacks."""
    state = State(room).after(
        one
        for number, jack in enumerate(plugged, 1)
        for one in (Set("plugs", jack, None, number), Set("cords", number, None, Cord((jack,), 2, None)))
    )
    found = set()
    for here in range(len(room.jacks)):
        ports = {room.port_at[node // 2] for node in state.nodes_joined_to(line_contact(here)) if not node % 2}
        outs = [p for p in ports if p >= 0 and room.ports[p].kind.is_output]
        found |= {(a, b) for a in outs for b in ports if b >= 0 and not room.ports[b].kind.is_output}
    return found


@pytest.mark.parametrize("seed", range(ROUNDS))
def test_a_hand_that_knows_no_kinds_makes_the_new_room(seed: int) -> None:
    """Every connection for every plug, for both of a pair and for random ones; jumpers balance; nothing foreign meets."""
    old, new = random_pair_of_rooms(seed)
    order = as_json(make_order(old, new))
    bench, goal = Contacts(old), Contacts(new)
    allowed = bench.must_not_meet() | goal.must_not_meet()
    count = len(bench.jumpers)
    for page in order["bays"]:
        bay = next(bay for bay in new.bays if bay.name == page["bay"])
        before = count
        for step in page["steps"]:
            bench.do(step)
            assert bench.must_not_meet() <= allowed, step
        count = len(bench.jumpers)
        conductors = 3 if bay.sleeve == "carried" else 2
        jumpers = page["jumpers"]
        assert jumpers["in"] - jumpers["out"] == (count - before) * -(-conductors // bay.jumper_carries)
        assert jumpers["left"] - jumpers["bring"] == jumpers["out"] - jumpers["in"]
    assert {frozenset(j): {*e} for j, e in bench.jumpers.items()} == {
        frozenset(j): {*e} for j, e in goal.jumpers.items()
    }
    rng = Random(seed)
    jacks = range(len(new.jacks))
    plugs = [[], *([jack] for jack in jacks), *(rng.sample(jacks, rng.randrange(2, 8)) for _ in range(20))]
    plugs += [[normal.top, normal.bottom] for normal in new.normals]
    for plugged in plugs:
        there = [new.jacks[jack].address.lower() for jack in plugged]
        assert bench.connections(there) == connections(new, plugged), there


@pytest.mark.parametrize("seed", range(ROUNDS))
def test_the_hand_goes_one_way(seed: int) -> None:
    """Each part goes from the highest column down at the rear, up at the front; cross normals come last and have no column."""
    old, new = random_pair_of_rooms(seed)
    parts = ["take out", "move", "set"]
    for page in as_json(make_order(old, new))["bays"]:
        bay = next(bay for bay in new.bays if bay.name == page["bay"])
        steps = [step for step in page["steps"] if step["column"] is not None]
        assert steps == page["steps"][: len(steps)]
        assert len({step["part"] == "change" for step in page["steps"]}) == 1
        passes = list(dict.fromkeys(step["part"] for step in steps))
        assert passes == sorted(passes, key=lambda part: parts.index(part) if part in parts else 0)
        for part in passes:
            columns = [step["column"] for step in steps if step["part"] == part]
            assert columns == sorted(columns, reverse=bay.reached_from == "rear")


CROSSING = """
bayhand: 1
room: Crossing
gear: {One: line out, Two: line out, "In {1-2}": line in}
bays:
  - bay: Bay
    columns: 2
    rows: {A: {1: One, 2: Two}, B: {1-2: "In {1-2}"}}
    normals: {1-2: half}
"""


def test_three_passes_only_where_a_state_between_would_join_outputs() -> None:
    """Two normals that change places: in one pass both outputs would meet at one input."""
    room = parse_room(CROSSING)
    straight = with_kinds(room, {(0, 2): "full", (1, 3): "half top"})
    assert {step.part for step in make_order(room, straight).steps} == {"change"}
    crossed = with_kinds(room, {(0, 3): "half", (1, 2): "half"})
    # cross normals come last: the columns are open by then
    assert {step.part for step in make_order(room, crossed).steps} == {"change"}
    back = make_order(crossed, room)
    assert [step.part for step in back.steps] == ["take out", "take out", "set", "set"]


@pytest.mark.parametrize("seed", range(ROUNDS))
def test_outputs_that_change_places_never_meet(seed: int) -> None:
    """Every output goes to one input before and after, over two bays and any crossings: no step joins two of them."""
    rng = Random(seed)
    outs = "{" + ", ".join(f"{n + 1}: Out {n + 1}" for n in range(4)) + "}"
    ins = "{" + ", ".join(f"{n + 1}: In {n + 1}" for n in range(4)) + "}"
    more = [rows.replace("Out ", "Out 1").replace("In ", "In 1") for rows in (outs, ins)]
    room = parse_room(
        "bayhand: 1\nroom: Crossings\ngear: {'Out {1-4}': line out, 'Out {11-14}': line out, 'In {1-4}': line in, "
        "'In {11-14}': line in}\nbays:\n"
        f"  - {{bay: One, columns: 4, rows: {{A: {outs}, B: {ins}}}}}\n"
        f"  - {{bay: Two, columns: 4, rows: {{C: {more[0]}, D: {more[1]}}}}}\n"
    )
    tops, bottoms = [0, 1, 2, 3, 8, 9, 10, 11], [4, 5, 6, 7, 12, 13, 14, 15]
    old, new = (
        with_kinds(room, {(t, b): rng.choice(KINDS) for t, b in zip(tops, rng.sample(bottoms, 8), strict=True)})
        for _ in range(2)
    )
    bench = Contacts(old)
    for step in make_order(old, new).steps:
        bench.do(step_json(new, step))
        assert not bench.must_not_meet()
    assert bench.connections() == Contacts(new).connections()


def step_json(room: Room, step: Step) -> dict[str, Any]:
    """One step as `order --json` has it, as far as a hand needs it."""
    pair = step.pair
    top, bottom = room.jacks[pair.top].address, room.jacks[pair.bottom].address
    ends = ends_moved(pair.now, pair.then)
    return {
        "top": top,
        "bottom": bottom,
        "ends": [{"jack": top if e.on_top else bottom, "was": e.was, "becomes": e.becomes} for e in ends],
    }


def test_the_table_of_contacts() -> None:
    """The table of the field (common practice, no source): which contacts a kind joins, and in which states it is closed."""
    table = {
        "full": ("normal", "normal", (True, False, False)),
        "half": ("line", "normal", (True, True, False)),
        "half top": ("normal", "line", (True, False, True)),
        "parallel": ("line", "line", (True, True, True)),
        "none": (None, None, (False, False, False)),
    }
    for kind, (top, bottom, states) in table.items():
        assert joined_contacts(kind) == (top, bottom)
        assert tuple(closed(kind, state) for state in STATES) == states
    assert [tuple(end) for end in ends_moved("half", "full")] == [(True, "line", "normal")]


def test_rooms_with_nothing_in_common_are_refused() -> None:
    """There is no way from one to the other."""
    other = parse_room("{bayhand: 1, room: Elsewhere, bays: [{bay: One, columns: 2, rows: {X: {}, Y: {}}}]}")
    with pytest.raises(NothingInCommon, match="no jack in common"):
        make_order(parse_room(CROSSING), other)


def test_fixed_normals_are_no_work_for_a_hand() -> None:
    """They are listed, not ordered."""
    room = parse_room(CROSSING.replace("columns: 2", "columns: 2\n    normalled by: fixed"))
    order = make_order(room, with_kinds(room, {(0, 2): "full", (1, 3): "half"}))
    assert not order.steps
    assert [pair[:4] for pair in order.refused] == [(0, 2, "half", "full")]
    assert "Not in this order" in order_text(order, "today")


# The papers

SIXTEEN = read_room("rooms/kelpfield.yaml")
SIXTEEN_FULL = with_kinds(SIXTEEN, kinds_of(SIXTEEN) | {(96 + n, 144 + n): "full" for n in range(16)})


def test_sixteen_preamplifiers_from_half_to_full_and_back() -> None:
    """The sixteen pairs C1-16: sixteen ends of two conductors move, no jumper comes or goes."""
    there, back = make_order(SIXTEEN, SIXTEEN_FULL), make_order(SIXTEEN_FULL, SIXTEEN)
    told = as_json(there)
    assert [step["column"] for step in told["bays"][0]["steps"]] == list(range(16, 0, -1))
    assert told["bays"][0]["steps"][0]["ends"] == [{"jack": "C16", "was": "line", "becomes": "normal"}]
    assert told["bays"][0]["jumpers"] == {"out": 0, "in": 0, "left": 0, "bring": 0}
    assert told["bays"][0]["steps"][0]["marks"] == {"was": "square", "becomes": "round"}
    assert as_json(back)["bays"][0]["steps"][0]["ends"] == [{"jack": "C16", "was": "normal", "becomes": "line"}]
    assert ["C17", "D17"] in told["retest"]


def test_the_page_is_large_black_and_literal() -> None:
    """No letter under 14 point, no grey, no colour; one page a bay; a box before each caution and two at each pair."""
    import re

    spiteful = replace(SIXTEEN, name="<b>&[red]", marks={"half": "<i>"})
    page = order_html(make_order(first_wiring(spiteful), spiteful), "today")
    assert min(float(size) for size in re.findall(r"font(?:-size)?:[^;]*?([\d.]+)pt", page)) >= 14
    assert not re.search(r"gr[ae]y|rgb|opacity|#(?!000|fff)[0-9a-f]{3}", page)
    order = make_order(first_wiring(spiteful), spiteful)
    assert page.count("<section") == len(order.bays)
    assert page.count('class="new-page"') == len(order.bays) - 1
    assert page.count('class="tick"') == 7 * len(order.bays) + 2 * len(order.steps)
    assert "&lt;b&gt;&amp;[red]" in page
    assert "<i>" not in page
    assert "You are at the back: pair 1 is at your right." in page


def test_the_text_fits_eighty_columns() -> None:
    """Pages of 80 columns, one a bay, with all that the head must say."""
    order = make_order(first_wiring(SIXTEEN), SIXTEEN)
    text = order_text(order, "2026-01-02 03:04")
    assert max(len(line) for line in text.splitlines()) <= 80
    assert text.count("\f") == len(order.bays) - 1
    for words in ("Recorders stopped", "headphones down", "half a minute", "Photograph", "licensed people"):
        assert words in text


def test_the_tables_hold_every_step() -> None:
    """As Markdown and for a spreadsheet."""
    order = make_order(SIXTEEN, SIXTEEN_FULL)
    sheet = order_sheet(order, "today")
    assert as_csv(sheet).count('"half","full"') == 16
    assert as_markdown(sheet).count("line \\> normal") == 16


# The command


@pytest.mark.parametrize("form", ["text", "html", "md", "csv", "json"])
def test_the_command_in_every_form(form: str, tmp_path: Path, capfdbinary: pytest.CaptureFixture[bytes]) -> None:
    """A first wiring, and the way from one room file to another."""
    old, new = tmp_path / "old.yaml", tmp_path / "new.yaml"
    old.write_text(CROSSING)
    new.write_text(CROSSING.replace("1-2: half", "1-2: full"))
    assert main(["order", str(new), "--from", str(old), "--as", form]) == 0
    assert b"half" in capfdbinary.readouterr().out
    assert main(["order", str(new), "--as", form]) == 0
    assert b"none" in capfdbinary.readouterr().out


def test_rooms_that_lead_nowhere(tmp_path: Path, capfdbinary: pytest.CaptureFixture[bytes]) -> None:
    """Nothing in common: status 2. Jacks that are gone: status 1, and they are named. Nothing to do: it says so."""
    old, new, other = (tmp_path / f"{name}.yaml" for name in ("old", "new", "other"))
    old.write_text(CROSSING)
    new.write_text("{bayhand: 1, room: Small, bays: [{bay: Bay, columns: 1, rows: {A: {}, B: {}}}]}")
    other.write_text("{bayhand: 1, room: Elsewhere, bays: [{bay: One, columns: 2, rows: {X: {}, Y: {}}}]}")
    assert main(["order", str(other), "--from", str(old)]) == 2
    assert b"no jack in common" in capfdbinary.readouterr().err
    assert main(["order", str(new), "--from", str(old)]) == 1
    assert b"has no such jack: A2, B2" in capfdbinary.readouterr().out
    assert main(["order", str(old), "--from", str(old)]) == 0
    assert b"Nothing is to be changed" in capfdbinary.readouterr().out
