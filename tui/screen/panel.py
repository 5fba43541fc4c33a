"""A titled list of words that wraps and scrolls: the preview, what happened, the warnings, the jack, the help."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import zip_longest

from rich.segment import Segment
from textual import events
from textual.geometry import Region
from textual.message import Message

from tui.screen.ink import Ink, Piece, Words
from tui.screen.keys import bindings
from tui.screen.scrolled import Scrolled
from tui.screen.told_words import Item


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
        self.reads = ""
        self.flows_under = flows_under
        self.entries: list[Item] = []
        self._newest = 1
        self._width = -1
        self._wrapped: list[Words] = []
        self._wrapped_for = (-1, False)
        self._lines_of: dict[int, tuple[Item, list[Words]]] = {}  # by the entry's id: wrapped once, while they stay

    def show(
        self,
        title: str,
        entries: Sequence[Item],
        after: str = "",
        *,
        at_end: bool = False,
        newest: int = 1,
        reads: str = "",
    ) -> None:
        """Show entries in place of what was there.

        ``at_end`` keeps the end in sight; but the last ``newest`` entries are read from their beginning. ``reads``: the
        key that shows all of them, said where not all can be seen.
        """
        before = self._in_sight_now()
        self.reads = reads
        self.title, self.after, self.follows_end = title, after, at_end
        self.entries = list(entries)
        self._newest = newest
        self._wrapped_for = (-1, self._wrapped_for[1])
        self._top = 0
        if not self.outer_size:
            return  # it is drawn whole once it has a place
        now = self._in_sight_now()
        if now[0] != before[0]:
            self.refresh()
        else:
            # what stays as it was need not be sent again
            for y, (old, new) in enumerate(zip_longest(before[1], now[1])):
                if old != new:
                    self.refresh(Region(0, y, self.outer_size.width, 1))

    def _in_sight_now(self) -> tuple[tuple[int, int, int], list[object]]:
        """Where the bar stands, and what each line in sight says."""
        top = self.top
        lines = self.wrapped[top : top + self.in_sight]
        return (top, self.furthest, len(self.wrapped)), [(self.title, self.after, self.reads), *lines]

    @property
    def wrapped(self) -> list[Words]:
        """The entries as lines of the present width."""
        width, flowing = self.line_width, self.outer_size.height < self.flows_under
        if (width, flowing) != self._wrapped_for:
            if width != self._width:
                self._lines_of, self._width = {}, width
            self._wrapped_for = width, flowing
            entries = [self._flow()] if flowing and self.entries else self.entries
            self._lines_of = {id(entry): self._lines_of.get(id(entry)) or self._wrap(entry) for entry in entries}
            self._wrapped = [line for entry in entries for line in self._lines_of[id(entry)][1]]
        return self._wrapped

    def _wrap(self, entry: Item) -> tuple[Item, list[Words]]:
        return entry, self.ink.wrapped(entry.words, self._width, entry.hang)

    def end_top(self, furthest: int) -> int:
        """The end, or the first line of the newest entries where they are more than can be seen."""
        lines = len(self.wrapped)
        if len(self._lines_of) != len(self.entries):  # they flow behind one another
            return furthest
        newest = sum(len(self._lines_of[id(entry)][1]) for entry in self.entries[-self._newest :])
        return min(furthest, max(0, lines - newest))

    def _flow(self) -> Item:
        words: Words = []
        for entry in self.entries:
            words += [Piece("  "), *entry.words] if words else entry.words
        return Item(words, 0)

    @property
    def fixed(self) -> int:
        """The title stays; where there is room for one line only it is left out."""
        return 1 if self.outer_size.height > 1 else 0

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

    def line(self, y: int, width: int) -> list[Segment]:
        """The title, or one line of the entries."""
        if y < self.fixed:
            title = self.ink.clean(self.title)
            if self.has_focus:
                title = f"{self.ink.characters['cursor']} {title}"
            below = self.furthest - self.top
            more = f"{below} more {self.ink.characters['down']} {self.reads}".rstrip() if below > 0 else ""
            after = "  ".join(filter(None, (self.ink.clean(self.after), more)))
            return self.ink.segments(self.ink.rule(title, width, after), width)
        return self.ink.segments(self.wrapped[y - self.fixed], width)
