"""README and the reference of the room file, against the code: what is made from it, the pictures, the room that is shown."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from model.check import check_room
from model.room.file import parse_room
from tests.written_pages import PAGES, PARTS, README, ROOT
from tui.cli.main import SUBCOMMANDS

TEXT = README.read_text("utf-8")


@pytest.mark.parametrize("page", PAGES, ids=lambda page: str(page.relative_to(ROOT)))
def test_the_pages_are_what_the_code_says(page: Path) -> None:
    assert page.read_text("utf-8") == PAGES[page](), "`python -m tests.written_pages` writes it anew"


def test_all_that_is_made_stands_in_readme() -> None:
    assert re.findall(r"^<!-- ([a-z ]+) -->$", TEXT, re.MULTILINE) == ["played", "entries", "commands", "topics"]
    assert set(PARTS) == {"played", "entries", "commands", "topics"}


def test_every_table_is_made_from_the_code() -> None:
    by_hand = re.sub(r"<!-- [a-z ]+ -->.*?<!-- / -->", "", TEXT, flags=re.DOTALL)
    assert "| ---" in TEXT
    assert "| ---" not in by_hand


def test_it_opens_with_one_paragraph_that_states_the_job() -> None:
    paragraphs = TEXT.split("\n\n")
    assert paragraphs[0] == "# bayhand"
    assert paragraphs[1].startswith("In a recording studio")
    assert "```" in paragraphs[3] or "```" in paragraphs[4]


def test_it_can_be_read_in_a_few_minutes() -> None:
    assert len(TEXT.encode("utf-8")) < 12_000, "the whole belongs into the help"


def test_it_shows_pictures_that_tests_compare() -> None:
    shown = re.findall(r"!\[[^]]+\]\(([^)]+)\)", TEXT)
    assert len(shown) >= 3
    for picture in shown:
        assert (README.parent / picture).is_file()
        assert picture.startswith("tests/pictures/")


def test_the_room_file_that_it_shows_is_one() -> None:
    (shown,) = re.findall(r"```yaml\n(bayhand: 1.*?)```", TEXT, re.DOTALL)
    room = parse_room(shown)
    assert len(room.house_patch) == 1
    assert not [finding for finding in check_room(room) if finding.severity != "note"]


def test_it_names_every_command() -> None:
    for name in SUBCOMMANDS:
        assert re.search(rf"^bayhand {name}(?: |$)", TEXT, re.MULTILINE)


@pytest.mark.parametrize("page", PAGES, ids=lambda page: str(page.relative_to(ROOT)))
def test_links_within_the_repository_lead_somewhere(page: Path) -> None:
    for link in re.findall(r"\]\((?!http)([^)#]+)\)", page.read_text("utf-8")):
        assert (page.parent / link).exists(), link
