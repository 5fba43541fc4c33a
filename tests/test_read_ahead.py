"""The room file read by a child process: the same room, the same refusals, and no harm where the child fails."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from model.live.look import standing_at_rest
from model.live.patch import Patch
from model.room.file import read_room
from tests.generated import generated_room
from tui.cli import read_ahead
from tui.cli.read_ahead import CannotRead, begin_reading

ROOT = Path(__file__).parent.parent
ATTIC = ROOT / "rooms" / "attic.yaml"


def test_it_gives_the_same_room() -> None:
    file, standing = begin_reading(ATTIC)()
    assert file.room == read_room(ATTIC)
    assert file.text == ATTIC.read_text("utf-8")
    assert standing == standing_at_rest(file.room)
    assert Patch.of_room(file.room, standing).standing == Patch.of_room(file.room).standing


def test_what_stands_at_rest_can_be_handed_over() -> None:
    room = generated_room(960)
    assert Patch.of_room(room, standing_at_rest(room)).standing_warnings() == Patch.of_room(room).standing_warnings()


def test_all_that_is_wrong_with_a_file_is_told(tmp_path: Path) -> None:
    path = tmp_path / "room.yaml"
    path.write_text("bayhand: 1\nroom: X\nbay: y\n", "utf-8")
    with pytest.raises(CannotRead, match=r"room\.yaml:3:1"):
        begin_reading(path)()
    with pytest.raises(CannotRead, match="no such file"):
        begin_reading(tmp_path / "none.yaml")()


def test_a_child_that_dies_costs_nothing_but_time(monkeypatch: pytest.MonkeyPatch) -> None:
    here = os.getpid()
    real = read_ahead._given

    def dies(path: Path) -> bytes:
        if os.getpid() != here:
            os._exit(9)
        return real(path)

    monkeypatch.setattr(read_ahead, "_given", dies)
    file, _ = begin_reading(ATTIC)()
    assert file.room.name == "Candle Attic"


def test_it_reads_here_where_there_is_no_fork(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delattr(os, "fork")
    file, _ = begin_reading(ATTIC)()
    assert file.room.name == "Candle Attic"
