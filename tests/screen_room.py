"""A small room that has one of everything that the screen draws, and a way to play on its screen."""

from __future__ import annotations

import asyncio
from collections.abc import Awaitable, Callable
from datetime import datetime
from typing import Any

from textual.pilot import Pilot

from model.room.file import parse_room
from model.room.wiring import Room
from model.session import Session
from tests.pictures import screen_text
from tui.screen.app import BayApp
from tui.screen.bay_screen import BayScreen
from tui.screen.panel import Panel

ROOM = """
bayhand: 1
room: Lantern Room

gear:
  Live {1-4}: {is: mic line, ohms: 150, cable: 12}
  Pre {1-4}:
    in: {is: mic in, ohms: 2000, phantom: 48, cable: 3}
    out: {is: line out, ohms: 60, level: +4 dBu, cable: 3}
  Tape {1-4}:
    through: no
    in: {is: line in, cable: 4}
    out: {is: line out, cable: 4}
  Mix {L,R}: {is: line out, level: +4 dBu, cable: 2}
  Squash: {in: {is: line in, ohms: 20000, cable: 2}, out: {is: line out, cable: 2}}
  Amp: {is: line in, cable: 5}
  Phones: {is: line in, cable: 5}

mics:
  ribbon: {ohms: 300, harmed: yes}
  condenser: {ohms: 150, phantom: 48, draws: 4}

bays:
  - bay: Main bay
    place: Studio
    columns: 12
    rows:
      A: {1-4: "Live {1-4}", 5-8: "Pre {1-4} out", 9-10: "Mix {L,R}"}
      B: {1-4: "Pre {1-4} in", 5-8: "Tape {1-4} in", 9: Squash in, 10: Amp}
    normals:
      1-4: full
      5-8: half
      9: half top
      10: parallel
  - bay: Floor panel
    place: Hall
    columns: 6
    rows:
      C: {1: Phones, 2-3: "Tape {1-2} out"}

cross normals:
  - {from: A9, to: B11, kind: half}

ties:
  - {name: Tie 1, from: B12, to: C6, metres: 20}

mults:
  - {name: Mult 1, jacks: [A11, A12]}

cords:
  60: 8

house patch:
  - Pre 1 out > Tape 2 in
"""

SMALL = (80, 24)


def small_room() -> Room:
    """The room."""
    return parse_room(ROOM)


class Player:
    """Someone at the screen of a room."""

    def __init__(self, app: BayApp, pilot: Pilot[None]) -> None:
        self.app = app
        self.pilot = pilot

    @property
    def screen(self) -> BayScreen:
        """The live bay."""
        screen = self.app.screen_stack[0]
        assert isinstance(screen, BayScreen)
        return screen

    @property
    def typed(self) -> str:
        """What stands in the line."""
        return self.screen.entry.value

    @property
    def text(self) -> str:
        """All that can be read on the screen."""
        return "\n".join(screen_text(self.app))

    @property
    def lines(self) -> list[str]:
        """The lines of the screen."""
        return screen_text(self.app)

    def said(self, part: str) -> str:
        """All that one of the lists says, whether or not it is in sight."""
        panel = self.screen.parts[part]
        assert isinstance(panel, Panel)
        return "\n".join("".join(piece.text for piece in entry.words) for entry in panel.entries)

    async def type(self, text: str) -> None:
        """Put a text into the line, as if it were typed."""
        self.screen.entry.put(text)
        await self.pilot.pause()

    async def enter(self, *lines: str) -> None:
        """Type lines and press Enter after each."""
        for line in lines:
            await self.type(line)
            await self.press("enter")

    async def press(self, *keys: str) -> None:
        """Press keys."""
        await self.pilot.press(*keys)
        await self.pilot.pause()

    async def until(self, text: str) -> None:
        """Wait until a text is on the screen."""
        for _ in range(200):
            await self.pilot.pause(0.02)
            if text in self.text:
                return
        raise AssertionError(f"{text!r} never came:\n{self.text}")

    async def click(self, address: str) -> None:
        """Click on a jack."""
        room = self.screen.session.room
        jack = next(jack.index for jack in room.jacks if jack.address == address)
        field = self.screen.field
        field.show_jack(jack)
        x, y = field.plan.place_of(jack)
        await self.pilot.click(field, offset=(x + 1, y - field.top))
        await self.pilot.pause()

    async def click_on(self, part: str, word: str) -> None:
        """Click on a word of one of the screen's lines."""
        widget = self.screen.parts[part]
        y, line = next((y, line) for y, line in enumerate(self.lines[widget.region.y :]) if word in line)
        await self.pilot.click(widget, offset=(line.index(word) - widget.region.x, y))
        await self.pilot.pause()

    async def resize(self, width: int, height: int) -> None:
        """Give the terminal another size."""
        await self.pilot.resize_terminal(width, height)
        for _ in range(500):  # Textual lays a screen out anew a moment after its terminal changed
            if self.screen._compositor.size == (width, height):
                break
            await self.pilot.pause(0.01)
        await self.pilot.pause()


def play(
    act: Callable[[Player], Awaitable[None]], size: tuple[int, int] = SMALL, room: Room | None = None, **options: Any
) -> None:
    """Open the screen of a room, and do something there."""

    async def run() -> None:
        session = Session(room or small_room())
        session.clock = lambda: datetime(2031, 4, 1, 23, 40)  # so that a report is the same on every day
        app = BayApp(session, **options)
        async with app.run_test(size=size) as pilot:
            await pilot.pause()
            await act(Player(app, pilot))

    asyncio.run(run())
