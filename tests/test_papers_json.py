"""What the help says that tables and papers print for programs, against what they print."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from model.bench.compared.compare_rooms import compare_rooms
from model.bench.strips import draw, strips
from model.bench.tables import graph
from model.bench.tables.table_columns import SYNONYMS
from model.help.json_keys import COMPARISON, COMPARISON_PARTS, DRAWN_BAY, FAULT_IN_TABLE, GRAPH, STRIP, TABLE_READ
from model.help.papers import columns_table
from model.patches.saved_patch import End, SavedCord, SavedPatch
from model.room.file import parse_room, read_room
from tui.cli.main import main

ROOM_FILE = Path("rooms/attic.yaml")
ROOM = read_room(ROOM_FILE)
# Of everything that can differ, something.
EDITS = (
    ("5-11: half", "5-11: full"),
    ("Drum box", "Rain box"),
)


def keys_of_members(members: list[dict[str, Any]]) -> set[str]:
    """The keys that all members have; each of them has them all."""
    assert members
    (keys,) = {tuple(sorted(member)) for member in members}
    return set(keys)


def test_strips_bays_and_graph() -> None:
    told_strips = strips.as_dict(strips.strips_of(ROOM, ROOM.bays))
    assert set(told_strips) == {"strips"}
    assert keys_of_members(told_strips["strips"]) == set(STRIP)
    told_bays = draw.as_dict(ROOM, ROOM.bays)
    assert set(told_bays) == {"bays"}
    assert keys_of_members(told_bays["bays"]) == set(DRAWN_BAY)
    assert set(json.loads(graph.as_json(ROOM))) == set(GRAPH)


def test_a_comparison() -> None:
    text = ROOM_FILE.read_text("utf-8")
    for was, becomes in EDITS:
        assert was in text
        text = text.replace(was, becomes)
    new = parse_room(text.replace("house patch:", "house patch:\n  - A1 > B24"))
    # a cord of a port that neither room has finds no place
    saved = {"friday": SavedPatch(ROOM.name, (SavedCord(1, (End("Nowhere out", "A1"), End(None, "B24"))),))}
    moved = ROOM.jacks[0]._replace(port=ROOM.jacks[1].port), ROOM.jacks[1]._replace(port=ROOM.jacks[0].port)
    old = type(ROOM)(**{**vars_of(ROOM), "jacks": (*moved, *ROOM.jacks[2:])})
    told = compare_rooms(old, new, saved).to_dict()
    assert set(told) == set(COMPARISON)
    assert set(COMPARISON_PARTS) == set(COMPARISON) - {"made", "broken"}  # which are pairs of names
    for part, keys in COMPARISON_PARTS.items():
        if part != "figures":
            assert keys_of_members(told[part]) == set(keys), part
    figures = compare_rooms(ROOM, parse_room(ROOM_FILE.read_text("utf-8").replace("room: ", "room: Old "))).to_dict()
    assert keys_of_members(figures["figures"]) == set(COMPARISON_PARTS["figures"])


def vars_of(room: Any) -> dict[str, Any]:
    """The fields of a room without the tables that were derived from it."""
    return {name: getattr(room, name) for name in type(room).__dataclass_fields__}


def test_a_table_that_is_read(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    sheet = tmp_path / "jacks.csv"
    for text, part in (("jack,port\nA1,Keys out\n", "guesses"), ("jack,port,normal\nA1,Keys,hlaf\n", "errors")):
        sheet.write_text(text)
        main(["from-table", str(sheet), "--json"])
        told = json.loads(capsys.readouterr().out)
        assert set(told) == set(TABLE_READ)
        assert keys_of_members(told[part]) == set(FAULT_IN_TABLE)


def test_every_column_is_told() -> None:
    assert [row[0].strip("`") for row in columns_table().rows] == list(SYNONYMS)
