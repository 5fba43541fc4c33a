"""The recall sheet: what is in it, and that every label stands in it literally, whatever reads the file."""

from __future__ import annotations

import csv
import io
import re
import shutil
import subprocess
from collections.abc import Iterator
from html.parser import HTMLParser
from pathlib import Path

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from markdown_it import MarkdownIt

from model.paper.sheet import Sheet, Table
from model.paper.sheet_writers import WRITERS, as_csv, as_html, as_markdown
from model.patches.patch_file import parse_patch
from model.patches.placed import place
from model.patches.saved_patch import End, OnLine, SavedCord, SavedPatch, save
from model.patches.sheet import sheet_of_patch, sheet_of_session
from model.room.file import read_room
from model.room.labels import why_not_shown
from model.session import Session
from model.signal.cautions import BLEED_FIRST
from tests.recorded import do, open_at
from tui.cli.main import main

ATTIC = Path(__file__).parents[1] / "rooms" / "attic.yaml"
ROOM = read_room(ATTIC)
WHEN = "2031-04-01 23:40"

labels = st.text(st.characters(exclude_categories=("C", "Z")), min_size=1, max_size=12) | st.text(
    "<>&\"'|*_`[](){}#=+-@\\~!$:;,. \u00e9\uff1d%/htp", min_size=1, max_size=12
).map(str.strip)
labels = labels.filter(lambda text: why_not_shown(text) is None)


def table(sheet: Sheet, title: str) -> Table:
    return next(table for table in sheet.tables if table.title == title)


def session(*lines: str) -> Session:
    at = Session(ROOM)
    for line in lines:
        outcome = at.enter(line)
        assert outcome.ok, f"{line}: {outcome.error}"
    return at


def test_the_sheet_of_the_present_state() -> None:
    at = session(
        "keys l > monitor l with 60 cm",
        "guitar > pre 1 in as #7",
        "plug A22",
        "A5 > B19 and B20",
        "unplug B20",
        "phantom pre 3 on",
        "put condenser on booth 3",
        "put ribbon on booth 2",
        "note two more takes",
        "hold #7 because of the guitarist",
    )
    sheet = sheet_of_session(at.now, WHEN)
    assert sheet.facts == (
        ("Room", "Candle Attic"),
        ("Sheet of", "present state"),
        ("Made", WHEN),
        ("In the bay", "4 cords, 2 microphones, phantom at 2 inputs"),
        ("First", "Monitors and headphones down before the first plug."),
    )
    on = "monitors and headphones down, phantom off at Pre 3 in, and half a minute for it to bleed down."
    assert [(row[0], row[1], row[3]) for row in table(sheet, "Before a plug moves").rows] == [
        ("Booth 3", "danger", on[0].upper() + on[1:]),
        ("Pre 3 in", "warning", f"Monitors and headphones down. {BLEED_FIRST}"),
    ]
    assert table(sheet_of_session(session("A24 > B1").now, WHEN), "Before a plug moves").rows == ()
    assert table(sheet, "Cords").rows == (
        ("#1", "Keys L", "A9", "Monitor L", "B13", "60 cm", "Interface out 1 > Monitor L"),
        ("#2", "Cassette R out", "A22", "loose end", "", "", "nothing"),
        ("#3 (3 plugs)", "Pre 1 out", "A5", "Squash in", "B19", "", "nothing"),
        ("#7", "Guitar", "A24", "Pre 1 in", "B1", "", "Booth 1 > Pre 1 in; Guitar > Amp"),
    )
    # 48 V less 3.5 mA through half of 6800 ohm: 36.1 V (IEC 61938)
    assert table(sheet, "Input list").rows == (
        ("Booth 2", "ribbon", "Pre 2 in", "off", "must not reach it"),
        ("Booth 3", "condenser", "Pre 3 in", "on, 36.1 V", "needs 48 V, 3.5 mA"),
    )
    assert table(sheet, "Phantom that is on").rows == (
        ("Pre 3 in", "Pre pair B", "36.1 V", "Booth 3"),
        ("Pre 4 in", "Pre pair B", "48 V", "Booth 4"),
    )
    assert [row[0] for row in table(sheet, "Warnings").rows] == ["warning", "warning", "warning", "note"]
    assert [row[2] for row in table(sheet, "Warnings").rows[:2]] == ["", "ratio 0.37; loss 11.4 dB"]
    assert table(sheet, "Notes").rows == (("two more takes",),)
    assert table(sheet, "Cords on hold").rows == (("#7", "A24, B1", "of the guitarist"),)


def test_the_sheet_of_a_saved_patch_says_what_has_no_place() -> None:
    cords = (SavedCord(4, (End("Keys L", "Z1"), End("Monitor L", "B13"))), SavedCord(5, (End("Organ", "Z2"),)))
    saved = SavedPatch("Candle Attic", cords, ("Pre 1 in", "Pre 2 in"), (OnLine("Booth 1", "condenser"),))
    sheet = sheet_of_patch(ROOM, "tuesday", place(saved, ROOM), WHEN)
    assert [row[0] for row in table(sheet, "Cords").rows] == ["#4"]
    assert table(sheet, "Input list").rows[0][3] == "on, 36.1 V"
    lost = table(sheet, "Cannot be placed in this room")
    assert lost.rows == (("cord 5, Organ (Z2)", "the room has no port 'Organ' any more"),)
    assert lost.note == "cord 4: Keys L was at Z1 and is at A9"


def test_an_empty_bay_says_so_and_each_form_holds_the_caution() -> None:
    sheet = sheet_of_session(session().now, WHEN)
    for write in WRITERS.values():
        text = write(sheet)
        for said in ("No cord is in the bay.", "Phantom is off.", "never that a room is safe", "licensed person"):
            assert said in text


# Labels stand literally


def sheet_with(label: str) -> Sheet:
    return Sheet(
        "Recall sheet",
        (("Room", label), ("Sheet of", f"patch '{label}'"), ("Made", WHEN)),
        (
            Table("Cords", ("Cord", "From"), (("#1", label), (label, "x")), "none", label),
            Table("Notes", ("Note",), (), label),
        ),
    )


class Page(HTMLParser):
    """What a browser would show and load: texts, tags and their attributes."""

    def __init__(self, text: str) -> None:
        super().__init__(convert_charrefs=True)
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.texts: list[str] = []
        self.feed(text)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))
        self.texts.append("")

    def handle_endtag(self, tag: str) -> None:
        self.texts.append("")

    def handle_data(self, data: str) -> None:
        self.texts[-1:] = [self.texts[-1] + data] if self.texts else [data]


@given(labels)
@example("<script>alert(1)</script>")
@example("</td></table>&lt;&amp;")
@example("' onmouseover=x \"")
@settings(deadline=None)
def test_the_page_shows_each_label_and_obeys_none(label: str) -> None:
    page, plain = Page(as_html(sheet_with(label))), Page(as_html(sheet_with("x")))
    assert page.tags == plain.tags
    assert page.texts.count(label) >= 5
    assert f"patch '{label}'" in page.texts


def test_the_page_needs_nothing_from_anywhere() -> None:
    text = as_html(sheet_of_session(session("keys l > monitor l").now, WHEN))
    page = Page(text)
    assert {tag for tag, _ in page.tags} <= {
        "html", "head", "meta", "title", "style", "body", "main", "table", "thead", "tbody", "tr", "td", "th",
        "div", "span", "h1", "h2", "dl", "dt", "dd", "p",
    }  # fmt: skip
    assert not {name for _, attributes in page.tags for name in attributes} & {"src", "href", "style"}
    assert not re.search(r"url\(|@import|https?:|//", text)
    assert set(re.findall(r"#[0-9a-f]{3,6}\b", text.partition("</style>")[0])) == {"#000", "#fff"}


@given(labels)
@example("=1+1")
@example("'=1+1")
@example(" \uff1dx")
@example('a","b')
@example("Notes")
@settings(deadline=None)
def test_no_cell_is_a_formula_and_each_label_comes_back(label: str) -> None:
    rows = list(csv.reader(io.StringIO(as_csv(sheet_with(label)), newline=""), strict=True))
    cells = [cell for row in rows for cell in row]
    assert all(cell.lstrip()[:1] not in tuple("=+-@\uff1d\uff0b\uff0d\uff20") for cell in cells if cell)
    back = [cell.removeprefix("'") for cell in cells]
    assert back.count(label) >= 5  # a label may be a heading of the sheet as well
    assert [len(row) for row in rows] == [1, 2, 2, 2, 0, 1, 2, 2, 2, 1, 0, 1, 1, 0, 1]


def shown_texts(markdown: str) -> Iterator[str]:
    """The text of each block as a reader of Markdown shows it; anything but plain text, bold and tables fails."""
    for token in MarkdownIt("commonmark").enable(["table", "strikethrough"]).parse(markdown):
        assert token.type not in ("html_block", "fence", "code_block", "blockquote_open", "hr"), token
        if token.type == "inline":
            kinds = {child.type for child in token.children or ()}
            assert kinds <= {"text", "text_special", "strong_open", "strong_close"}, (kinds, token.content)
            yield "".join(child.content for child in token.children or ())


@given(labels)
@example("<b>kick</b> | a*b*c `x` [y](z) &amp; ~~s~~ \\")
@example("a\\|b")
@settings(deadline=None)
def test_markdown_shows_each_label_literally(label: str) -> None:
    texts = list(shown_texts(as_markdown(sheet_with(label))))
    assert texts.count(label) >= 2  # the two cells
    assert f"Room: {label}" in texts


# The command


def run(capsysbinary: pytest.CaptureFixture[bytes], *arguments: str) -> tuple[int, str, str]:
    status = main(["sheet", *arguments])
    out, err = capsysbinary.readouterr()
    return status, out.decode("utf-8"), err.decode("utf-8")


def test_the_present_state_and_saved_patches_come_from_the_logbook(
    tmp_path: Path, capsysbinary: pytest.CaptureFixture[bytes]
) -> None:
    kept = open_at(tmp_path)
    do(kept, "keys l > monitor l", "save tuesday night", "guitar > monitor r", "hold #2 because of him")
    expected = save(kept.session.patch.state)
    logbook = str(kept.place)
    for _ in range(2):  # while it is open, and when it is closed
        status, out, _err = run(capsysbinary, str(ATTIC), "--logbook", logbook, "--as", "yaml")
        assert (status, parse_patch(out)) == (0, expected)
        status, out, _err = run(
            capsysbinary, str(ATTIC), "--logbook", logbook, "--patch", "Tuesday Night", "--as", "csv"
        )
        assert status == 0
        assert '"#1","Keys L","A9","Monitor L","B13"' in out
        assert "Guitar" not in out
        status, out, _err = run(capsysbinary, str(ATTIC), "--logbook", logbook, "--as", "md")
        assert "| #2 | A24, B14 | of him |" in out
        kept.close()
    status, out, err = run(capsysbinary, str(ATTIC), "--logbook", logbook, "--patch", "monday", "--as", "md")
    assert (status, out) == (2, "")
    assert "no patch is saved as 'monday': there is 'tuesday night' and 'house'" in err


def test_without_a_logbook_the_room_is_at_rest(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsysbinary: pytest.CaptureFixture[bytes]
) -> None:
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path))
    status, rest, _ = run(capsysbinary, str(ATTIC), "--as", "yaml")
    assert (status, len(parse_patch(rest).cords)) == (0, 4)
    status, house, _ = run(capsysbinary, str(ATTIC), "--patch", "house", "--as", "yaml")
    assert (status, house) == (0, rest)
    script = tmp_path / "lines.txt"
    script.write_text("keys l > monitor l\nkeys l > nowhere\n", "utf-8")
    status, out, err = run(capsysbinary, str(ATTIC), "--script", str(script), "--as", "yaml")
    assert (status, len(parse_patch(out).cords)) == (1, 5)
    assert "lines.txt:2: keys l > nowhere: " in err
    assert not list(tmp_path.rglob("*.logbook"))  # to print is not to record


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("/nowhere/room.yaml", "--as", "md"), "no such file"),
        ((str(ATTIC), "--logbook", "/nowhere/a.logbook", "--as", "md"), "there is no such logbook"),
        ((str(ATTIC), "--script", "/nowhere/lines.txt", "--as", "md"), "No such file"),
    ],
)
def test_what_cannot_be_read_is_said(
    arguments: tuple[str, ...], said: str, capsysbinary: pytest.CaptureFixture[bytes]
) -> None:
    status, out, err = run(capsysbinary, *arguments)
    assert (status, out) == (2, "")
    assert said in err


# On paper

BROWSER, TO_PICTURES = shutil.which("chromium"), shutil.which("pdftotext")


@pytest.mark.slow
@pytest.mark.skipif(BROWSER is None or TO_PICTURES is None, reason="needs a browser and pdftotext")
@pytest.mark.parametrize(("size", "points"), [("A4", "594.96 x 841.92"), ("letter", "612 x 792")])
def test_on_both_papers_each_page_has_its_head_and_nothing_is_cut_off(tmp_path: Path, size: str, points: str) -> None:
    at = session("keys l > monitor l", *(f"note take {n} {'Q' * 200}" for n in range(40)))
    page = tmp_path / "sheet.html"
    page.write_text(as_html(sheet_of_session(at.now, WHEN)).replace("@page {", f"@page {{ size: {size};", 1), "utf-8")
    pdf = tmp_path / "sheet.pdf"
    subprocess.run(
        [str(BROWSER), "--headless", "--no-sandbox", "--disable-gpu", "--no-pdf-header-footer",
         f"--user-data-dir={tmp_path / 'profile'}", f"--print-to-pdf={pdf}", page.as_uri()],
        check=True, capture_output=True, timeout=90,
    )  # fmt: skip
    about = subprocess.run(["pdfinfo", str(pdf)], check=True, capture_output=True, text=True).stdout
    assert points in about
    text = subprocess.run(
        [str(TO_PICTURES), "-layout", str(pdf), "-"], check=True, capture_output=True, text=True
    ).stdout
    pages = text.split("\f")[:-1]
    assert len(pages) > 1
    for number, printed in enumerate(pages, start=1):
        assert printed.strip().startswith("Candle Attic: present state")
        assert f"page {number} of {len(pages)}" in printed
    assert text.count("Q") == 40 * 200
    assert sum("Note" in printed.split() for printed in pages) >= len(pages) - 1
