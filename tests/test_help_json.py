"""The help's topic on JSON against what the commands print: entries of every kind are played, and their keys compared."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from model import check
from model.help.example_room import EXAMPLE_ROOM
from model.help.json_keys import ADDED, ADDED_PLAIN, CHECK, ENTRY, LOG, STATUSES, WARNING
from model.record.recorded import Recorded
from model.rehearse import as_json, at_rest_json, play, play_house
from model.room.file import parse_room, read_room
from model.session import Session
from model.signal.rules import ALL_RULES
from tui.cli import run_log, status

ROOT = Path(__file__).parent.parent

PLAYED = (
    "figures hall 3",
    "trace hall 3",
    "why squash l in",
    "why double-load",
    "route hall 3 > rec 18 in",
    "around tallow 3",
    "guard hall 3 > tallow 3",
    "guard",
    "unguard hall 3 > tallow 3",
    "put ribbon on hall 3",
    "phantom tallow 3 on",
    "phantom tallow 3 off",
    "put dynamic on hall 4",
    "dead desk 4 line",
    "heard hall 4",
    "heard desk 4 line",
    "fault",
    "dead c4",
    "hall 5 > brindle 5 ?",
    "hall 5 > brindle 5",
    "no such thing",
    "save tuesday",
    "reset",
    "done",
)


@pytest.fixture(scope="module")
def printed() -> list[dict[str, Any]]:
    """The objects of a rehearsal, with the house patch."""
    session = Session(read_room(ROOT / "rooms" / "kelpfield.yaml"))
    first = at_rest_json(session)
    played = [*play_house(session), *play(session, PLAYED)]
    refused = [one.outcome.typed for one in played if not one.outcome.ok]
    assert refused == ["no such thing"], [one.outcome.error for one in played]
    return [first, *(as_json(one) for one in played)]


def test_every_key_of_an_entry_is_told(printed: list[dict[str, Any]]) -> None:
    """All that is printed is in the help, and all that is in the help is printed."""
    assert {key for one in printed for key in one} == {*ENTRY, *ADDED}, "model/help/json_keys.py: ENTRY, ADDED"


def test_every_key_of_a_warning_is_told(printed: list[dict[str, Any]]) -> None:
    warnings = [w for one in printed for key in ("raised", "cleared", "cautions") for w in one[key]]
    assert warnings
    assert all(set(warning) == set(WARNING) for warning in warnings), "model/help/json_keys.py: WARNING"
    figures = {figure for rule in ALL_RULES for figure in rule.figures}
    assert {figure for warning in warnings for figure in warning["figures"]} <= figures


@pytest.mark.parametrize("key", ADDED)
def test_what_an_entry_adds_is_told(key: str, printed: list[dict[str, Any]]) -> None:
    """The keys of the added object, or of each object of the added list; and the entries that add it."""
    entries, inner = ADDED[key]
    found = [one for one in printed if key in one]
    assert {one["typed"].split()[0] for one in found} <= set(entries.split(", "))
    parts = [part for one in found for part in (one[key] if isinstance(one[key], list) else [one[key]])]
    objects = [part for part in parts if isinstance(part, dict)]
    if key == "other_tests":
        inner = ADDED["next_test"][1]
    assert bool(objects) == bool(inner)
    assert all(set(part) == set(inner) for part in objects), f"model/help/json_keys.py: ADDED, '{key}'"
    assert bool(key in ADDED_PLAIN) == (not ADDED[key][1])


def test_every_key_of_check_and_log_is_told() -> None:
    room = parse_room(EXAMPLE_ROOM)
    assert set(check.as_json(room, check.check_room(room))) == set(CHECK) == set(check.errors_json(()))
    assert set(run_log.as_json(Recorded(1, 0, "Booth", "entry", "undo", "undo"))) == set(LOG)


def test_every_status_of_the_command_line_is_told() -> None:
    """Whatever `tui/cli/status.py` names is in the help's table."""
    numbers = [value for name, value in vars(status).items() if name.isupper() and isinstance(value, int)]
    assert len(numbers) >= 3
    assert set(numbers) <= set(STATUSES)
