"""A titled list of words that wraps and scrolls: the preview, what happened, the warnings, the jack, the help."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import zip_longest

from textual import events
from textual.geometry import Region
from textual.message import Message
from textual.strip import Strip

from tui.ink import Ink, Piece, Words
from tui.keys import bindings
from tui.line_words import Entry
from tui.scrolled import Scrolled

MOST_ENTRIES = 2000


class Panel(Scrolled, can_focus=True):
    """A title and entries. ``at_end`` keeps the newest entry in sight.

    Under ``flows_under`` lines of height the entries stand behind one another.
    """

    BINDINGS = bindings("list")

    class Clicked(Message):
        """The panel was clicked, not to scroll it."""

        def __init__(self, panel: Panel) -> None:
            super().__init__()
            self.panel = panel

    def __init__(self, ink: Ink, *, flows_under: int = 0, id: str | None = None) -> None:
        super().__init__(ink, id=id)
        self.title = ""
        self.after = ""
        self.flows_under = flows_under
        self.entries: list[Entry] = []
        self._wrapped: list[Words] = []
        self._wrapped_for = (-1, False)

    def show(self, title: str, entries: Sequence[Entry], after: str = "", *, at_end: bool = False) -> None:
        """Show entries in place of what was there."""
        before = self._in_sight_now()
        self.title, self.after, self.follows_end = title, after, at_end
        self.entries = list(entries[-MOST_ENTRIES:])
        self._wrapped_for = (-1, False)
        self._top = 0
        now = self._in_sight_now()
        if now[0] != before[0]:
            self.refresh()
        else:
            # what stays as it was need not be sent again
            for y, (old, new) in enumerate(zip_longest(before[1], now[1])):
                if old != new:
                    self.refresh(Region(0, y, self.size.width, 1))

    def _in_sight_now(self) -> tuple[tuple[int, int, int], list[object]]:
        """Where the bar stands, and what each line in sight says."""
        top = self.top
        lines = self.wrapped[top : top + self.in_sight]
        return (top, self.furthest, len(self.wrapped)), [(self.title, self.after), *lines]

    @property
    def wrapped(self) -> list[Words]:
        """The entries as lines of the present width."""
        width, flowing = self.line_width, self.size.height < self.flows_under
        if (width, flowing) != self._wrapped_for:
            self._wrapped_for = width, flowing
            entries = [self._flow()] if flowing and self.entries else self.entries
            self._wrapped = [line for words, hang in entries for line in self.ink.wrapped(words, width, hang)]
        return self._wrapped

    def _flow(self) -> Entry:
        words: Words = []
        for entry in self.entries:
            words += [Piece("  "), *entry.words] if words else entry.words
        return Entry(words, 0)

    @property
    def fixed(self) -> int:
        """The title stays; where there is room for one line only it is left out."""
        return 1 if self.size.height > 1 else 0

    def lines_in_all(self, width: int) -> int:
        """How many lines there are."""
        return len(self.wrapped)

    def on_focus(self) -> None:
        """The title shows the focus."""
        self.refresh_lines(0)

    def on_blur(self) -> None:
        """The title shows the focus."""
        self.refresh_lines(0)

    def on_click(self, event: events.Click) -> None:
        """A click on the bar scrolls; any other is told."""
        event.stop()
        if not self.on_bar(event):
            self.post_message(self.Clicked(self))

    def line(self, y: int, width: int) -> Strip:
        """The title, or one line of the entries."""
        if y < self.fixed:
            title = self.ink.clean(self.title)
            if self.has_focus:
                title = f"{self.ink.characters['cursor']} {title}"
            below = self.furthest - self.top
            more = f"{below} more {self.ink.characters['down']}" if below > 0 else ""
            after = "  ".join(filter(None, (self.ink.clean(self.after), more)))
            return self.ink.strip(self.ink.rule(title, width, after), width)
        return self.ink.strip(self.wrapped[y - self.fixed], width)
