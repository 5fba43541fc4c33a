"""Slips of typing in a room file are named for what they are, at their own place. Under a second."""

from __future__ import annotations

from pathlib import Path

import pytest

from model.room.file import RoomFileErrors, UnreadableFile, parse_room, read_room
from tests.roomfile_refusals import ROOM

# What is replaced in the room, by what (the slip stands behind the |), and the words for it.
SLIPS = {
    "en dash in columns": ("1-12: Live {1-12}", "1|–12: Live {1-12}", "en dash (U+2013)"),
    "en dash in a name's range": ("1-12: Live {1-12}", "1-12: Live {1|–12}", "en dash"),
    "en dash in jacks": ("from: D3-4", "from: D3|–4", "en dash"),
    "minus sign in a level": ("level: -10 dBV", "level: |−10 dBV", "minus sign"),
    "non-breaking space in a kind": ("is: mic in, ohms: 2400", "is: mic|\u00a0in, ohms: 2400", "non-breaking space"),
    "non-breaking space in a name": ("  Converter A:", "  Converter|\u00a0A:", "non-breaking space"),
    "smart quotes around a name": ("  Converter A:", "  |“Converter A”:", "smart quote (U+201C)"),
    "smart quote around a kind": ("Mix {L,R}: line out", "Mix {L,R}: |‘line out’", "smart quote"),
    "smart quotes in a flow": ('name: "Tie {1-2}"', "name: |“Tie {1-2}”", "smart quote"),
    "decimal comma": ("cable: 12}", "cable: 1|,5}", "decimal comma"),
    "decimal comma in a block": ("  cord: 10", "  cord: 1|,5", "decimal comma"),
    "decimal comma in a level": ("max: 24 dBu", "max: 24|,5 dBu", "decimal comma"),
    "comma that parts thousands": ("ohms: 20000", "ohms: 20|,000", "parts thousands"),
    "# that begins a comment": ("3: Mix L", "3: Mix |#1", "begins a comment"),
    "# in a flow": ("{is: line in, ohms: 20000}", "{is: line in |#2, ohms: 20000}", "begins a comment"),
    "tab": ("    columns: 24", "|\tcolumns: 24", "a tab"),
    "no space after a colon": ("  Wedge: {is", "  Wedge|:{is", "a space is missing after ':'"),
    "no space after a colon of a kind": ("    out: aes3 out", "    out|:aes3 out", "a space is missing"),
    "no space after a colon in a flow": ("{is: mic in, ohms: 2400", "{is|:mic in, ohms: 2400", "a space is missing"),
    "no space after a colon in a row": ("        3: Mix L", "        3|:Mix L", "a space is missing"),
    "arrow": ("Mix L > tape 1 in", "Mix L |→ tape 1 in", "an arrow"),
}


@pytest.mark.parametrize(("old", "new", "words"), SLIPS.values(), ids=SLIPS)
def test_each_slip_is_named_at_its_place(old: str, new: str, words: str) -> None:
    assert ROOM.count(old) >= 1
    marked = ROOM.replace(old, new, 1)
    before = marked.partition("|")[0]
    with pytest.raises(RoomFileErrors) as caught:
        parse_room(marked.replace("|", "", 1))
    place = before.count("\n") + 1, len(before) - before.rfind("\n")
    named = [error for error in caught.value.errors if words in error.text]
    assert place in [(error.line, error.column) for error in named], caught.value.errors


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("Saltmarsh, Studio B", "Saltmarsh – Studio B"),
        ("  Wedge:", "  Tom’s wedge:"),
        ("1: Wedge", "1: Wedge # the one in the corner"),
    ],
)
def test_what_only_looks_like_a_slip_is_taken(old: str, new: str) -> None:
    text = ROOM.replace(old, new, 1)
    if "Tom" in new:
        text = text.replace("1: Wedge", "1: Tom’s wedge")
    assert parse_room(text).jacks


@pytest.mark.parametrize("encoding", ["utf-16", "utf-16-le", "utf-16-be"])
def test_utf_16_is_named(encoding: str, tmp_path: Path) -> None:
    path = tmp_path / "room.yaml"
    path.write_bytes(ROOM.encode(encoding))
    with pytest.raises(UnreadableFile, match="UTF-16"):
        read_room(path)


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("1-12: Live {1-12}", "1-1000000000: Live {1-1000000000}"),
        ("  Live {1-12}: mic line", "  Live {1-1000000000}: mic line"),
        ("  Live {1-12}: mic line", "  Live {1-1000}{1-1000}{1-1000}: mic line"),
        ("columns: 24", "columns: 1000000000"),
        ("1-12: full", "1-1000000000: full"),
        ("jacks: D5-7", "jacks: D5-1000000000"),
    ],
)
def test_a_range_of_a_thousand_million_is_refused_before_it_is_made(
    old: str, new: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """No list of more than the room's few names is made: `range` is asked for its length alone."""
    made: list[int] = []
    real = parse_room.__globals__["Reading"].spend

    def spend(self: object, number: int, mark: object) -> bool:
        made.append(number)
        return bool(real(self, number, mark))

    monkeypatch.setattr(parse_room.__globals__["Reading"], "spend", spend)
    with pytest.raises(RoomFileErrors):
        parse_room(ROOM.replace(old, new, 1))
    assert sum(made) < 1_000
