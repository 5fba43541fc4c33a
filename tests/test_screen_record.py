"""The screen with its record: two seats, reopening, a record that cannot be kept, the work list, and reading whole."""

from __future__ import annotations

import asyncio
import re
import signal
import sqlite3
import sys
from collections.abc import Awaitable, Callable
from pathlib import Path

import pytest

from model.entry.notes import NOTES
from model.record.recorded_session import RecordedSession
from model.record.room_file import read_room_file
from tests.bench.pty_harness import Terminal, environment
from tests.bench.rooms import ROOT
from tests.screen_room import ROOM, SMALL, Player
from tui.screen.app import BayApp

COMMAND = (sys.executable, "-m", "tui")
LONGEST = 60.0  # seconds to wait for what should take less than one: it only bounds a failure


@pytest.fixture
def room_file(tmp_path: Path) -> Path:
    """The small room's file."""
    path = tmp_path / "lantern.yaml"
    path.write_text(ROOM, "utf-8")
    return path


def opened(room_file: Path, seat: str = "anna") -> RecordedSession:
    """A session of the room with its logbook beside the file."""
    return RecordedSession.open(read_room_file(room_file), room_file.with_suffix(".logbook"), seat)


def play(kept: RecordedSession, act: Callable[[Player], Awaitable[None]], size: tuple[int, int] = SMALL) -> None:
    """Open the screen on a kept session, and do something there."""

    async def run() -> None:
        app = BayApp(kept.session, record=kept)
        async with app.run_test(size=size) as pilot:
            await pilot.pause()
            await act(Player(app, pilot))

    asyncio.run(run())
    kept.close()


def test_the_house_patch_is_plugged_once_in_the_life_of_a_record(room_file: Path) -> None:
    async def first(player: Player) -> None:
        assert "cords 1/8" in player.text
        await player.enter("pull #1")
        assert "cords 0/8" in player.text

    async def second(player: Player) -> None:
        assert "cords 0/8" in player.text
        assert "going on after entry 2 of the record" in player.text
        await player.press("up")
        assert player.typed == "pull #1"  # the history goes on, too
        await player.press("escape")
        await player.enter("undo")
        assert "cords 1/8" in player.text

    play(opened(room_file), first)
    play(opened(room_file), second)


def test_what_another_seat_types_is_heard_and_said_by_whom(room_file: Path) -> None:
    other = opened(room_file, "ben")

    async def act(player: Player) -> None:
        await player.type("live 1 > pre 3 in")
        assert other.enter("live 2 > pre 3 in").ok
        await player.until("B3 already holds a plug")  # the preview of what stands in the line is made anew
        assert "ben: live 2 > pre 3 in" in player.text  # and its title says why
        await player.press("enter")
        assert "not done" in player.text
        await player.press("escape")
        assert "ben: live 2 > pre 3 in" in player.text
        assert "makes Live 2 > Pre 3 in" in player.text
        await player.enter("undo")
        assert "(typed by ben)" in player.text

    play(opened(room_file), act)
    other.close()


def test_enter_does_not_do_what_its_preview_did_not_say(room_file: Path) -> None:
    other = opened(room_file, "ben")

    async def act(player: Player) -> None:
        await player.enter("live 1 > pre 3 in", "live 2 > pre 4 in")
        await player.type("undo")
        assert "undone: plug A2 > B4" in player.said("talk")
        kept = player.screen.record
        assert kept is not None
        kept.catch_up = list  # type: ignore[method-assign]  # the screen does not look before the next key
        assert other.enter("undo").ok
        del kept.catch_up
        await player.press("enter")
        assert player.typed == "undo"
        assert "not done: it would do something else now" in player.text
        assert "undone: plug A1 > B3" in player.said("talk")
        assert "cords 2 of 8" in player.text
        await player.press("enter")
        assert player.typed == ""
        assert "cords 1 of 8" in player.text

    play(opened(room_file), act, (120, 36))
    other.close()


def test_a_bay_that_is_unknown_is_not_shown_as_the_house_patch(room_file: Path) -> None:
    kept = opened(room_file)
    assert kept.enter("live 1 > pre 3 in").ok
    kept.close()
    room_file.with_suffix(".logbook").unlink()

    async def act(player: Player) -> None:
        assert "cords 0 of 8" in player.text
        assert "The bay is unknown: begin by looking" in " ".join(player.said("happened").split())
        assert "Enter puts in: reset" in player.text
        await player.press("enter", "enter")
        assert "plug Pre 1 out (A5) > Tape 2 in (B6)" in player.text

    play(opened(room_file), act, (120, 36))


def test_a_damaged_entry_stands_in_its_place_in_the_record(room_file: Path) -> None:
    kept = opened(room_file)
    assert kept.enter("note one").ok and kept.enter("note two").ok and kept.enter("note three").ok
    with sqlite3.connect(room_file.with_suffix(".logbook")) as book:
        book.execute("UPDATE record SET at = ?, told = 'nonsense' WHERE id = 2", (10**17,))
    book.close()

    async def act(player: Player) -> None:
        await player.press("f7")
        text = " ".join(player.text.split())
        assert "note one" in text and "note three" in text
        assert "entry 2 (no time) is damaged: its time is none; it reads: note two" in text

    play(kept, act, (120, 36))


def test_two_real_terminals_share_a_room(room_file: Path, tmp_path: Path) -> None:
    env = {**environment(tmp_path), "PYTHONPATH": str(ROOT)}

    def seat(name: str) -> Terminal:
        return Terminal([*COMMAND, str(room_file), "--seat", name], columns=80, rows=24, env=env)

    with seat("anna") as anna:
        anna.wait_for("Lantern Room", LONGEST)
        anna.settle(0.3)
        with seat("ben") as ben:
            ben.wait_for("going on after entry 1 of the record", LONGEST)
            ben.settle(0.3)
            since = len(ben.output)
            for key in "live 1 > pre 3 in\r":
                anna.key(key)
            ben.wait_for("anna: live 1 > pre 3 in", LONGEST, since)
            assert anna.status is None


def test_a_screen_that_is_killed_loses_nothing_that_it_showed(room_file: Path, tmp_path: Path) -> None:
    env = {**environment(tmp_path), "PYTHONPATH": str(ROOT)}
    command = [*COMMAND, str(room_file)]
    with Terminal(command, columns=80, rows=24, env=env) as terminal:
        terminal.wait_for("Lantern Room", LONGEST)
        terminal.settle(0.3)
        terminal.send("live 1 > pre 3 in\r")
        terminal.wait_for("makes Live 1 > Pre 3 in", LONGEST)
        terminal.signal(signal.SIGKILL)
        terminal.wait()
    with Terminal(command, columns=80, rows=24, env=env) as terminal:
        terminal.wait_for("cords 2/8", LONGEST)


def test_a_record_that_cannot_be_kept_is_said_for_as_long_as_it_lasts(room_file: Path) -> None:
    kept = opened(room_file)
    locking = sqlite3.connect(room_file.with_suffix(".logbook"), isolation_level=None, timeout=0)

    async def act(player: Player) -> None:
        locking.execute("BEGIN EXCLUSIVE")
        await player.enter("live 1 > pre 3 in")
        assert "NOT KEPT ('unrecorded': go on without): another program has locked the logbook" in player.lines[1]
        assert player.typed == "live 1 > pre 3 in"
        assert "cords 1/8" in player.text
        await player.enter("unrecorded")
        await player.enter("live 1 > pre 3 in")
        assert "cords 2/8" in player.text
        assert "NOT KEPT" in player.lines[1]
        await player.press("f10")
        assert "The record cannot be kept" in player.text
        await player.resize(20, 5)
        assert "NOT" in player.lines[1]
        await player.resize(*SMALL)
        locking.execute("ROLLBACK")
        await player.enter("note the disk is back")
        assert "NOT KEPT" not in player.text

    play(kept, act)
    locking.close()
    again = opened(room_file)
    assert len(again.session.patch.state.cords) == 2
    assert again.session.get(NOTES) == ("the disk is back",)
    again.close()


@pytest.mark.parametrize("size", [SMALL, (120, 36)])
def test_a_work_list_stays_in_sight_until_it_is_done(room_file: Path, size: tuple[int, int]) -> None:
    async def act(player: Player) -> None:
        await player.enter("live 1 > pre 3 in", "save evening", "pull all", "recall evening")
        assert "recall of 'evening': 2 steps left" in player.text
        assert "now plug Pre 1 out (A5) > Tape 2 in (B6)" in player.said("talk")
        assert "Enter puts in: done" in player.text
        await player.press("enter")
        assert player.typed.startswith("done plug")
        assert {player.screen.session.room.jacks[jack].address for jack in player.screen.view.wanted} == {"A5", "B6"}
        await player.press("enter")
        assert "recall of 'evening': 1 step left, 2 plugs out or in, 1 done" in player.text
        assert "✓ done: plug Pre 1 out (A5) > Tape 2 in (B6)" in player.said("talk")
        await player.enter("skip because that cord is broken")
        assert "nothing is left to do" in player.text
        assert "(skipped: that cord is broken)" in player.said("talk")
        assert "Enter puts in: leave" in player.text
        await player.press("enter", "enter")
        assert "the work list" not in player.text

    play(opened(room_file), act, size)


def test_another_answer_is_read_before_the_work_list_and_enter_goes_back_to_it(room_file: Path) -> None:
    async def act(player: Player) -> None:
        await player.enter("live 1 > pre 3 in", "save evening", "pull all", "recall evening", "trace live 1")
        for back in ("enter", "escape"):
            assert "Enter: the work list" in player.text
            assert "> trace live 1" in player.text
            await player.press(back)
            assert "─ the work list ─" in player.text
            assert "Enter puts in: done plug" in player.text
            await player.enter("trace live 1")

    play(opened(room_file), act)


def test_a_step_that_raises_a_warning_says_so_before_the_next(room_file: Path) -> None:
    async def act(player: Player) -> None:
        await player.enter("put ribbon on live 1", "phantom pre 1 on", "save evening", "phantom pre 1 off")
        await player.enter("recall evening")
        assert re.search("danger: Phantom .*ribbon.*\nnow phantom on", player.said("talk"))
        await player.press("enter", "enter")
        assert "▲ danger: Phantom" in player.text
        assert "Enter puts in: leave" in player.text

    play(opened(room_file), act)


def test_a_work_list_is_taken_up_again_with_what_was_done(room_file: Path) -> None:
    async def first(player: Player) -> None:
        await player.enter(
            "live 1 > pre 3 in", "live 2 > pre 4 in", "save evening", "pull all", "recall evening", "done"
        )

    async def second(player: Player) -> None:
        assert "2 steps left, 4 plugs out or in, 1 done" in player.text
        await player.press("enter")
        assert player.typed.startswith("done plug")
        await player.press("enter")
        assert "1 step left" in player.text
        await player.press("f6")
        assert "the work list" in player.lines[0]
        assert player.text.count("✓ done: ") == 2

    play(opened(room_file), first)
    play(opened(room_file), second)


def test_what_no_longer_holds_is_said_at_the_opening_before_the_work_list(room_file: Path) -> None:
    async def first(player: Player) -> None:
        await player.enter("live 1 > pre 3 in", "save evening", "pull #1", "recall evening")

    async def second(player: Player) -> None:
        assert "the room file has changed" in player.text
        assert "Enter: the work list" in player.text

    play(opened(room_file), first)
    room_file.write_text(
        ROOM.replace("columns: 12", "columns: 13").replace('1-4: "Live {1-4}"', '2-4: "Live {2-4}", 13: Live 1')
    )
    play(opened(room_file), second)


def test_two_seats_work_on_one_list(room_file: Path) -> None:
    other = opened(room_file, "ben")

    async def act(player: Player) -> None:
        await player.enter("live 1 > pre 3 in", "save evening", "pull all", "recall evening")
        assert other.enter("done").ok
        await player.until("1 step left")
        assert "ben: done" in player.said("happened")
        await player.press("enter")  # the line that is offered is the step that is left
        await player.press("enter")
        assert "nothing is left to do" in player.text

    play(opened(room_file), act)
    other.close()


def test_the_record_and_a_long_answer_are_read_whole(room_file: Path) -> None:
    async def act(player: Player) -> None:
        await player.enter("live 1 > pre 3 in", "note take four was the one", "trace live 1")
        await player.press("f6")
        assert "the newest answer" in player.lines[0]
        assert "A1" in player.text
        await player.press("escape")
        await player.press("f7")
        assert "the record" in player.lines[0]
        assert re.search(r"^\d\d:\d\d:\d\d anna  note take four was the one", player.text, re.MULTILINE)
        assert "+ makes Live 1 > Pre 3 in" in player.text
        await player.press("q")
        await player.enter("record")
        assert "the record" in player.lines[0]
        await player.press("escape")
        assert player.screen.focused is player.screen.entry

    play(opened(room_file), act)


def test_a_logbook_of_another_room_is_left_alone(room_file: Path, tmp_path: Path) -> None:
    other = tmp_path / "other.yaml"
    other.write_text(ROOM.replace("Lantern Room", "Other Room"), "utf-8")
    RecordedSession.open(read_room_file(other), tmp_path / "other.logbook").close()
    env = {**environment(tmp_path), "PYTHONPATH": str(ROOT)}
    with Terminal([*COMMAND, str(room_file), "--logbook", str(tmp_path / "other.logbook")], env=env) as terminal:
        status = terminal.wait(LONGEST)
        said = terminal.output.decode()
    assert status == 2, said
    assert "Other Room" in said or "another room" in said
    assert "Traceback" not in said
    assert (tmp_path / "other.logbook").stat().st_size > 0
