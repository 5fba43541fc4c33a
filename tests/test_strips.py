"""Label strips and drawings: every jack in its place to the hundredth of a millimetre, on every piece, front and rear.

Takes about 2 s; with a browser to print, some 5 s more.
"""

import json
import re
import shutil
import subprocess
import xml.etree.ElementTree as ET
from collections import Counter
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from random import Random
from typing import Any

import pytest

from model.bench.strips import draw, strip_page
from model.bench.strips.normal_signs import NORMAL_SIGNS
from model.bench.strips.strip_names import fitted, groups_of, printed_name, width_mm, wrapped
from model.bench.strips.strips import FRONT, LONGEST_MM, REAR, Strip, measures_of, strips_of, words_before_printing
from model.room.file import parse_room, read_room
from model.room.wiring import Room
from tests.roomfile_refusals import ROOM
from tests.writable_rooms import writable_room
from tui.screen.marks import NORMALS

SVG = "{http://www.w3.org/2000/svg}"
SHIPPED = sorted(Path("rooms").glob("*.yaml"))
STATED = "    columns: 24\n    pitch: 9\n    strip height: 10\n    first: 12.5\n"


def stated(more: str = "") -> Room:
    """The room with everything, the measures of its first bay stated."""
    return parse_room(ROOM.replace("    columns: 24\n", STATED + more, 1))


def numbers(strip: Strip, piece: int, side: str) -> dict[str, float]:
    """Where each column's number is on a piece, in mm from its left edge."""
    drawing = ET.fromstring(strip_page.piece_drawing(strip, strip.pieces[piece], side).alone())
    assert drawing.get("width") == f"{float(drawing.get('viewBox', '').split()[2]):g}mm"
    numbers = {text.text for text in strip.texts if text.number}
    return {each.text or "": float(each.get("x", "")) for each in drawing.iter(f"{SVG}text") if each.text in numbers}


@pytest.mark.parametrize("side", [FRONT, REAR])
def test_jacks_are_a_pitch_apart(side: str) -> None:
    strip = strips_of(stated(), stated().bays[:1])[0]
    at = numbers(strip, 0, side)
    assert abs(at["A24"] - at["A1"]) == pytest.approx(23 * 9, abs=1e-3)
    assert (at["A24"] > at["A1"]) == (side == FRONT)
    assert at["A1" if side == FRONT else "A24"] == pytest.approx(3 + 12.5, abs=1e-3)  # 3 mm of paper round the piece


def test_a_gap_moves_all_jacks_after_it() -> None:
    bay = stated("    groups: {8: 3, 16: 4.5}\n").bays[0]
    measures = measures_of(bay)
    steps = [measures.x(column + 1) - measures.x(column) for column in range(1, 24)]
    assert steps == pytest.approx([9.0] * 7 + [12.0] + [9.0] * 7 + [13.5] + [9.0] * 7)
    assert measures.length == pytest.approx(12.5 + 23 * 9 + 7.5 + 12.5)


@pytest.mark.parametrize("seed", range(30))
def test_every_jack_stands_once_on_each_side_and_every_piece_fits(seed: int) -> None:
    room = writable_room(Random(seed), points=3 + 9 * (seed % 5), bays=2)
    for strip in strips_of(room, room.bays):
        measures = strip.measures
        assert strip.pieces[0].start == 0
        assert strip.pieces[-1].end == pytest.approx(measures.length)
        for before, after in zip(strip.pieces, strip.pieces[1:], strict=False):
            assert (before.end, before.last + 1) == (after.start, after.first)
        assert all(piece.end - piece.start <= LONGEST_MM for piece in strip.pieces)
        for side in (FRONT, REAR):
            found: list[str] = []
            for number, piece in enumerate(strip.pieces):
                at = numbers(strip, number, side)
                ordered = sorted(at, key=lambda name: at[name])
                columns = [int("".join(filter(str.isdigit, name))) for name in ordered]
                assert columns == sorted(columns, reverse=side == REAR)
                assert all(3 - 1e-3 <= x <= piece.end - piece.start + 3 + 1e-3 for x in at.values())
                found += at
            assert len(found) == len(set(found)) == measures.columns * len(strip.rows)


@pytest.mark.parametrize("seed", range(20))
def test_every_name_is_printed_whole_or_listed(seed: int) -> None:
    room = writable_room(Random(seed), points=12)
    for strip in strips_of(room, room.bays):
        listed = {each.jack for each in strip.shortened}
        words = " ".join(words_before_printing([strip]))
        for text in strip.texts:
            assert width_mm(text.text, text.size) <= text.room + 1e-6 or text.number
        for row in (room.row_named[name.lower()] for name in strip.rows):
            for group in groups_of(room, row):
                for label in group.labels:
                    over = [t.text for t in strip.texts if not t.column]
                    assert not group.name or group.name in over or group.name in words
                    printed = " ".join(t.text for t in strip.texts if t.column == label.column and not t.number)
                    jack = f"{row.name}{label.column}"
                    assert label.text in printed or jack in listed
                    assert jack not in listed or jack in words
        assert all(each.name in words and each.printed in words for each in strip.shortened)


def test_a_group_has_its_name_once_on_each_piece() -> None:
    room = read_room("rooms/kelpfield.yaml")
    strip = strips_of(room, room.bays[:1])[0]
    over = [text.text for text in strip.texts if not text.column]
    assert over == ["Hall", "Parlour", "Closet"]  # 48 columns in two pieces, cut where a group ends


def test_what_is_assumed_is_said_and_prints_no_cut_marks() -> None:
    room = stated()
    for bays, marks in ((room.bays[:1], True), (room.bays[1:2], False)):
        strip = strips_of(room, bays)[0]
        drawing = ET.fromstring(strip_page.piece_drawing(strip, strip.pieces[0], FRONT).alone())
        outside = [
            each for each in drawing.iter(f"{SVG}line") if min(float(each.get("x1", "")), float(each.get("y1", ""))) < 3
        ]
        assert bool(outside) == marks
        assert any("assumed" in words for words in words_before_printing([strip])) != marks


def test_one_strip_between_two_rows_serves_both() -> None:
    room = stated("    strips: between\n")
    strips = strips_of(room, room.bays[:1])
    assert [strip.rows for strip in strips] == [("A", "B")]
    assert {"A1", "B24"} <= {text.text for text in strips[0].texts if text.number}


@pytest.mark.parametrize("side", [FRONT, REAR])
@pytest.mark.parametrize("more", ["", "    strips: below\n", "    strips: between\n"])
def test_shapes_tell_the_normal_of_every_pair(side: str, more: str) -> None:
    """The shape stands left of its own jack's number at the front, right of it at the rear, and touches no number."""
    room = stated(more)
    bay = room.bays[0]
    kinds = {room.jacks[normal.top].point: normal.kind for normal in room.normals if not normal.cross}
    assert set(kinds.values()) == {"full", "half", "half top"}
    found: Counter[tuple[int, str]] = Counter()
    for strip in strips_of(room, (bay,), shapes=True):
        at = {each.column: each for each in strip.texts if each.number}
        drawing = ET.fromstring(strip_page.piece_drawing(strip, strip.pieces[0], side).alone())
        for group in drawing.iter(f"{SVG}g"):
            x = float(next(group.iter(f"{SVG}line")).get("x1", ""))
            kind = group.findtext(f"{SVG}title") or ""
            from_left = x - 3 if side == FRONT else strip.measures.length - (x - 3)
            column = min(at, key=lambda each: abs(strip.measures.x(each) - 3.6 - from_left))
            number = at[column]
            assert from_left + 0.6 < number.x - width_mm(number.text, number.size) / 2
            found[column, kind] += 1
    assert found == dict.fromkeys(kinds.items(), 2)  # at the top jack and at the bottom one
    assert not any(strip.shapes for strip in strips_of(room, (bay,)))


def test_shapes_are_those_of_the_screen() -> None:
    assert {mark.name: mark.means for mark in NORMALS} == {kind: says for kind, (_, says) in NORMAL_SIGNS.items()}


def test_names_are_shortened_by_rule() -> None:
    assert fitted("Monitor L", 20, 2, 1) == (["Monitor L"], False, False)
    assert fitted("Monitor L", 6, 2, 1) == (["Mon L"], True, False)
    assert fitted("Stairwell in", 8, 2.4, 2) == (["Strwll", "in"], True, False)
    assert fitted("Extraordinary", 4, 2, 1).cut
    assert wrapped("Squash L out", 30, 2, 1) == ["Squash L out"]
    assert wrapped("Squash L out", 3, 2, 3) is None


def test_a_strip_of_one_column_too_wide_is_said() -> None:
    room = stated()
    bay = room.bays[0]._replace(pitch_mm=300.0, strip_height_mm=500.0)
    words = " ".join(words_before_printing(strips_of(replace(room, bays=(bay,)), (bay,))))
    assert "a column is wider than the paper" in words
    assert "does not fit the paper" in words


@pytest.mark.parametrize("path", SHIPPED, ids=lambda path: path.stem)
def test_pages_hold_every_name_literally(path: Path) -> None:
    room = read_room(path)
    page = draw.as_html(room, room.bays)
    shown = Counter(re.findall(r">([^<]*)</text>", page))
    assert all(shown[jack.address] == 2 for jack in room.jacks)  # front and rear
    assert "<script" not in page
    ET.fromstring(draw.as_svg(room, room.bays))
    ET.fromstring(strip_page.as_svg(room, strips_of(room, room.bays)))
    assert len(draw.as_dict(room, room.bays)["bays"]) == len(room.bays)
    assert printed_name(room, 0)


@pytest.mark.parametrize("seed", range(10))
def test_odd_names_stay_text(seed: int) -> None:
    room = writable_room(Random(seed))
    for drawing in (draw.as_svg(room, room.bays), strip_page.as_svg(room, strips_of(room, room.bays))):
        assert {each.tag for each in ET.fromstring(drawing).iter()} <= {
            f"{SVG}{tag}" for tag in ("svg", "g", "line", "text", "circle", "polygon", "title")
        }


REFUSED_KEYS = {
    "pitch: 0": "pitch (mm) of bay 'Mic bay' must be more than 0",
    "pitch: wide": "must be a number",
    "pitch: 2000": "pitch (mm) of bay 'Mic bay' is too large: at most 1000 mm",
    "strip height: -1": "strip height (mm) of bay 'Mic bay' must be more than 0",
    "first: -1": "first (mm) of bay 'Mic bay' must be 0 or more",
    "groups: {24: 3}": "a gap after column 24 of bay 'Mic bay': that is its last",
    "groups: {25: 3}": "row",
    "groups: {8: 3, '1-8': 2}": "the gap after column 8 of bay 'Mic bay' is given twice",
    "groups: 8": "groups of bay 'Mic bay' must be a table such as {24: 6}",
    "strips: abov": "'strips' of bay 'Mic bay' says where they are, not 'abov': did you mean 'above'",
    "pich: 9": "unknown key 'pich' in 'bays': did you mean 'pitch'?",
}


@pytest.mark.parametrize("line", REFUSED_KEYS)
def test_the_keys_of_a_strip_are_refused_in_place(line: str) -> None:
    from model.room.file import RoomFileErrors

    text = ROOM.replace("    columns: 24\n", f"    columns: 24\n    {line}\n", 1)
    with pytest.raises(RoomFileErrors) as caught:
        parse_room(text)
    (error,) = caught.value.errors
    assert error.line == text[: text.index(line)].count("\n") + 1
    assert REFUSED_KEYS[line] in error.text or "has 24 columns" in error.text


# On paper, by a browser

BROWSER = shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")
printed = pytest.mark.skipif(BROWSER is None, reason="no browser here that prints to PDF without a screen")
POINTS_A_MM = 72 / 25.4


def pages_of(page: str, folder: Path) -> list[Any]:
    """The pages that a browser prints, each as what is on it (pdfminer.six reads them)."""
    from pdfminer.high_level import extract_pages

    (folder / "page.html").write_text(page, "utf-8")
    command = [BROWSER or "", "--headless", "--no-sandbox", "--disable-gpu", f"--user-data-dir={folder / 'profile'}"]
    command += ["--no-pdf-header-footer", f"--print-to-pdf={folder / 'page.pdf'}", str(folder / "page.html")]
    subprocess.run(command, check=True, capture_output=True, timeout=120)
    return list(extract_pages(folder / "page.pdf"))


def texts_on(page: Any) -> list[tuple[str, float, float]]:
    """Each text of a page with its middle and its base line, in mm."""
    from pdfminer.layout import LTTextContainer, LTTextLine

    found = []
    for box in page:
        if isinstance(box, LTTextContainer):
            for line in box if not isinstance(box, LTTextLine) else [box]:
                if isinstance(line, LTTextLine):
                    middle = (line.x0 + line.x1) / 2 / POINTS_A_MM
                    found.append((line.get_text().strip(), middle, line.y0 / POINTS_A_MM))
    return found


@printed
def test_on_paper_jack_1_is_23_pitches_from_jack_24(tmp_path: Path) -> None:
    """Measured by what pdfminer.six finds in the PDF: the middles of the numbers, and the ends of the rule's strokes."""
    from pdfminer.layout import LTLine

    room = stated()
    pages = pages_of(strip_page.as_html(room, strips_of(room, room.bays[:1])), tmp_path)
    found = [text for page in pages for text in texts_on(page)]
    words = {name: [x for text, x, _ in found if text == name] for name in ("A1", "A24")}
    assert len(words["A1"]) == len(words["A24"]) == 2  # front and rear
    for one, other in zip(words["A1"], words["A24"], strict=True):
        assert abs(other - one) == pytest.approx(23 * 9, abs=0.1)
    top = pages[0].height - 40 * POINTS_A_MM
    strokes = [(each.x1 - each.x0) / POINTS_A_MM for each in pages[0] if isinstance(each, LTLine) and each.y1 > top]
    assert max(strokes) == pytest.approx(100, abs=0.1)


@printed
def test_on_paper_a_drawing_by_itself_keeps_its_millimetres(tmp_path: Path) -> None:
    """What `--as svg` gives, shown by a page: the rule and the strips have one scale."""
    from pdfminer.layout import LTLine

    room = stated()
    (tmp_path / "strips.svg").write_text(strip_page.as_svg(room, strips_of(room, room.bays[:1])), "utf-8")
    style = "<style>@page { size: A3 landscape; margin: 0 } body { margin: 0 }</style>"
    (page,) = pages_of(f'<!doctype html>{style}<img src="strips.svg">', tmp_path)
    lines = [each for each in page if isinstance(each, LTLine)]
    rule = max(lines, key=lambda each: float(each.y1))  # it is on top
    assert (rule.x1 - rule.x0) / POINTS_A_MM == pytest.approx(100, abs=0.1)
    # no bar over a group is longer than the strip
    assert max((each.x1 - each.x0) / POINTS_A_MM for each in lines) < 23 * 9 + 25


@pytest.mark.parametrize(
    "as_svg", [lambda r: strip_page.as_svg(r, strips_of(r, r.bays)), lambda r: draw.as_svg(r, r.bays)]
)
def test_a_drawing_has_its_size_once(as_svg: Callable[[Room], str]) -> None:
    """A drawing within a drawing with a size of its own in mm would be drawn some four times as large."""
    assert len(list(ET.fromstring(as_svg(stated())).iter(f"{SVG}svg"))) == 1


@printed
def test_on_paper_a_drawing_has_a_page_for_each_side(tmp_path: Path) -> None:
    room = read_room("rooms/attic.yaml")
    pages = pages_of(draw.as_html(room, room.bays), tmp_path)
    assert len(pages) == 2
    assert all(page.width > page.height for page in pages)
    for page, order in zip(pages, (1, -1), strict=True):
        at = {text: x for text, x, _ in texts_on(page)}
        assert (at["A24"] - at["A1"]) * order == pytest.approx(23 * draw.COLUMN_MM, abs=0.1)


def test_json_tells_the_measures() -> None:
    room = stated()
    told = json.loads(json.dumps(strips_of_json(room)))
    first = told["strips"][0]
    assert (first["pitch"], first["height"], first["length"], first["assumed"]) == (9, 10, 232, [])
    assert first["pieces"] == [{"columns": [1, 24], "mm": 232}]


def strips_of_json(room: Room) -> dict[str, Any]:
    from model.bench.strips.strips import as_dict

    return as_dict(strips_of(room, room.bays))
