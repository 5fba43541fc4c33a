"""Pictures of the screen in the sizes and colours in which it is used; with each, what must be read on it."""

from __future__ import annotations

import asyncio
import itertools
import re
import sqlite3
import time
from collections.abc import Awaitable, Callable
from pathlib import Path
from typing import NamedTuple

import pytest

from model.record import recorded_session
from model.record.recorded_session import RecordedSession
from model.record.room_file import read_room_file
from model.room.file import read_room
from model.room.wiring import Room
from tests.pictures import as_svg, check_picture, screen_strips
from tests.screen_room import Player, play, small_room
from tui.screen.app import BayApp

STUDIO = Path(__file__).parents[1] / "rooms" / "kelpfield.yaml"


class Picture(NamedTuple):
    """A screen: its size, its options, the lines entered, the line that stands there, and what must be read."""

    name: str
    size: tuple[int, int]
    lines: tuple[str, ...]
    typed: str
    read: tuple[str, ...]
    ascii_only: bool = False
    light: bool = False
    no_color: bool = False
    studio: bool = True
    keys: tuple[str, ...] = ()


SESSION = ("hall 3 > brindle 4", "put ribbon on hall 3", "plug hall 9", "phantom brindle 4 on")
AT_80 = (
    r"^ Kelpfield, Studio A +AT THE BAY  cords 9/104  phantom 4  ▲\d !\d i\d$",
    r"^> hall 5 > fennel 1$",
    r"^Enter do  Tab names  F1",
)
WOULD = (r"makes Hall 5 > Fennel 1 in", r"breaks Hall 5 > Tallow 5 in", r"caution: Before a plug meets")

PICTURES = (
    Picture(
        "work-list-120x36",
        (120, 36),
        ("save evening", "pull all", "recall evening", "done", "skip because that cord is broken", "done"),
        "",
        (
            r"─ the work list ─",
            r"recall of 'evening': 4 steps left, 8 plugs out or in, 2 done",
            r"^now plug Squash R out \(K14\) > Mix R return \(F42\), tag #4",
            r"· left alone: not plugged: ",
            r"Enter puts in: done plug",
        ),
    ),
    Picture(
        "work-list-80x24",
        (80, 24),
        ("save evening", "pull all", "recall evening", "done"),
        "",
        (
            r"─ the work list ─",
            r"recall of 'evening': 6 steps left, 12 plugs out or in, 1 done",
            r"^now plug ",
            r"^  2 plug ",
        ),
    ),
    Picture(
        "work-list-80x24-step",
        (80, 24),
        (*SESSION, "save evening", "pull all", "phantom brindle 4 off", "reset", "save later", "recall evening"),
        "",
        (r"what this entry would do", r"^\+ makes Mix L send > Squash L in", r"▸1 ", r"^> done plug E41 > L13"),
        keys=("enter",),
    ),
    Picture(
        "work-list-80x24-whole-ascii",
        (80, 24),
        (*SESSION, "save evening", "pull #8", "hold #1 because it stays", "reset", "done"),
        "",
        (r"the work list", r"reset to the house patch: \d steps? left", r"^now ", r"^v done: "),
        ascii_only=True,
        keys=("f6",),
    ),
    Picture(
        "comparison-80x24",
        (80, 24),
        ("save evening", "pull #1", "move D32 > D31", "compare evening"),
        "",
        (r"the newest answer", r"plug +Mix L send \(E41\) > Squash L in", r"move +#7"),
        keys=("f6",),
    ),
    Picture(
        "trace-120x36",
        (120, 36),
        ("trace hall 3",),
        "",
        (r"A3 > B3, full normal, closed", r"through Tallow 3", r"^─ what the last entry did ─.*\d more ▼ F6"),
    ),
    Picture(
        "route-80x24",
        (80, 24),
        ("route hall 3 > buckle 2 in",),
        "",
        (
            r"the newest answer",
            r"1: 1 cord",
            r"! warning: Hall 3",
            r"╱ breaks Hall 3 >",
            r"\+ makes Hall 3 > Buckle 2 in",
        ),
        keys=("f6",),
    ),
    Picture(
        "around-120x36",
        (120, 36),
        ("around tallow 5",),
        "",
        (
            r"1: Tallow 4 in place of Tallow 5; 2 cords",
            r"─ what the last entry did ─.* Enter puts in: use 1  \d+ more ▼ F6",
        ),
    ),
    Picture(
        "fault-120x36-no-color",
        (120, 36),
        ("dead desk 3 line", "heard A3"),
        "",
        (r"things can be at fault", r"^· First: monitors and headphones down", r"Enter puts in: ", r"more ▼ F6"),
        no_color=True,
    ),
    Picture(
        "fault-80x24",
        (80, 24),
        ("dead desk 3 line",),
        "",
        (r"dead: Desk 3 line", r"things can be at fault", r"Next: "),
        keys=("f6",),
    ),
    Picture(
        "report-80x24",
        (80, 24),
        (
            "hall 3 > brindle 4",
            "hold #8 because the singer stays",
            "pull #1",
            "reset",
            "done",
            "leave",
        ),
        "",
        (r"Reset of Kelpfield, Studio A, 2031-04-01 23:40", r"the singer stays", r"belong on the cord rack"),
        keys=("f6",),
    ),
    Picture("studio-80x24", (80, 24), SESSION, "hall 5 > fennel 1", (*AT_80, *WOULD, r"L21  Fennel 1 in")),
    Picture(
        "studio-80x24-happened",
        (80, 24),
        SESSION,
        "",
        (r"what happened", r"> phantom brindle 4 on", r"^A  ○  ○ ▲8 "),
    ),
    Picture(
        "studio-80x24-warnings",
        (80, 24),
        SESSION,
        "",
        (r"▸ warnings", r"▲ danger: Phantom from Brindle 4 in"),
        keys=("f3",),
    ),
    Picture(
        "studio-80x24-ascii",
        (80, 24),
        SESSION,
        "hall 5 > fennel 1",
        (r"X\d !\d i\d$", *WOULD, r"^K  o  o", r">10"),
        ascii_only=True,
    ),
    Picture("studio-80x24-no-color", (80, 24), SESSION, "hall 5 > fennel 1", (*AT_80, *WOULD), no_color=True),
    Picture("studio-80x24-light", (80, 24), SESSION, "hall 5 > fennel 1", (*AT_80, *WOULD), light=True),
    Picture(
        "studio-120x36",
        (120, 36),
        SESSION,
        "hall 5 > fennel 1",
        (
            r"cords 9 of 104   phantom on 4 lines",
            *WOULD,
            r"─ warnings ─",
            r"─ what happened ─",
            r"Squa…",
            r"─ L21  Fennel 1 in",
        ),
    ),
    Picture(
        "studio-120x36-light", (120, 36), SESSION, "hall 5 > fennel 1", (r"phantom on 4 lines", *WOULD), light=True
    ),
    Picture(
        "studio-120x36-no-color",
        (120, 36),
        SESSION,
        "hall 5 > fennel 1",
        (r"phantom on 4 lines", *WOULD),
        no_color=True,
    ),
    Picture(
        "studio-120x36-ascii", (120, 36), SESSION, "hall 5 > fennel 1", (r"phantom on 4 lines", *WOULD), ascii_only=True
    ),
    Picture(
        "studio-200x60",
        (200, 60),
        SESSION,
        "hall 5 > fennel 1",
        (
            *WOULD,
            *(
                f"─ {bay} ─"
                for bay in ("Mic bay", "Line bay", "Insert bay", "Record bay", "Return bay", "Outboard bay")
            ),
            r"─ Parlour panel ─",
            r"A  ○  ○ .8  ○ \?10",
        ),
    ),
    Picture("studio-200x60-light", (200, 60), SESSION, "hall 5 > fennel 1", WOULD, light=True),
    Picture("studio-200x60-no-color", (200, 60), SESSION, "hall 5 > fennel 1", WOULD, no_color=True),
    Picture("studio-200x60-ascii", (200, 60), SESSION, "hall 5 > fennel 1", WOULD, ascii_only=True),
    Picture(
        "every-mark-80x24",
        (80, 24),
        ("live 1 > pre 3 in", "phantom pre 3 on", "put ribbon on live 1", "plug b11", "mix l > a12"),
        "pre 2 out > tape 4 in",
        (r"makes Pre 2 out > Tape 4 in", r"\?5", r"▸5", r"╱┼", r"║", r"╱┬⇡", r"▲2", r"╰3", r"◇", r"□"),
        studio=False,
    ),
    Picture(
        "refused-80x24",
        (80, 24),
        (),
        "pre 1 out > squish",
        (r"not done: type anew, or edit it", r"the room has nothing called 'squish'", r"^> pre 1 out > squish$"),
        studio=False,
        keys=("enter",),
    ),
    Picture(
        "help-80x24",
        (80, 24),
        (),
        "",
        (r"▸ help", r"never that a room is safe", r"plug a cord from X to Y"),
        keys=("f1",),
    ),
)


@pytest.mark.parametrize("picture", PICTURES, ids=[picture.name for picture in PICTURES])
def test_picture(picture: Picture, request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("NO_COLOR", raising=False)
    if picture.no_color:
        monkeypatch.setenv("NO_COLOR", "1")
    room: Room = read_room(STUDIO) if picture.studio else small_room()

    async def act(player: Player) -> None:
        await player.enter(*picture.lines)
        assert player.typed == "", f"refused: {player.text}"
        await player.type(picture.typed)
        if picture.keys:
            await player.press(*picture.keys)
        for pattern in picture.read:
            assert any(re.search(pattern, line) for line in player.lines), (pattern, player.text)
        assert len(player.lines) == picture.size[1]
        assert all(len(strip_text) <= picture.size[0] for strip_text in player.lines)
        if picture.ascii_only:
            assert player.text.isascii()
        if picture.no_color:
            assert only_greys(as_svg(screen_strips(player.app), ""))
        check_picture(player.app, picture.name, request.config.getoption("--renew-pictures"))

    play(act, picture.size, room, ascii_only=picture.ascii_only, light=picture.light)


class Kept(NamedTuple):
    """A screen with its record: its size, what is typed here (and at another seat), and what must be read."""

    name: str
    size: tuple[int, int]
    act: Callable[[Player, RecordedSession], Awaitable[None]]
    read: tuple[str, ...]


async def _reads_the_record(player: Player, other: RecordedSession) -> None:
    await player.enter("hall 3 > brindle 4", "put ribbon on hall 3", "note take four was the one", "save evening")
    assert other.enter("phantom brindle 4 on").ok
    await player.enter("recall evening", "done")
    await player.press("f7")


async def _hears_while_typing(player: Player, other: RecordedSession) -> None:
    await player.type("hall 5 > fennel 1")
    assert other.enter("hall 5 > brindle 4").ok
    await player.until("ben: ")


async def _cannot_keep(player: Player, other: RecordedSession) -> None:
    assert other.place is not None
    locking = sqlite3.connect(other.place, isolation_level=None, timeout=0)
    locking.execute("BEGIN EXCLUSIVE")
    await player.enter("hall 3 > brindle 4")
    locking.close()


KEPT = (
    Kept(
        "record-80x24",
        (80, 24),
        _reads_the_record,
        (
            r"▸ the record",
            r"· recall of 'evening'",
        ),
    ),
    Kept(
        "two-seats-80x24",
        (80, 24),
        _hears_while_typing,
        (r"^─ the entry ─.*ben: hall 5 > brindle 4 ─$", r"not yet: A5 already holds a plug", r"^> hall 5 > fennel 1$"),
    ),
    Kept(
        "not-kept-80x24",
        (80, 24),
        _cannot_keep,
        (
            r"NOT KEPT \('unrecorded': go on without\): another program has locked the logbook$",
            r"^> hall 3 > brindle 4$",
        ),
    ),
)


@pytest.mark.parametrize("picture", KEPT, ids=[picture.name for picture in KEPT])
def test_picture_with_a_record(
    picture: Kept, request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    clock = itertools.count(2_000_000_000_000 - 2_000_000_000_000 % 86_400_000 + 72_000_000, 1000)
    monkeypatch.setattr(recorded_session, "now_ms", lambda: next(clock))
    monkeypatch.delenv("NO_COLOR", raising=False)
    monkeypatch.setenv("TZ", "UTC")
    time.tzset()
    file = read_room_file(STUDIO)
    kept = RecordedSession.open(file, tmp_path / "evening.logbook", "anna")
    other = RecordedSession.open(file, tmp_path / "evening.logbook", "ben")

    async def run() -> None:
        app = BayApp(kept.session, record=kept)
        async with app.run_test(size=picture.size) as pilot:
            await pilot.pause()
            player = Player(app, pilot)
            await picture.act(player, other)
            for pattern in picture.read:
                assert any(re.search(pattern, line) for line in player.lines), (pattern, player.text)
            check_picture(app, picture.name, request.config.getoption("--renew-pictures"))

    try:
        asyncio.run(run())
    finally:
        other.close()
        kept.close()
        monkeypatch.undo()
        time.tzset()


def only_greys(svg: str) -> bool:
    """Whether a picture has no colour: red, green and blue are alike."""
    return all(
        len({hue[at : at + 2] for at in (0, 2, 4)}) == 1 for hue in re.findall(r"fill[:=]\"?#([0-9a-f]{6})", svg)
    )


def test_every_picture_in_the_folder_is_one_of_these() -> None:
    folder = Path(__file__).with_name("pictures")
    assert {path.stem for path in folder.glob("*.svg")} == {picture.name for picture in (*PICTURES, *KEPT)}
