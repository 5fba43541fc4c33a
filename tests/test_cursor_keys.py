"""The keys of the bay that go far, and the keys that take back what is being typed."""

from __future__ import annotations

import pytest

from tests.screen_room import Player, play
from tui.screen.refused import wrong_part
from tui.screen.text_undo import TextUndo


def here(player: Player) -> str:
    """The address of the jack under the cursor."""
    return player.screen.session.room.jacks[player.screen.view.cursor].address


@pytest.mark.parametrize("size", [(80, 24), (60, 14), (120, 36)])
def test_the_cursor_goes_with_the_bays_and_is_in_sight(size: tuple[int, int]) -> None:
    async def act(player: Player) -> None:
        field = player.screen.field
        await player.press("f2")

        async def press(key: str) -> str:
            await player.press(key)
            y = field.plan.place_of(player.screen.view.cursor)[1]
            assert field.top <= y < field.top + field.in_sight, key
            return here(player)

        assert await press("end") == "C6"
        assert await press("home") == "A1"
        assert await press("ctrl+right") == "A9"
        assert await press("ctrl+left") == "A1"
        assert await press("ctrl+down") in ("B1", "C1")  # C where it stands below, and not beside
        assert await press("ctrl+up") == "A1"
        seen = ["A1"]
        while (now := await press("pagedown")) != seen[-1]:
            seen.append(now)
        assert seen[-1] in ("B1", "C1")
        while (now := await press("pageup")) != seen[-1]:
            seen.append(now)
        assert seen[-1] == "A1"

    play(act, size=size)


def test_keys_in_a_burst_go_as_far_as_they_are_many() -> None:
    async def act(player: Player) -> None:
        await player.press("f2", *["right"] * 7, "down", "left")
        assert here(player) == "B7"

    play(act)


def test_ctrl_z_takes_typed_text_back_and_never_a_cord_behind_it() -> None:
    async def act(player: Player) -> None:
        await player.enter("a1 > b3")
        await player.press(*"note ab")
        await player.press("ctrl+z")
        assert player.typed == "note "
        await player.press("ctrl+y")
        assert player.typed == "note ab"
        await player.press("ctrl+z", "ctrl+z", "ctrl+z", "ctrl+z", "ctrl+z")
        assert player.typed == ""
        assert set(player.screen.session.patch.state.cords) == {1, 2}
        await player.press("down", "ctrl+z")  # another key between: now it is the entry's
        assert set(player.screen.session.patch.state.cords) == {1}

    play(act)


def test_a_refused_function_key_loses_nothing_that_was_typed() -> None:
    async def act(player: Player) -> None:
        await player.type("note half")
        await player.press("f9")  # nothing to redo
        await player.press("up")
        assert player.typed == "note half"

    play(act)


def test_tab_walks_through_what_the_wrong_name_may_be_and_keeps_the_rest() -> None:
    async def act(player: Player) -> None:
        await player.enter("pre > b3")
        line = player.screen.entry
        assert line.value[slice(*sorted(line.selection))] == "pre"
        await player.press("tab")
        first = player.typed
        await player.press("tab")
        assert {first, player.typed}.isdisjoint({"pre > b3"})
        assert first != player.typed
        assert first.endswith(" > b3")
        await player.press("x")
        assert player.typed.endswith(" > b3x")  # it was edited: a character joins it

    play(act)


@pytest.mark.parametrize(
    ("text", "wrong", "part"),
    [
        ("pree 1 > b3", "pree 1", "pree 1"),
        ("a1 > A", "a", "A"),
        ("plain > b3", "a", None),
        ("a1 > b3", "", None),
        ("x(1 > b3", "x(1", "x(1"),
    ],
)
def test_the_wrong_part_is_found_as_whole_words(text: str, wrong: str, part: str | None) -> None:
    found = wrong_part(text, wrong)
    assert (None if found is None else text[slice(*found)]) == part


def test_words_typed_letter_by_letter_are_one_step_each_and_go_back_and_forth() -> None:
    undo, text, steps = TextUndo(), "", []
    for letter in "note the kick":
        undo.changed(text, text + letter)
        text += letter
    while text:
        text = undo.back(text)
        steps.append(text)
    assert steps == ["note the ", "note the", "note ", "note", ""]
    for _ in steps:
        text = undo.forth(text)
    assert text == "note the kick"
    assert not undo.can_go_forth
