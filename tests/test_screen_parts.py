"""What the screen is made of, without a terminal: where bays stand, marks, words, strips of names, clicks."""

from __future__ import annotations

import itertools
import random
import re
from pathlib import Path

import pytest
from rich.cells import cell_len

from model.bay.actions import Plug
from model.live.patch import Patch
from model.live.told import KINDS
from model.room.kinds import NORMAL_KINDS
from model.room.wiring import Bay, Jack, Room, Row
from model.session import Session
from model.signal.warning import SEVERITIES
from tests.random_rooms import random_room
from tests.said import act
from tests.screen_room import small_room
from tui.screen.bay_plan import ROW, BayPlan, fold_of
from tui.screen.bay_view import BayView, opened_by
from tui.screen.ink import Ink, Piece, Words, width_of
from tui.screen.marks import BESIDE_JACKS, BESIDE_NORMALS, JACKS, LISTS, MARKS, NORMALS, TABLES
from tui.screen.name_strips import runs
from tui.screen.picking import picked
from tui.screen.theme import GROUNDS, ROLES
from tui.screen.tiling import tiles
from tui.screen.told_words import SAYINGS

NO_LINE = 0


def bare_room(*bays: tuple[int, int]) -> Room:
    """A room with nothing wired: each bay has points and rows."""
    made: list[Bay] = []
    rows: list[Row] = []
    jacks: list[Jack] = []
    for number, (points, count) in enumerate(bays):
        mine = tuple(range(len(rows), len(rows) + count))
        for index in mine:
            name = f"R{index}"
            rows.append(Row(index, name, number, len(jacks), points))
            jacks += [Jack(len(jacks) + at, f"{name}.{at + 1}", index, at + 1, -1, NO_LINE) for at in range(points)]
        made.append(Bay(number, f"Bay {number}", "", points, mine, NO_LINE))
    return Room("Bare", bays=tuple(made), rows=tuple(rows), jacks=tuple(jacks))


# Marks


def test_no_two_states_share_a_character() -> None:
    for table in ((*JACKS, *BESIDE_JACKS), (*NORMALS, *BESIDE_NORMALS), LISTS):
        for form in ("unicode", "ascii"):
            characters = [getattr(mark, form) for mark in table]
            assert len(set(characters)) == len(characters), form


def test_every_mark_is_one_cell_in_both_forms_and_has_a_role() -> None:
    for mark in itertools.chain.from_iterable(TABLES):
        assert cell_len(mark.unicode) == cell_len(mark.ascii) == 1
        assert mark.ascii.isascii()
        assert mark.role in ROLES


def test_every_kind_severity_and_consequence_has_its_mark() -> None:
    assert set(NORMAL_KINDS) <= set(MARKS)
    assert set(SEVERITIES) <= set(MARKS)
    assert set(SAYINGS) == set(KINDS)
    assert {saying.mark for saying in SAYINGS.values()} <= set(MARKS)


# Colours. WCAG 2.2: contrast (L1 + 0.05) / (L2 + 0.05) of relative luminances, at least 4.5 for text (1.4.3).


def luminance(colour: str) -> float:
    """Relative luminance of a colour (WCAG 2.2, definition), 0 to 1."""
    channels = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


@pytest.mark.parametrize("role", sorted(ROLES))
@pytest.mark.parametrize("ground", sorted(GROUNDS))
@pytest.mark.parametrize("side", ["dark", "light"])
def test_every_colour_can_be_read_on_its_ground(role: str, ground: str, side: str) -> None:
    lights = sorted((luminance(getattr(ROLES[role], side)), luminance(getattr(GROUNDS[ground], side))))
    ratio = (lights[1] + 0.05) / (lights[0] + 0.05)
    assert ratio >= (3.0 if role == "faint" else 4.5)


def test_what_makes_and_what_breaks_differ_to_eyes_that_do_not_tell_red_from_green() -> None:
    # blue against orange: they lie on either side of the blue-yellow axis, which those eyes keep
    for side in ("dark", "light"):
        made, broken = getattr(ROLES["made"], side), getattr(ROLES["broken"], side)
        assert int(made[5:7], 16) > int(made[1:3], 16)
        assert int(broken[5:7], 16) < int(broken[1:3], 16)


# Words


@pytest.mark.parametrize("ascii_only", [False, True])
def test_wrapped_lines_fit_and_lose_nothing(ascii_only: bool) -> None:
    rng = random.Random(4)
    ink = Ink(ascii_only)
    for _ in range(500):
        words = [
            Piece("".join(rng.choice("ab  日é́漢[]/") for _ in range(rng.randint(0, 12))), "text")
            for _ in range(rng.randint(1, 5))
        ]
        width = rng.randint(2, 30)
        lines = ink.wrapped(words, width, rng.randint(0, 4))
        assert all(width_of(line) <= width for line in lines)
        whole = "".join(piece.text for piece in ink.cleaned(words))
        shown = "".join(piece.text for line in lines for piece in line)
        assert shown.replace(" ", "") == whole.replace(" ", "")


def test_what_is_cut_has_a_mark() -> None:
    for ink, mark in ((Ink(), "…"), (Ink(ascii_only=True), "~")):
        words: Words = [Piece("Studio"), Piece(" A, the large one")]
        assert ink.cut(words, 40) == words
        cut = ink.cut(words, 10)
        assert "".join(piece.text for piece in cut) == f"Studio A,{mark}"
        assert width_of(cut) == 10


def test_ascii_alone_leaves_with_ascii_only() -> None:
    ink = Ink(ascii_only=True)
    assert ink.clean("Flügel") == "Flugel"
    assert ink.clean("漢 1") == "? 1"
    assert all(character.isascii() for character in ink.characters.values())


def test_names_side_by_side_are_taken_together() -> None:
    names = ["Live 1", "Live 2", "", "", "Cue 1 L", "Cue 1 R", "Cue 2 L", "Echo in", "Echo out"]
    assert [(run.first, run.jacks, run.name) for run in runs(names)] == [
        (0, 2, "Live 1-2"),
        (4, 3, "Cue 1 L-2 L"),
        (7, 1, "Echo in"),
        (8, 1, "Echo out"),
    ]


# Where bays stand


def test_a_bay_is_folded_into_equal_parts() -> None:
    for points in range(1, 130):
        for most in range(1, 60):
            fold = fold_of(points, most)
            assert fold <= most
            parts = -(-points // fold)
            assert parts == -(-points // most)
            assert fold * parts - points < parts


@pytest.mark.parametrize("names", [None, False, True])
@pytest.mark.parametrize(("width", "height"), [(79, 10), (20, 4), (150, 40), (240, 60)])
def test_every_jack_has_its_place_and_is_found_there(width: int, height: int, names: bool | None) -> None:
    room = bare_room((48, 2), (24, 2), (12, 1), (7, 3), (48, 2), (96, 2))
    plan = BayPlan(room, width, height, 3, names)
    places = set()
    for jack in range(len(room.jacks)):
        x, y = plan.place_of(jack)
        assert 0 <= x <= width - plan.cell
        assert 0 <= y < plan.height
        assert {plan.jack_at(x + step, y) for step in range(plan.cell)} == {jack}
        block = next(block for block in plan.blocks_at(y) if block.x <= x < block.x + block.width)
        line = block.lines[y - block.y]
        assert line.kind == ROW
        assert block.bay.rows[line.row] == room.jacks[jack].row
        places.add((x, y))
    assert len(places) == len(room.jacks)


def test_two_folds_at_80_columns_and_bays_side_by_side_where_there_is_room() -> None:
    studio = bare_room(*[(48, 2)] * 6)
    assert [block.fold for block in BayPlan(studio, 79, 10, 3).blocks] == [24] * 6
    assert [block.fold for block in BayPlan(studio, 150, 40, 3).blocks] == [48] * 6
    small = BayPlan(bare_room(*[(24, 2)] * 4), 165, 30, 3)
    assert [block.x for block in small.blocks] == [0, 77, 0, 77]
    assert small.height <= 30


def test_one_screen_tiles_every_size_without_overlap_and_keeps_the_line_and_the_top() -> None:
    for width, height in itertools.product([1, 2, 5, 20, 60, 80, 109, 110, 120, 200, 300], range(1, 100)):
        regions = tiles(width, height)
        assert "entry" in regions
        assert height < 2 or regions["top"].y == 0
        cells = [region for region in regions.values() if region.area]
        assert all(r.x >= 0 and r.right <= width and r.y >= 0 and r.bottom <= height for r in cells)
        for one, other in itertools.combinations(cells, 2):
            assert not one.overlaps(other)
        assert "talk" in regions or height < 3


# The marks of jacks and normals


def test_a_normal_is_drawn_open_exactly_when_its_jacks_part() -> None:
    rng = random.Random(11)
    seen = {True: 0, False: 0}
    for seed in range(15):
        room = random_room(random.Random(seed))
        patch = Patch.of_room(room)
        free = [jack.address for jack in room.jacks]
        rng.shuffle(free)
        for address in free[: len(free) // 3]:
            patch = patch.do(Plug((address,))).patch
        for normal in room.normals:
            is_open = bool(opened_by(patch.state, normal))
            top, bottom = room.ends_of_normal(normal)
            # apart: the wire does not reach the line contact of a jack that is plugged and whose normal contact it takes
            parts = any(node & 1 and node >> 1 in patch.state.plugs for node in (top, bottom))
            assert is_open == parts
            if not is_open:
                assert 2 * normal.bottom in patch.state.nodes_joined_to(2 * normal.top)
            seen[is_open] += 1
    assert min(seen.values()) > 10


def test_the_marks_of_a_jack_in_their_order() -> None:
    session = Session(small_room())
    view = BayView(session)
    view.set_cursor(5)
    at = {jack.address: jack.index for jack in session.room.jacks}
    act(session, Plug(("A1",)))
    view.after_line([at["A1"], at["A2"]], [at["A3"]])
    assert view.jack(at["A1"]) == ("loose", 1, "wired")
    assert view.jack(at["A2"]).mark == "changed"
    assert view.jack(at["A3"]).mark == "lit"
    assert view.jack(at["A6"]).mark == "cursor"
    assert [view.behind(at[a]) for a in ("A1", "B11", "A11", "B12")] == ["wired", "bare", "mult", "tie"]
    assert view.set_wanted({at["A3"]: 7}) == {at["A3"]}
    assert view.jack(at["A3"]) == ("wanted", 7, "wired")
    session.enter("undo")
    for address in ("A1", "A2"):
        act(session, Plug((address, {"A1": "B3", "A2": "A12"}[address])))
    view.after_line((), ())
    assert view.jack(at["A1"]) == (None, 1, "wired")


def test_cross_normals_are_marked_at_both_jacks() -> None:
    session = Session(small_room())
    view = BayView(session)
    at = {jack.address: jack.index for jack in session.room.jacks}
    assert view.between(at["A9"], at["B9"]) == ("half top", False, "cross above")
    assert view.between(at["A11"], at["B11"]) == ("half", False, "cross below")
    act(session, Plug(("B11",)))
    view.after_line((), ())
    assert view.between(at["A9"], at["B9"]) == ("half top", False, "cross above, open")
    assert view.between(at["A11"], at["B11"]) == ("half", True, "cross below, open")


# Labels are never read as markup


def test_the_only_widget_that_takes_a_text_as_it_is_is_the_typed_line() -> None:
    # what Textual's other widgets are given as a str they read as markup: a label such as [/] would end the program
    for path in (Path(__file__).parents[1] / "tui").glob("*.py"):
        found = re.findall(
            r"^\s*from textual\.widgets import (.*)$|(from_markup|Static|Label)\(", path.read_text(), re.M
        )
        assert found in ([], [("Input", "")]), path


# Clicks


@pytest.mark.parametrize(
    ("line", "clicked", "becomes"),
    [
        ("", "A1", "A1"),
        ("A1", "B3", "A1 > B3"),
        ("A1", "A1", "plug A1"),
        ("plug A1", "A1", "A1"),
        ("A1 > B3", "A2", "A2"),
        ("A1 >", "B3", "A1 > B3"),
        ("pre 4 out >", "B9", "pre 4 out > B9"),
        ("move A8 >", "A7", "move A8 > A7"),
        ("", "A8", "pull A8"),
        ("pull A8", "A8", "unplug A8"),
        ("unplug A8", "A8", "pull A8"),
        ("pull A8", "A6", "move A8 > A6"),
        ("pull A8", "B10", "pull B10"),
        ("", "C1", "#2 >"),
        ("#2 >", "C2", "#2 > C2"),
        ("#2 >", "C1", "pull C1"),
        ("#2 >", "A8", "pull A8"),
        ("A1", "A8", "pull A8"),
        ("C2", "C1", "#2 > C2"),
        ("unplug ", "A8", "unplug A8"),
        ("note look at", "A1", "note look at A1"),
    ],
)
def test_what_a_click_makes_of_the_line(line: str, clicked: str, becomes: str) -> None:
    patch = Patch.of_room(small_room())
    patch = patch.do(Plug(("A8", "B10"))).patch
    patch = patch.do(Plug(("C1",))).patch
    at = {jack.address: jack.index for jack in patch.room.jacks}
    assert picked(line, at[clicked], patch.state) == becomes


def test_lines_made_by_clicks_are_lines_that_the_program_takes() -> None:
    rng = random.Random(2)
    session = Session(small_room())
    taken = 0
    for _ in range(300):
        line, clicked = "", 0
        for _ in range(rng.randint(1, 3)):
            clicked = rng.choice([clicked, rng.randrange(len(session.room.jacks))])
            line = picked(line, clicked, session.patch.state)
        outcome = session.enter(line)
        taken += outcome.ok
        assert outcome.ok or "reach" in str(outcome.error) or "say what" in str(outcome.error) or line.endswith(">")
    assert taken > 100
    assert {step.entry.split()[0] for step in session.now.taken} >= {"plug", "pull", "unplug"}
