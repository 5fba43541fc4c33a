"""A list over everything else, to be read whole: the help, the record, a long answer."""

from __future__ import annotations

from collections.abc import Sequence

from textual import events
from textual.app import ComposeResult
from textual.screen import ModalScreen

from tui.screen.ink import Ink
from tui.screen.keys import bindings
from tui.screen.line_words import Entry
from tui.screen.panel import Panel


class ReadingPanel(Panel):
    """The list, with the keys of reading."""

    BINDINGS = bindings("help")


class ReadingScreen(ModalScreen[None]):
    """A list that fills the screen until it is closed. ``at_end``: its end is what counts."""

    def __init__(self, ink: Ink, title: str, entries: Sequence[Entry], *, at_end: bool = False) -> None:
        super().__init__()
        self.ink = ink
        self._title = title
        self._entries = entries
        self._at_end = at_end

    def compose(self) -> ComposeResult:
        """One list."""
        yield ReadingPanel(self.ink, id="reading")

    def on_mount(self) -> None:
        """Fill it."""
        panel = self.query_one(ReadingPanel)
        panel.show(self._title, self._entries, "Esc closes it", at_end=self._at_end)
        panel.focus()

    def on_panel_clicked(self, event: Panel.Clicked) -> None:
        """A click closes it."""
        event.stop()
        self.dismiss()

    def action_close(self) -> None:
        """Close it."""
        self.dismiss()

    def on_paste(self, event: events.Paste) -> None:
        """A paste has no place here."""
        event.stop()
