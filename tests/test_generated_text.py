"""A generated room and its file's text are one wiring."""

from __future__ import annotations

from dataclasses import fields
from typing import Any

import pytest

from model.room.file import parse_room
from model.room.wiring import Room
from tests.bench.generated_text import generated_text
from tests.generated import JACKS_A_STUDIO, generated_room


def without_lines(part: Any) -> Any:
    """A part of a room, wherever in a file it was written."""
    if isinstance(part, tuple):
        return tuple(one._replace(line=0) if hasattr(one, "line") else one for one in part)
    return part


@pytest.mark.parametrize("one_line_each", [False, True])
@pytest.mark.parametrize("jacks", [JACKS_A_STUDIO, 1000])
def test_the_text_reads_as_the_room(jacks: int, one_line_each: bool) -> None:
    read = parse_room(generated_text(jacks, seed=4, one_line_each=one_line_each), "generated.yaml")
    made = generated_room(jacks, seed=4)
    for name in (each.name for each in fields(Room)):
        assert without_lines(getattr(read, name)) == without_lines(getattr(made, name)), name


@pytest.mark.parametrize("jacks", [JACKS_A_STUDIO, 1000, 2000])
def test_a_room_has_the_number_of_jacks_asked_for(jacks: int) -> None:
    room = generated_room(jacks)
    assert len(room.jacks) == jacks
    assert [jack.index for jack in room.jacks] == list(range(jacks))


@pytest.mark.parametrize("jacks", [0, 100, 1001])
def test_a_number_that_no_room_has_is_refused(jacks: int) -> None:
    with pytest.raises(ValueError, match="even number"):
        generated_room(jacks)


def test_seeds_make_different_rooms_and_one_seed_the_same() -> None:
    assert generated_room(1000, seed=1) == generated_room(1000, seed=1)
    assert generated_room(1000, seed=1) != generated_room(1000, seed=2)
