"""README against the code: its tables, the picture it shows, the commands it names."""

from __future__ import annotations

import re

from model.check import check_room
from model.room.file import parse_room
from tests.readme_tables import README, TABLES, renewed
from tui.cli.main import SUBCOMMANDS

TEXT = README.read_text("utf-8")


def test_the_tables_are_what_the_code_says() -> None:
    """`python -m tests.readme_tables` renews them."""
    assert {f"<!-- {name} -->" for name in TABLES} <= set(TEXT.splitlines())
    assert renewed(TEXT) == TEXT


def test_it_opens_with_one_paragraph_that_states_the_job() -> None:
    paragraphs = TEXT.split("\n\n")
    assert paragraphs[0] == "# bayhand"
    assert paragraphs[1].startswith("In a recording studio")
    assert "```" in paragraphs[3] or "```" in paragraphs[4]


def test_it_shows_a_picture_that_a_test_compares() -> None:
    shown = re.findall(r"!\[[^]]*\]\(([^)]+)\)", TEXT)
    assert shown
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
        assert f"bayhand {name} " in TEXT


def test_links_within_the_repository_lead_somewhere() -> None:
    for link in re.findall(r"\]\((?!http)([^)#]+)\)", TEXT):
        assert (README.parent / link).exists(), link
