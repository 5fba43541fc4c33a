"""Lines of the screen of which parts can be clicked: the keys at its foot, and the names that complete the line."""

from __future__ import annotations

from typing import NamedTuple

from textual import events
from textual.message import Message
from textual.strip import Strip

from tui.screen.drawn import Drawn
from tui.screen.ink import Ink, Piece, Words, width_of


class Span(NamedTuple):
    """Words that do something when they are clicked: ``does`` says what to whoever hears of it."""

    words: Words
    does: str = ""


class SpanLine(Drawn):
    """One line of spans, two cells apart; what does not fit is left out, with a mark."""

    class Chosen(Message):
        """A span was clicked."""

        def __init__(self, line: SpanLine, does: str) -> None:
            super().__init__()
            self.line = line
            self.does = does

    def __init__(self, ink: Ink, *, id: str | None = None) -> None:
        super().__init__(ink, id=id)
        self.spans: list[Span] = []

    def show(self, spans: list[Span]) -> None:
        """Show spans in place of what was there."""
        if spans != self.spans:
            self.spans = spans
            if self.outer_size:  # else it is drawn once it has a place
                self.refresh()

    def placed(self, width: int) -> list[tuple[int, Span]]:
        """The spans that fit, with their columns."""
        found = []
        x = 0
        for number, span in enumerate(self.spans, 1):
            wide = width_of(self.ink.cleaned(span.words))
            if x and x + wide > (width if number == len(self.spans) else width - 2):
                found.append((x, Span([Piece(self.ink.characters["cut"], "faint")])))
                break
            found.append((x, span))
            x += wide + 2
        return found

    def on_click(self, event: events.Click) -> None:
        """Tell which span was clicked."""
        event.stop()
        for x, span in self.placed(self.outer_size.width):
            if x <= event.x < x + width_of(self.ink.cleaned(span.words)) and span.does:
                self.post_message(self.Chosen(self, span.does))

    def draw(self, y: int, width: int, height: int) -> Strip:
        """The line."""
        words: Words = []
        x = 0
        for at, span in self.placed(width):
            words += [Piece(" " * (at - x)), *self.ink.cleaned(span.words)]
            x = at + width_of(self.ink.cleaned(span.words))
        return self.ink.strip(words if y == 0 else [], width, self.ground)


class WordsLine(Drawn):
    """One line of words that does nothing: :meth:`words` makes it for a width."""

    ground = "band"

    def words(self, width: int) -> Words:
        """What it says."""
        raise NotImplementedError

    def draw(self, y: int, width: int, height: int) -> Strip:
        """The line."""
        return self.ink.strip(self.words(width) if y == 0 else [], width, self.ground)
