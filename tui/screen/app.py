"""The Textual application: colours, signals, and the screen of the live bay."""

from __future__ import annotations

import asyncio
import gc
import signal
import traceback
from functools import partial
from importlib import import_module
from typing import TYPE_CHECKING

from textual.app import App
from textual.screen import Screen
from textual.theme import Theme

from model.session import Session
from tui.screen.bay_screen import BayScreen
from tui.screen.ink import Ink
from tui.screen.theme import GROUNDS, ROLES, colour

if TYPE_CHECKING:
    from model.record.recorded_session import RecordedSession

SIGNALS = (signal.SIGTERM, signal.SIGHUP)
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
    #line { background: $surface; color: $foreground; }
    #line:focus { background: $surface; background-tint: transparent; }
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

    def on_mount(self) -> None:
        """End as asked when the terminal or the system says so, so that the terminal is left as it was."""
        loop = asyncio.get_running_loop()
        for number in SIGNALS:
            loop.add_signal_handler(number, partial(self.exit, return_code=SIGNALLED + number))

    def _fatal_error(self) -> None:
        """A fault of the program: keep its traceback for whoever mends it, and do not throw it at who sits here."""
        self.fault = traceback.format_exc()
        self._close_messages_no_wait()

    def on_ready(self) -> None:
        """Once the first frame is out: make what a first keystroke would wait for."""
        self.call_after_refresh(self._warm)

    def _warm(self) -> None:
        """What stands now stays: the garbage collector need not look at it again."""
        import_module("model.commands.completion")
        self.session.warm()
        gc.collect()
        gc.freeze()
        gc.enable()
