"""The screen, played: what is typed, pressed, clicked and pasted, and what can be read then."""

from __future__ import annotations

import pytest
from textual import events

from model.commands.completion import complete
from model.commands.reading import MAX_CHARACTERS
from model.commands.table import COMMANDS
from tests.screen_room import Player, play, small_room
from tui.help.topics import help_for, not_found
from tui.screen.bay_field import BayField
from tui.screen.entry_field import EntryField
from tui.screen.keys import KEYS, WORDS
from tui.screen.panel import Panel
from tui.screen.topic_screen import TopicScreen


def test_the_line_has_the_focus_and_the_house_patch_is_plugged() -> None:
    async def act(player: Player) -> None:
        assert isinstance(player.screen.focused, EntryField)
        assert "Lantern Room" in player.lines[0]
        assert "AT THE BAY" in player.lines[0]
        assert "cords 1/8" in player.lines[0]
        assert "the house patch, 1 cord" in player.text
        assert "makes Pre 1 out > Tape 2 in" in player.text

    play(act)


def test_without_the_house_patch_no_cord_is_in_the_bay() -> None:
    async def act(player: Player) -> None:
        assert "cords 0/8" in player.lines[0]
        assert "nothing yet" in player.text

    play(act, house=False)


def test_the_preview_stands_there_before_enter_and_nothing_is_changed() -> None:
    async def act(player: Player) -> None:
        await player.type("live 1 > pre 3 in")
        assert "what this entry would do" in player.text
        assert "cord 2" in player.text
        assert "makes Live 1 > Pre 3 in" in player.text
        assert "breaks Live 3 > Pre 3 in" in player.text
        assert "caution: Before a plug meets" in player.text
        assert player.screen.session.patch.state.cords.keys() == {1}
        assert "cords 1/8" in player.lines[0]

    play(act)


def test_what_must_be_minded_at_microphone_lines_is_not_said_elsewhere() -> None:
    async def act(player: Player) -> None:
        await player.type("pre 2 out > amp")
        assert "makes Pre 2 out > Amp" in player.text
        assert "first:" not in player.text
        await player.type("phantom pre 2 on")
        assert "caution: Switching phantom on at Pre 2 in thumps. Monitors and headphones" in player.text

    play(act)


def test_plugs_at_microphone_lines_are_minded_whatever_line_moves_them() -> None:
    async def act(player: Player) -> None:
        await player.enter("live 1 > pre 3 in")
        for typed, cautioned in (("undo", True), ("pull #2", True), ("pull #1", False), ("pull all", True)):
            await player.type(typed)
            assert ("caution: Before a plug meets" in player.text) == cautioned, typed
            await player.type("")
        await player.enter("undo", "route live 1 > pre 3 in")
        await player.press("enter")
        assert player.typed == "use 1"
        assert "caution: Before a plug meets" in player.lines[player.screen.talk.region.y + 1]
        await player.press("escape")
        await player.type("phantom pre 1 on")
        assert "caution: Switching phantom on at Pre 1 in thumps. Monitors and headphones" in player.text
        assert "Before a plug" not in player.text

    play(act)


def test_the_bay_stays_where_it_is_while_the_word_of_a_command_is_typed() -> None:
    async def act(player: Player) -> None:
        await player.type("c3")
        there = player.screen.view.cursor
        for word in ("l", "li", "pu", "ta", "t", "p", "mo", "re", "pull"):
            await player.type(word)
            assert player.screen.view.cursor == there, word
        await player.type("liv")
        assert player.screen.view.cursor == there  # that means four jacks
        await player.type("amp")
        assert player.screen.view.cursor != there
        await player.type("unplug tape 2 in")
        assert player.screen.session.room.jacks[player.screen.view.cursor].address == "B6"
        await player.type("c3")
        await player.type("undo")  # a line that names no jack, but is about one, shows it
        assert player.screen.session.room.jacks[player.screen.view.cursor].address in {"A5", "B6"}

    play(act)


def test_consequences_of_a_proposal_have_their_marks() -> None:
    async def act(player: Player) -> None:
        await player.enter("route live 1 > pre 3 in")
        said = player.said("happened")
        assert "     ╱ breaks Live 1 > Pre 1 in" in said
        assert "     + makes Live 1 > Pre 3 in" in said

    play(act)


def test_enter_does_the_line_and_says_what_happened() -> None:
    async def act(player: Player) -> None:
        await player.enter("live 1 > pre 3 in")
        assert player.typed == ""
        assert "cords 2/8" in player.lines[0]
        assert "> live 1 > pre 3 in  #2" in player.text
        assert "makes Live 1 > Pre 3 in" in player.text
        assert "breaks Live 3 > Pre 3 in" in player.text

    play(act)


def test_the_last_change_is_marked_in_the_bay() -> None:
    async def act(player: Player) -> None:
        def row_a() -> str:
            return next(line for line in player.lines if line.startswith("A"))

        await player.enter("a1 > b3")
        assert row_a().startswith("A •2  ○")
        await player.enter("a2 > b4")
        assert row_a().startswith("A  2 •3")
        await player.enter("pull #2")
        assert row_a().startswith("A •○  3")

    play(act)


def test_the_jacks_of_the_typed_line_are_marked_at_both_ends_with_the_cord_they_would_get() -> None:
    async def act(player: Player) -> None:
        await player.type("live 2")
        assert player.screen.view.cursor == 1
        assert "▸○" in player.text
        await player.type("live 2 > amp")
        assert "?2" in next(line for line in player.lines if line.startswith("A"))
        assert "▸2" in next(line for line in player.lines if line.startswith("B"))
        await player.type("")
        assert "?2" not in player.text

    play(act)


def test_a_refused_line_stays_with_its_reason_until_it_is_mended() -> None:
    async def act(player: Player) -> None:
        await player.enter("pre 1 out > amp")
        assert player.typed == "pre 1 out > amp"
        assert "not done: type anew, or edit it" in player.text
        assert "A5 already holds a plug of cord 1" in player.text
        await player.press("backspace")
        assert "not done" not in player.text
        assert player.typed == "pre 1 out > am"

    play(act)


def test_an_unknown_name_is_answered_with_the_nearest() -> None:
    async def act(player: Player) -> None:
        await player.enter("pre 1 out > squish")
        assert "did you mean 'Squash in'" in player.text

    play(act)


def test_a_question_mark_asks_and_the_line_stays() -> None:
    async def act(player: Player) -> None:
        await player.enter("pre 2 out > amp ?")
        assert player.typed == "pre 2 out > amp ?"
        assert "makes Pre 2 out > Amp" in player.text
        assert player.screen.session.patch.state.cords.keys() == {1}

    play(act)


def test_tab_takes_the_names_offered_one_after_another() -> None:
    async def act(player: Player) -> None:
        offered = [completion.entry for completion in complete("pre 2", player.screen.session.draft())]
        assert len(offered) > 1
        await player.type("pre 2")
        assert "Pre 2 out" in player.text
        await player.press("tab")
        assert player.typed == offered[0]
        await player.press("tab")
        assert player.typed == offered[1]
        await player.press("shift+tab")
        assert player.typed == offered[0]

    play(act)


def test_up_and_down_walk_the_history_and_keep_the_unfinished_line() -> None:
    async def act(player: Player) -> None:
        await player.enter("plug a2", "pull all")
        await player.type("note kick")
        await player.press("up")
        assert player.typed == "pull all"
        await player.press("up")
        assert player.typed == "plug a2"
        await player.press("down", "down")
        assert player.typed == "note kick"

    play(act)


def test_escape_drops_the_line_and_up_brings_it_back() -> None:
    async def act(player: Player) -> None:
        await player.type("note kick hums")
        await player.press("escape")
        assert player.typed == ""
        await player.press("up")
        assert player.typed == "note kick hums"

    play(act)


def test_undo_and_redo_have_keys_and_leave_what_is_being_typed() -> None:
    async def act(player: Player) -> None:
        await player.enter("a1 > b3")
        await player.type("note kick")
        await player.press("f8")
        assert "cords 1/8" in player.lines[0]
        assert player.typed == "note kick"
        await player.press("f9")
        assert "cords 2/8" in player.lines[0]

    play(act)


def test_a_warning_stands_in_its_list_with_its_figures_and_cure_until_its_cause_is_gone() -> None:
    async def act(player: Player) -> None:
        await player.enter("a1 > b3", "put ribbon on live 1", "phantom pre 3 on")
        assert "▲1" in player.lines[0]
        assert "phantom 1" in player.lines[0]
        await player.press("f3")
        assert isinstance(player.screen.focused, Panel)
        assert "danger:" in player.text
        assert "fix:" in player.text
        assert "figures: line 48 V" in player.text
        await player.press("escape")
        assert isinstance(player.screen.focused, EntryField)
        await player.enter("phantom pre 3 off")
        assert "▲0" in player.lines[0]

    play(act)


def test_the_jack_under_the_cursor_is_described_in_full() -> None:
    async def act(player: Player) -> None:
        await player.enter("a1 > b3")
        await player.type("b1")
        for words in (
            "B1  Pre 1 in",
            "mic in, 2 kΩ",
            "full normal to A1 Live 1: open, by cord 2 in A1",
            "nothing feeds Pre 1 in now",
        ):
            assert words in player.text
        await player.type("a12")
        assert "Mult 1 joins it to A11" in player.text
        await player.type("b12")
        assert "tie line Tie 1 to C6 in Hall" in player.text

    play(act, size=(200, 60))


def test_arrows_move_the_cursor_and_enter_makes_a_cord_of_two_jacks() -> None:
    async def act(player: Player) -> None:
        await player.press("f2")
        assert isinstance(player.screen.focused, BayField)
        await player.press("right", "enter")
        assert player.typed == "A2"
        await player.press("down", "right", "enter")
        assert player.typed == "A2 > B3"
        assert isinstance(player.screen.focused, EntryField)
        await player.press("enter")
        assert "makes Live 2 > Pre 3 in" in player.text

    play(act)


def test_a_letter_typed_in_the_bay_goes_to_the_line() -> None:
    async def act(player: Player) -> None:
        await player.press("f2", "p", "u")
        assert player.typed == "pu"
        assert isinstance(player.screen.focused, EntryField)

    play(act)


def test_the_mouse_alone_plugs_moves_lifts_and_pulls() -> None:
    async def act(player: Player) -> None:
        await player.click("A1")
        assert player.typed == "A1"
        await player.click("B3")
        assert player.typed == "A1 > B3"
        await player.pilot.click(player.screen.talk, offset=(3, 2))
        await player.pilot.pause()
        assert player.screen.session.patch.state.cords[2].plugs == (0, 14)
        await player.click("B3")
        assert player.typed == "pull B3"
        await player.click("B3")
        assert player.typed == "unplug B3"
        await player.click("B4")
        assert player.typed == "move B3 > B4"
        await player.click_on("keys", "Enter")
        assert player.screen.session.patch.state.cords[2].plugs == (0, 15)
        await player.click_on("keys", "undo")
        assert player.screen.session.patch.state.cords[2].plugs == (0, 14)

    play(act)


def test_the_mouse_plugs_the_loose_end() -> None:
    async def act(player: Player) -> None:
        await player.click("A1")
        await player.click("A1")
        assert player.typed == "plug A1"
        await player.press("enter")
        await player.click("A1")
        assert player.typed == "#2 >"
        await player.click("B3")
        assert player.typed == "#2 > B3"
        await player.press("enter")
        assert player.screen.session.patch.state.cords[2].plugs == (0, 14)

    play(act)


def test_a_name_offered_can_be_clicked() -> None:
    async def act(player: Player) -> None:
        await player.type("pre 2")
        await player.click_on("offers", "Pre 2 out")
        assert player.typed == "Pre 2 out"

    play(act)


def paste(text: str) -> events.Paste:
    """What a terminal sends when something is pasted."""
    return events.Paste(text)


def test_a_paste_of_many_lines_waits_is_played_and_stops_at_the_refused_one() -> None:
    async def act(player: Player) -> None:
        player.screen.entry.post_message(paste("a1 > b3\na1 > b4\r\n\na2 > b4\n"))
        await player.pilot.pause()
        assert "3 entries wait. Enter plays them" in player.text
        assert player.screen.session.patch.state.cords.keys() == {1}
        await player.press("enter")
        assert player.typed == "a1 > b4"
        assert "A1 already holds a plug of cord 2" in player.text
        await player.enter("a3 > b1")
        assert "1 entry waits" in player.text
        await player.press("enter")
        assert player.screen.session.patch.state.cords.keys() == {1, 2, 3, 4}
        assert "waits" not in player.text

    play(act)


def test_a_paste_that_waits_can_be_dropped() -> None:
    async def act(player: Player) -> None:
        player.screen.entry.post_message(paste("a1 > b3\na2 > b4"))
        await player.pilot.pause()
        await player.press("escape", "enter")
        assert player.screen.session.patch.state.cords.keys() == {1}

    play(act)


def test_a_line_of_ten_thousand_characters_is_refused_and_nothing_is_lost() -> None:
    async def act(player: Player) -> None:
        await player.type("note kick")
        player.screen.entry.post_message(paste("x" * 10_000))
        await player.pilot.pause()
        assert player.typed == "note kick"
        assert f"has 10000 characters, at most {MAX_CHARACTERS} are allowed" in " ".join(player.text.split())

    play(act)


def test_a_paste_cannot_steer_the_terminal() -> None:
    async def act(player: Player) -> None:
        player.screen.entry.post_message(paste("note a\x1b[2Jb\u202ec\td"))
        await player.pilot.pause()
        assert player.typed == "note a\u241b[2Jb\ufffdc d"
        await player.press("enter")
        assert "\x1b" not in player.text

    play(act)


def test_labels_are_shown_literally() -> None:
    room = small_room()
    gear = "[red]Live[/] 1", "\x1b[2JPre"
    ports = tuple(
        port._replace(name=port.name.replace("Live 1", gear[0]).replace("Pre", gear[1])) for port in room.ports
    )
    room = type(room)(**{**{f: getattr(room, f) for f in room.__dataclass_fields__}, "ports": ports})

    async def act(player: Player) -> None:
        await player.type("a1 > b3")
        assert "makes [red]Live[/] 1 > \u241b[2JPre 3 in" in player.text
        await player.press("enter")
        assert "makes [red]Live[/] 1 > \u241b[2JPre 3 in" in player.text
        assert "\x1b" not in player.text

    play(act, room=room, house=False)


@pytest.mark.parametrize("size", [(20, 5), (1, 1), (30, 8), (300, 90), (40, 50), (110, 16)])
def test_any_size_shows_what_fits_and_the_way_back_shows_all(size: tuple[int, int]) -> None:
    async def act(player: Player) -> None:
        await player.type("a1 > b3")
        before = player.lines
        await player.resize(*size)
        assert len(player.lines) == size[1]
        await player.press("x", "backspace")
        await player.resize(80, 24)
        assert player.lines == before

    play(act)


def test_at_20_by_5_room_mode_phantom_and_warnings_are_still_there() -> None:
    async def act(player: Player) -> None:
        await player.enter("phantom pre 2 on")
        await player.resize(20, 5)
        assert "…" in player.lines[0]
        assert "BAY P1 ▲0 !0 i0" in player.lines[0]
        assert player.lines[-1].startswith(">")

    play(act)


def test_leaving_asks_first_where_something_would_be_lost() -> None:
    async def act(player: Player) -> None:
        await player.enter("a1 > b3")
        await player.press("f10")
        assert "kept nowhere" in player.text
        assert player.app.is_running
        await player.type("note")
        await player.press("f10")
        assert "kept nowhere" in player.text
        await player.press("f10")
        assert player.app._exit

    play(act)


@pytest.mark.parametrize("leave", ["f10", "ctrl+q"])
def test_leaving_does_not_ask_where_nothing_was_typed(leave: str) -> None:
    async def act(player: Player) -> None:
        await player.press(leave)
        assert player.app._exit

    play(act)


def test_the_help_names_every_command_key_and_word() -> None:
    async def act(player: Player) -> None:
        await player.press("f1")
        panel = player.app.screen.query_one("#reading", Panel)
        said = "\n".join("".join(piece.text for piece in entry.words) for entry in panel.entries)
        for command in COMMANDS.values():
            for form in command.forms:
                assert form.usage in said
                assert form.does in said
        for key in KEYS:
            assert key.shown in said
            assert key.does in said
        for word in WORDS:
            assert word in said
        await player.press("pagedown")
        assert panel.top > 0
        await player.press("escape")
        assert player.app.screen is player.screen
        assert isinstance(player.screen.focused, EntryField)

    play(act)


@pytest.mark.parametrize("word", sorted(WORDS))
def test_the_words_that_can_be_typed_for_keys_are_no_commands_and_never_fail(word: str) -> None:
    assert word not in COMMANDS

    async def act(player: Player) -> None:
        await player.enter(word.upper())
        assert player.screen.entry.value == ""

    play(act)


@pytest.mark.parametrize("word", ["phantom", "Rules", "room file", "nothing'of) this"])
def test_help_and_a_word_opens_what_there_is_to_read_on_it(word: str) -> None:
    topic = help_for(word)

    async def act(player: Player) -> None:
        await player.enter(f"help {word}")
        assert player.screen.entry.value == ""
        if topic is None:
            assert " ".join(not_found(word).split())[:40] in " ".join(player.text.split())
        else:
            top = player.app.screen
            assert isinstance(top, TopicScreen)
            assert topic.title in player.text

    play(act)


def test_every_key_of_the_table_does_something_that_exists() -> None:
    async def act(player: Player) -> None:
        places = {"bay": player.screen.field, "list": player.screen.talk, "entry": player.screen.entry}
        for key in KEYS:
            name = key.action.partition("(")[0]
            for where in key.where.split(","):
                if where == "help":
                    continue
                owner = player.screen if name.startswith("screen.") else places[where]
                assert hasattr(owner, f"action_{name.removeprefix('screen.')}"), key

    play(act)


def test_keys_that_terminals_keep_for_themselves_are_never_the_only_way() -> None:
    kept = {"ctrl+a", "ctrl+b", "ctrl+s", "ctrl+q"}
    for key in KEYS:
        assert set(key.keys.split(",")) - kept, key


def test_tab_on_an_empty_line_goes_round_all_parts_that_are_there() -> None:
    async def act(player: Player) -> None:
        seen = []
        for _ in range(6):
            await player.press("tab")
            seen.append(player.screen.focused.id if player.screen.focused else None)
        assert sorted(filter(None, seen)) == ["bays", "entry", "happened", "jack", "talk", "warnings"]

    play(act, size=(120, 36))


def test_lists_scroll_with_keys_and_wheel() -> None:
    async def act(player: Player) -> None:
        for at in range(12):
            await player.enter(f"note line {at}")
        assert "note line 11" in player.text
        await player.press("f4", "home")
        assert "the house patch" in player.text
        await player.press("end")
        assert "note line 11" in player.text
        talk = player.screen.talk
        top = talk.top
        talk.post_message(events.MouseScrollUp(talk, 2, 2, 0, 0, 0, False, False, False))
        await player.pilot.pause()
        assert talk.top == top - 3

    play(act)


def test_offers_of_an_answer_are_put_into_the_line_by_enter() -> None:
    async def act(player: Player) -> None:
        player.screen.offers = ("pull #1", "undo")
        await player.press("enter")
        assert player.typed == "pull #1"
        assert player.screen.session.patch.state.cords.keys() == {1}
        await player.press("enter")
        assert not player.screen.session.patch.state.cords

    play(act)


def test_what_an_answer_offers_is_shown_and_its_jacks_are_lit() -> None:
    async def act(player: Player) -> None:
        await player.enter("route live 1 > pre 3 in")
        assert "Enter puts in: use 1" in player.text
        assert "> route live 1 > pre 3 in" in player.text
        await player.press("enter")
        assert player.typed == "use 1"
        assert "makes Live 1 > Pre 3 in" in player.text
        await player.press("escape")
        await player.enter("trace live 2")
        assert "*○" in next(line for line in player.lines if line.startswith("B"))

    play(act)


def test_a_long_answer_is_read_from_its_beginning() -> None:
    async def act(player: Player) -> None:
        await player.enter("pre 1 out > tape 4 in ?")
        await player.press("escape")
        await player.enter("unplug a5", "trace live 1")
        assert "> trace live 1" in player.text

    play(act)
