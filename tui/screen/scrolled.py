"""A widget that draws itself line by line and can be scrolled: the base of the bay field, the lists and the help."""

from __future__ import annotations

from rich.segment import Segment
from textual import events
from textual.geometry import Region
from textual.strip import Strip

from tui.screen.drawn import Drawn
from tui.screen.ink import Ink, Piece

WHEEL = 3  # lines


class Scrolled(Drawn):
    """Draws ``line(y)`` for the lines in sight, and a bar at the right where not all of them are."""

    def __init__(self, ink: Ink, *, id: str | None = None) -> None:
        super().__init__(ink, id=id)
        self._top = 0
        self.follows_end = False  # the last line stays in sight, whatever comes and however large the widget is

    @property
    def fixed(self) -> int:
        """How many lines at the top stay where they are."""
        return 0

    # What a subclass is made of

    def line(self, y: int, width: int) -> list[Segment]:
        """Line ``y`` (the fixed ones first), exactly ``width`` cells wide."""
        raise NotImplementedError

    def lines_in_all(self, width: int) -> int:
        """How many lines there are beside the fixed ones, at a width."""
        raise NotImplementedError

    # Scrolling

    @property
    def in_sight(self) -> int:
        """How many lines can be seen at once."""
        return max(0, self.outer_size.height - self.fixed)

    @property
    def line_width(self) -> int:
        """Cells for a line: one is left for the bar."""
        return max(0, self.outer_size.width - 1)

    @property
    def top(self) -> int:
        """The first line in sight."""
        return self._top_of(self.furthest)

    def _top_of(self, furthest: int) -> int:
        return self.end_top(furthest) if self.follows_end else min(self._top, furthest)

    def end_top(self, furthest: int) -> int:
        """The first line in sight while it follows the end."""
        return furthest

    @property
    def furthest(self) -> int:
        """The furthest that it can be scrolled."""
        return max(0, self.lines_in_all(self.line_width) - self.in_sight)

    def scroll_lines_to(self, top: int) -> None:
        """Bring a line to the top, as far as there are lines."""
        top = max(0, min(top, self.furthest))
        if top != self.top:
            self.follows_end = False
            self._top = top
            self.refresh()

    def action_lines(self, pages: int, lines: int) -> None:
        """Scroll by pages and lines."""
        self.scroll_lines_to(self.top + pages * max(1, self.in_sight - 1) + lines)

    def action_first(self) -> None:
        """Scroll to the first line."""
        self.scroll_lines_to(0)

    def action_last(self) -> None:
        """Scroll to the last line."""
        self.scroll_lines_to(self.furthest)

    def on_mouse_scroll_down(self, event: events.MouseScrollDown) -> None:
        """The wheel."""
        event.stop()
        self.action_lines(0, WHEEL)

    def on_mouse_scroll_up(self, event: events.MouseScrollUp) -> None:
        """The wheel."""
        event.stop()
        self.action_lines(0, -WHEEL)

    def on_bar(self, event: events.MouseEvent) -> bool:
        """Whether the mouse is on the bar; if so the lines follow it."""
        if event.x != self.line_width or not self.furthest:
            return False
        below = event.y - self.fixed
        self.scroll_lines_to(round(self.furthest * below / max(1, self.in_sight - 1)))
        return True

    # Drawing

    def refresh_lines(self, *ys: int) -> None:
        """Draw some lines again, where they are in sight."""
        for y in ys:
            at = y if y < self.fixed else y - self.top
            if (y < self.fixed or at >= self.fixed) and at < self.outer_size.height:
                self.refresh(Region(0, at, self.outer_size.width, 1))

    def draw(self, y: int, width: int, height: int) -> Strip:
        """One line of the widget, its bar included."""
        width = max(0, width - 1)
        fixed = self.fixed
        if y < fixed:
            return Strip([*self.line(y, width), *self.ink.segments([], 1)], width + 1)
        lines = self.lines_in_all(width)
        high = max(0, height - fixed)
        furthest = max(0, lines - high)
        top = self._top_of(furthest)
        at = y + top
        if at - fixed >= lines:
            return self.ink.strip([], width + 1)
        bar = [self._bar_at(y - fixed, high, furthest, top)] if furthest else []
        return Strip([*self.line(at, width), *self.ink.segments(bar, 1)], width + 1)

    def _bar_at(self, y: int, high: int, furthest: int, top: int) -> Piece:
        thumb = max(1, high * high // (high + furthest))
        start = round((high - thumb) * top / furthest)
        return self.ink.mark("thumb" if start <= y < start + thumb else "bar")
