"""Planned normals written into a room file: only lines of normals change. About 6 s; BAYHAND_PLANS lengthens it."""

from __future__ import annotations

import difflib
import os
import re
from pathlib import Path
from random import Random

import pytest

from model.bench.pairs import changed_pairs, column_of, kinds_of
from model.bench.plan import with_kinds
from model.bench.room_text import same_room, text_with_normals
from model.room.file import parse_room
from model.room.kinds import NORMAL_KINDS
from model.room.wiring import Room
from model.text.replacing import NotReplaced, replace_file, write_new_file

ROUNDS = int(os.environ.get("BAYHAND_PLANS", "3"))
KINDS = [*NORMAL_KINDS, "none"]
SHIPPED = sorted(Path("rooms").glob("*.yaml"))

# Lines that may come and go: a run of columns and its kind, the key 'normals', cross normals and their key.
_NORMALS_LINE = re.compile(
    r"""\s*(["']?[\d, -]+["']?:|normals:|cross\ normals:|(-\ )?\{?(from|to|kind):
    |[?:]\ |(full|half|half\ top|parallel|none)\s*$|\s*$)""",
    re.VERBOSE,
)


def changed(room: Room, rng: Random) -> Room:
    """The room with some other normals: now and then one, a run, many, or a cross normal."""
    kinds = kinds_of(room)
    bays = [bay for bay in room.bays if len(bay.rows) == 2]
    for _ in range(rng.choice((1, 1, 2, 5))):
        bay = rng.choice(bays)
        top, bottom = (room.rows[row].first for row in bay.rows)
        first = rng.randrange(bay.points)
        kind = rng.choice(KINDS)
        for column in range(first, min(bay.points, first + rng.choice((1, 1, 4, 16)))):
            kinds[top + column, bottom + column] = kind if rng.random() < 0.8 else rng.choice(KINDS)
    for jacks in [jacks for jacks in kinds if column_of(room, *jacks) is None]:
        if rng.random() < 0.3:
            kinds[jacks] = rng.choice(KINDS)
    for _ in range(rng.choice((0, 0, 1, 3))):
        a, b = rng.sample(range(len(room.jacks)), 2)
        if {(a, b), (b, a)}.isdisjoint(kinds) and column_of(room, a, b) is column_of(room, b, a) is None:
            kinds[a, b] = rng.choice(KINDS)
    return with_kinds(room, kinds)


def comments(text: str) -> list[str]:
    """The comments of a text, in order."""
    return [found.strip() for found in re.findall(r"(?:^|\s)(#.*)$", text, re.MULTILINE)]


def check_written(text: str, planned_of: Room) -> str:
    """Write a planned room into a text, and prove what must hold; answers the new text."""
    room = parse_room(text)
    new = text_with_normals(text, room, planned_of)
    assert same_room(parse_room(new), planned_of)
    assert not changed_pairs(parse_room(new), planned_of)
    assert comments(new) == comments(text)
    old_lines, new_lines = text.splitlines(keepends=True), new.splitlines(keepends=True)
    for tag, a, b, c, d in difflib.SequenceMatcher(None, old_lines, new_lines, autojunk=False).get_opcodes():
        if tag != "equal":
            for line in (*old_lines[a:b], *new_lines[c:d]):
                assert _NORMALS_LINE.match(line), line
    return new


@pytest.mark.parametrize("path", SHIPPED, ids=lambda path: path.stem)
@pytest.mark.parametrize("seed", range(ROUNDS))
def test_only_lines_of_normals_change(path: Path, seed: int) -> None:
    """In the shipped rooms: read again it is the planned room, comments stay, and the difference is in normals alone."""
    rng = Random(f"{path.stem} {seed}")
    text = path.read_text("utf-8")
    if seed % 3 == 1:
        text = text.replace("\n", "\r\n")
    if seed % 3 == 2:
        text = "\ufeff" + text.rstrip("\n")
    for _ in range(3 if path.stem != "orrery" else 1):  # each change on the text that the one before it left
        text = check_written(text, changed(parse_room(text), rng))
    assert text.startswith("\ufeff") == (seed % 3 == 2)
    assert (text.count("\r\n") == text.count("\n")) == (seed % 3 == 1)


def random_text(rng: Random) -> str:
    """A room file written in one of the many ways that YAML has."""
    quote = rng.choice(("", "", '"', "'"))
    comment = rng.choice(("", "  # why: it's so", " # [x] {y}: z"))
    bays = []
    for number in range(rng.choice((1, 2, 3))):
        rows = "".join(
            f"\n      {row}{'é' if rng.random() < 0.1 else ''}Z: {{}}"
            for row in ("ABCDEF"[2 * number + i] for i in (0, 1))
        )
        body = f"  - bay: Bay {number}{comment}\n    columns: 12\n    rows:{rows}{comment}"
        runs = []
        column = 1
        while column <= 12:
            last = min(12, column + rng.choice((0, 1, 3)))
            if rng.random() < 0.7:
                runs.append((f"{column}-{last}" if last > column else f"{column}", rng.choice(KINDS)))
            column = last + rng.choice((1, 2))
        style = rng.choice(("block", "block", "flow", "lines", "none", "empty", "list", "braces"))
        if style == "block" and runs:
            entries = "".join(f"\n      {quote}{run}{quote}: {quote}{kind}{quote}{comment}" for run, kind in runs)
            body += f"\n    normals:{comment}{entries}\n    # the end of it"
        elif style == "flow":
            body += f"\n    normals: {{{', '.join(f'{quote}{run}{quote}: {kind}' for run, kind in runs)}}}{comment}"
        elif style == "lines" and runs:
            joined = f",{comment}\n      ".join(f"{run}: {kind}" for run, kind in runs)
            body += f"\n    normals: {{{joined}{comment}\n    }}"
        elif style == "empty":
            body += f"\n    normals:{comment}"
        elif style == "braces":
            body += "\n    normals: {}"
        elif style == "list":
            body += f"\n    normals:\n        1, 3, 5-6: {rng.choice(KINDS)}{comment}"
            body += f"\n        ? 8\n        : {rng.choice(KINDS)}\n        9: |-\n          half\n"
        bays.append(body)
    head = "bayhand: 1\nroom: Ways of writing, ü and \U0001f50c\n"
    cross = rng.choice(
        (
            "",
            "",
            "cross normals:\n",
            "cross normals: []\n",
            f"cross normals:{comment}\n  - {{from: AZ1-3, to: BZ4-6, kind: half}}{comment}\n",
            "cross normals:\n- from: AZ1, AZ3\n  to: BZ4-5\n  kind: half top   # so\n- {from: BZ7, to: AZ9, kind: full}\n",
            "cross normals: [{from: AZ1-3, to: BZ4-6, kind: half}]\n",
        )
    )
    tail = rng.choice(("", "\n# last\n", "marks: {half: red}\n"))
    text = head + "bays:\n" + "\n".join(bays) + "\n" + cross + tail
    if cross and "é" in text:
        text = text.replace("é", "")
    return text.replace("\n", rng.choice(("\n", "\n", "\r\n")))


@pytest.mark.parametrize("seed", range(ROUNDS * 20))
def test_every_way_of_writing(seed: int) -> None:
    """Blocks, braces, quotes, comments, explicit keys, no key at all, CRLF, letters beyond ASCII."""
    rng = Random(seed)
    text = random_text(rng)
    for _ in range(3):
        text = check_written(text, changed(parse_room(text), rng))


def test_a_room_on_one_line() -> None:
    """All in braces."""
    text = "{bayhand: 1, room: One, bays: [{bay: B, columns: 4, rows: {A: {}, B: {}}}]}"
    room = parse_room(text)
    planned = with_kinds(room, {(0, 4): "half", (1, 5): "half", (3, 4): "full"})
    new = text_with_normals(text, room, planned)
    assert new == (
        "{bayhand: 1, room: One, bays: [{bay: B, columns: 4, rows: {A: {}, B: {}}, normals: {1-2: half}}], "
        "cross normals: [{from: A4, to: B1, kind: full}]}"
    )


def test_there_and_back_says_the_same() -> None:
    """Sixteen pairs from half to full and back: the room is as it was."""
    text = Path("rooms/kelpfield.yaml").read_text("utf-8")
    room = parse_room(text)
    full = with_kinds(room, kinds_of(room) | {(96 + n, 144 + n): "full" for n in range(16)})
    there = check_written(text, full)
    assert "      1-16: full\n      17-32: half\n" in there
    assert same_room(parse_room(check_written(there, room)), room)


def test_a_file_is_replaced_whole_or_not_at_all(tmp_path: Path) -> None:
    """The mode and a link stay; a file that changed meanwhile, and one that is read-only, are left alone."""
    place, link = tmp_path / "room.yaml", tmp_path / "link.yaml"
    place.write_bytes(b"old")
    place.chmod(0o640)
    link.symlink_to(place)
    replace_file(link, b"old", b"new")
    assert place.read_bytes() == b"new"
    assert link.is_symlink()
    assert place.stat().st_mode & 0o777 == 0o640
    with pytest.raises(NotReplaced, match="changed meanwhile"):
        replace_file(place, b"old", b"newer")
    place.chmod(0o440)
    with pytest.raises(NotReplaced, match="read-only"):
        replace_file(place, b"new", b"newer")
    assert place.read_bytes() == b"new"
    with pytest.raises(NotReplaced, match="already"):
        write_new_file(place, b"newer")
    with pytest.raises(NotReplaced, match="cannot be written"):
        write_new_file(tmp_path / "nowhere" / "x", b"")
    with pytest.raises(NotReplaced, match="cannot be replaced"):
        replace_file(tmp_path / "nothing", b"", b"")
    assert sorted(path.name for path in tmp_path.iterdir()) == ["link.yaml", "room.yaml"]
