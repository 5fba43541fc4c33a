"""Keys, pastes and clicks, one after another: each has done all that it does before the next is looked at.

Textual hands a character to the widget that has the focus at once, and a bound key to the widget, its screen and the
application in turn; keys that arrive in one read would overtake one another, and what stands in the entry when Enter is
heard would not be what stood there when it was pressed. So all of them go through one door.
"""

from __future__ import annotations

import asyncio
from collections.abc import Awaitable, Callable
from typing import TYPE_CHECKING, Protocol, runtime_checkable

from textual import events

if TYPE_CHECKING:
    from textual.app import App
    from textual.message_pump import MessagePump

LONGEST_WAIT = 2.0  # seconds for a part of the screen to hear of a click: only one that is closing never does
MAX_EARLY = 10_000  # keys kept until the first frame is out
# A message goes from the part that was clicked to itself, and from there to its screen.
HOPS = 2

Input = events.InputEvent | events.Paste
Handler = Callable[[Input], Awaitable[None]]


@runtime_checkable
class Typewriter(Protocol):
    """A screen that takes what is typed."""

    def type_key(self, event: events.Key) -> bool:
        """Take a key; whether it was one that is typed, and no binding has to be looked for."""


class InOrder:
    """The one door. ``library``: what the application would have done with a click or a paste."""

    def __init__(self, app: App[None], library: Handler) -> None:
        self._app = app
        self._library = library
        self._early: list[Input] | None = []  # what came before there was a screen to take it
        self._hears: MessagePump | None = None  # the part that may not have heard yet of what came last
        self._last = ""

    async def take(self, event: Input) -> None:
        """Take one key, paste or movement of the mouse."""
        if self._early is not None:
            # the mouse pointed at nothing yet
            if not isinstance(event, events.MouseEvent) and len(self._early) < MAX_EARLY:
                self._early.append(event)
            return
        if isinstance(event, events.MouseMove):
            await self._library(event)
            return
        await self._heard()
        if isinstance(event, events.Key):
            await self._press(event)
        else:
            await self._library(event)
            self._hears = self._part_of(event)

    async def begin(self) -> None:
        """The first frame is out: take what was typed before it."""
        early, self._early = self._early, None
        for event in early or ():
            await self.take(event)

    def _part_of(self, event: Input) -> MessagePump | None:
        if isinstance(event, events.MouseEvent):
            under = self._app.screen.get_widgets_at(event.x, event.y)
            return next((widget for widget, _ in under), None)
        return self._app.focused

    async def _press(self, event: events.Key) -> None:
        app = self._app
        # A paste without marks may end each line with CR LF: that is one Enter.
        newline_of_crlf = event.key == "ctrl+j" and self._last == "enter"
        self._last = event.key
        if newline_of_crlf:
            return
        if not app.app_focus:
            app.app_focus = True
        screen = app.screen
        if not (isinstance(screen, Typewriter) and screen.type_key(event)):
            await app._check_bindings(event.key)
            self._hears = app.focused

    async def _heard(self) -> None:
        """Wait until what came before has gone all its way."""
        part, self._hears = self._hears, None
        if part is None:
            return
        screen = self._app.screen
        for pump in (*[part] * HOPS, screen):
            heard = asyncio.Event()
            if pump.call_later(heard.set):
                try:
                    await asyncio.wait_for(heard.wait(), LONGEST_WAIT)
                except TimeoutError:
                    return  # it is closing
