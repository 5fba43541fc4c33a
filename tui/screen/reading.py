"""A list over everything else, to be read whole: the help, the record, a long answer."""

from __future__ import annotations

from collections.abc import Sequence

from textual import events
from textual.app import ComposeResult
from textual.screen import ModalScreen

from tui.screen.ink import Ink
from tui.screen.keys import bindings
from tui.screen.panel import Panel
from tui.screen.told_words import Item


class ReadingPanel(Panel, inherit_bindings=False):
    """The list; its keys are those of its screen."""


class ReadingScreen(ModalScreen[None]):
    """A list that fills the screen until it is closed. ``at_end``: its end is what counts."""

    BINDINGS = bindings("help")

    def __init__(self, ink: Ink, title: str, entries: Sequence[Item], *, at_end: bool = False) -> None:
        super().__init__()
        self._title = title
        self._entries = entries
        self._at_end = at_end
        self.panel = ReadingPanel(ink, id="reading")

    def compose(self) -> ComposeResult:
        """One list."""
        yield self.panel

    def on_mount(self) -> None:
        """Fill it."""
        self.panel.show(self._title, self._entries, "Esc closes it", at_end=self._at_end)
        self.set_focus(self.panel)

    def on_panel_clicked(self, event: Panel.Clicked) -> None:
        """A click closes it."""
        event.stop()
        self.action_close()

    def action_close(self) -> None:
        """Close it. A screen that is leaving is not closed again, whatever else arrives."""
        if self.is_active:
            self.dismiss()

    def action_lines(self, pages: int, lines: int) -> None:
        """Scroll by pages and lines."""
        self.panel.action_lines(pages, lines)

    def action_first(self) -> None:
        """Scroll to the first line."""
        self.panel.action_first()

    def action_last(self) -> None:
        """Scroll to the last line."""
        self.panel.action_last()

    def on_paste(self, event: events.Paste) -> None:
        """A paste has no place here."""
        event.stop()
