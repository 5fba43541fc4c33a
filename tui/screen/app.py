"""The Textual application: colours, signals, and the screen of the live bay."""

from __future__ import annotations

import asyncio
import gc
import os
import signal
import sys
import traceback
from functools import partial
from importlib import import_module
from typing import TYPE_CHECKING

from rich.console import RenderableType
from textual import constants, events
from textual.app import App
from textual.driver import Driver
from textual.screen import Screen
from textual.theme import Theme

from model.session import Session
from tui.screen.bay_screen import BayScreen
from tui.screen.ink import Ink
from tui.screen.theme import GROUNDS, ROLES, colour
from tui.screen.typed_keys import InOrder

if TYPE_CHECKING:
    from model.record.recorded_session import RecordedSession

SIGNALS = (signal.SIGTERM, signal.SIGHUP, signal.SIGINT)
SIGNALLED = 128  # and the signal's number: the exit status of a program that a signal ended


def _theme(light: bool) -> Theme:
    text, key = colour(ROLES["text"], light), colour(ROLES["key"], light)
    ground, band = colour(GROUNDS["ground"], light), colour(GROUNDS["band"], light)
    return Theme(
        name="bayhand",
        primary=key,
        foreground=text,
        background=ground,
        surface=band,
        panel=band,
        dark=not light,
        variables={"input-cursor-background": text, "input-cursor-foreground": band},
    )


class BayApp(App[None], inherit_bindings=False):
    """One room on one screen. Its keys are those of :mod:`tui.screen.keys` and no others."""

    ENABLE_COMMAND_PALETTE = False
    TITLE = "bayhand"
    CSS = """
    Screen { background: $background; color: $foreground; overflow: hidden; }
    #entry { background: $surface; color: $foreground; }
    #entry:focus { background: $surface; background-tint: transparent; }
    ReadingScreen { background: $background; }
    #reading { width: 100%; height: 100%; }
    """

    def __init__(
        self,
        session: Session,
        *,
        ascii_only: bool = False,
        light: bool = False,
        house: bool = True,
        record: RecordedSession | None = None,
    ) -> None:
        """``record``: the session's record; ``house``: plug the house patch, where nothing was ever recorded."""
        super().__init__()
        self.session = session
        self.record = record
        self.ink = Ink(ascii_only, light)
        self.house = house
        self.in_order = InOrder(self, super().on_event)
        self.leaving = False
        self._undrawn = False  # whether a frame was left out
        self.fault = ""  # the traceback of a fault of the program, which ended it
        self.animation_level = "none"
        self.register_theme(_theme(light))
        # Not by assignment, which would read all styles again: none has been read yet, and nothing is drawn.
        self.set_reactive(App.theme, "bayhand")
        self.update_classes({"-dark-mode": not light, "-light-mode": light}, update=False)
        self.stylesheet.set_variables(self.get_css_variables())

    def get_default_screen(self) -> Screen[None]:
        """The live bay."""
        return BayScreen(self.session, self.ink, house=self.house, record=self.record)

    def get_driver_class(self) -> type[Driver]:
        """The way to the terminal."""
        if constants.DRIVER is not None or os.name != "posix":
            return super().get_driver_class()
        from tui.screen.driver import TerminalDriver

        return TerminalDriver

    def on_load(self) -> None:
        """End as asked when the terminal or the system says so, so that the terminal is left as it was."""
        loop = asyncio.get_running_loop()
        for number in SIGNALS:
            loop.add_signal_handler(number, partial(self.exit, return_code=SIGNALLED + number))

    def hang_up(self) -> None:
        """The terminal has gone: end as where the system says so."""
        self.exit(return_code=SIGNALLED + signal.SIGHUP)

    def fail(self, fault: str) -> None:
        """A fault of the program: keep its traceback for whoever mends it, and do not throw it at who sits here."""
        self.fault = self.fault or fault
        self._close_messages_no_wait()

    def _fatal_error(self) -> None:
        self.fail(traceback.format_exc())

    def panic(self, *renderables: RenderableType) -> None:
        """What Textual cannot go on from is a fault of the program."""
        self.fail(traceback.format_exc() if sys.exc_info()[0] else "\n".join(map(str, renderables)))

    # Drawing no more than the terminal takes

    def _display(self, screen: Screen[object], renderable: RenderableType | None) -> None:
        if getattr(self._driver, "is_behind", False):
            self._undrawn = True
        else:
            super()._display(screen, renderable)

    def catch_up_drawing(self) -> None:
        """The terminal has taken all: draw what it was not sent meanwhile."""
        if self._undrawn and not self.leaving:
            self.draw_anew()

    def draw_anew(self) -> None:
        """Draw all of the screen."""
        self._undrawn = False
        self.screen.refresh()

    # Keys

    async def on_event(self, event: events.Event) -> None:
        """Keys, pastes and the mouse go through one door; after the one that leaves, nothing more is done."""
        if isinstance(event, events.InputEvent | events.Paste) and not event.is_forwarded:
            if not self.leaving:
                await self.in_order.take(event)
        else:
            await super().on_event(event)

    def exit(self, result: None = None, return_code: int = 0, message: RenderableType | None = None) -> None:
        """Leave."""
        self.leaving = True
        super().exit(result, return_code, message)

    async def on_ready(self) -> None:
        """Once the first frame is out: what was typed before it, then what a keystroke would wait for."""
        await self.in_order.begin()
        self.call_after_refresh(self._warm)

    def _warm(self) -> None:
        """What stands now stays: the garbage collector need not look at it again."""
        import_module("model.commands.completion")
        self.session.warm()
        gc.collect()
        gc.freeze()
        gc.enable()
