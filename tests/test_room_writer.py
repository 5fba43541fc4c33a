"""A room written as a room file: read back it is the same room, for shipped rooms and random ones (takes 1 s)."""

import os
from pathlib import Path
from random import Random

import pytest

from model.bench.written.figures import BAY_FIELDS, FIGURES
from model.bench.written.jack_texts import JACK_TEXTS
from model.bench.written.room_writer import Remarks, write_room
from model.room.file import parse_room, read_room
from model.room.file.bays import BAY_KEYS
from model.room.file.gear import PORT_KEYS
from model.room.wiring import Accepted, Bay, Gear, Jack, Mic, Mult, Normal, Port, Supply, Tie
from model.text.folding import fold_names, fold_numbers
from model.text.ranges import expand, points
from tests.generated import generated_room
from tests.roomfile_refusals import ROOM
from tests.writable_rooms import without_lines, writable_room

SHIPPED = sorted(Path("rooms").glob("*.yaml"))
RANDOM = int(os.environ.get("BAYHAND_WRITTEN_ROOMS", "40"))


@pytest.mark.parametrize("path", SHIPPED, ids=lambda path: path.stem)
def test_a_shipped_room_is_the_same_when_written_and_read(path: Path) -> None:
    room = read_room(path)
    assert without_lines(parse_room(write_room(room))) == without_lines(room)


def test_a_room_with_everything_is_the_same() -> None:
    room = parse_room(ROOM)
    assert without_lines(parse_room(write_room(room))) == without_lines(room)


@pytest.mark.parametrize("seed", range(RANDOM))
def test_random_rooms_are_the_same(seed: int) -> None:
    room = writable_room(Random(seed), points=4 + seed % 5, bays=1 + seed % 3)
    text = write_room(room)
    again = parse_room(text)
    assert without_lines(again) == without_lines(room)
    assert write_room(again) == text


def test_what_is_alike_stands_in_one_line() -> None:
    room = read_room("rooms/kelpfield.yaml")
    written = write_room(room).splitlines()
    by_hand = [line for line in Path("rooms/kelpfield.yaml").read_text("utf-8").splitlines() if line and line[0] != "#"]
    assert len(written) <= len(by_hand) * 1.05
    assert "        1-24: Hall {1-24}" in written


def test_remarks_stand_at_what_they_are_about() -> None:
    room = read_room("rooms/attic.yaml")
    port = room.port_named["Drum box"]
    first = room.normals[0]
    normals = {(first.top, first.bottom): "seen"}
    remarks = Remarks(("made by a test",), ("the end",), {port.index: "is it?"}, {0: "a bay"}, normals)
    text = write_room(room, remarks)
    assert text.startswith("# made by a test\nbayhand: 1\n")
    assert text.endswith("\n# the end\n")
    lines = [line for line in text.splitlines() if "  # " in line]
    assert [line.strip().partition(":")[0] for line in lines] == ["Drum box", "- bay", "1"]
    assert without_lines(parse_room(text)) == without_lines(room)


def test_the_writer_knows_every_key_that_the_reader_takes() -> None:
    """A key that joins the reader and not the writer would be lost in silence: it is named here."""
    assert {figure.key for figure in FIGURES} | {"is"} == PORT_KEYS
    assert BAY_FIELDS.keys() | {"bay", "place", "columns", "rows", "normals", *JACK_TEXTS} == BAY_KEYS


# The fields of each kind of thing that the writer writes: one that joins the room and is not written fails here.
WRITTEN = {
    Port: "index name own gear kind ohms ohms_assumed level_dbu max_dbu cable_m supply line "
    "least_ohm bridged ears balanced rate_hz switched",
    Supply: "volts feed_ohm switch feed_assumed",
    Gear: "index name ports through line ways",
    Mic: "name ohms phantom_v draws_ma harmed line works_from_v",
    Jack: "index address row point port line",
    Normal: "top bottom kind cross line",
    Tie: "name a b metres line kind",
    Mult: "name jacks line",
    Accepted: "at jacks finding because line",
    Bay: f"index name place points rows line {' '.join(BAY_FIELDS.values())}",
}


@pytest.mark.parametrize("kind", WRITTEN, ids=lambda kind: kind.__name__)
def test_every_field_is_written(kind: type) -> None:
    assert set(WRITTEN[kind].split()) == set(kind._fields)  # type: ignore[attr-defined]


@pytest.mark.parametrize("seed", range(20))
def test_folded_names_expand_to_the_names(seed: int) -> None:
    rng = Random(seed)
    parts = ["Pre", "Cue", "S1", "01", "9", "10", "99", "L", "R", "C", "in", "Zed 7", "0"]
    names = [" ".join(rng.choices(parts, k=rng.randint(1, 3))) for _ in range(rng.randint(1, 30))]
    for stem in rng.sample(parts, 3):
        start = rng.choice((1, 7, 95))
        names += [f"{stem} {number} {side}" for number in range(start, start + 9) for side in "LR"]
    folds = fold_names(names)
    assert [name for fold in folds for name in expand(fold.template)] == names
    assert [fold.count for fold in folds] == [len(expand(fold.template)) for fold in folds]
    assert len(folds) <= len(names) - 50  # three times 18 names stand in one


@pytest.mark.parametrize("seed", range(10))
def test_folded_numbers_expand_to_the_numbers(seed: int) -> None:
    rng = Random(seed)
    numbers = sorted(rng.sample(range(1, 60), rng.randint(1, 40)))
    assert list(points(fold_numbers(numbers))) == numbers


def test_a_large_room_is_written_and_read() -> None:
    room = generated_room(2_000)
    assert without_lines(parse_room(write_room(room))) == without_lines(room)
