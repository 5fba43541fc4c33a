"""A widget that draws itself line by line, and draws no line twice that has not changed."""

from __future__ import annotations

from typing import Self

from textual.filter import ANSIToTruecolor
from textual.geometry import Region, Size
from textual.strip import Strip
from textual.widget import Widget

from tui.screen.ink import Ink


class Drawn(Widget):
    """Draws ``draw(y)`` for each line in sight, and keeps it until that line, or all of the widget, is refreshed.

    Everything else that Textual can put around a line (borders, padding, text selection) is left out: with a frame for
    each key every line of the screen is asked for, and most have not changed.
    """

    ALLOW_SELECT = False
    ground = "ground"  # what it is on; see tui.screen.theme.GROUNDS

    def __init__(self, ink: Ink, *, id: str | None = None) -> None:
        super().__init__(id=id)
        self.ink = ink
        self._kept: dict[int, Strip] = {}
        self._kept_for = Size(0, 0)

    def draw(self, y: int, width: int, height: int) -> Strip:
        """Line ``y`` of the widget, exactly ``width`` cells wide."""
        raise NotImplementedError

    def refresh(self, *regions: Region, repaint: bool = True, layout: bool = False, recompose: bool = False) -> Self:
        """Draw some regions again, or all."""
        if not regions:
            self._kept.clear()
        for region in regions:
            for y in region.line_range:
                self._kept.pop(y, None)
        return super().refresh(*regions, repaint=repaint, layout=layout, recompose=recompose)

    def render_lines(self, crop: Region) -> list[Strip]:
        """The lines of a part of the widget."""
        size = self.outer_size
        if size != self._kept_for:
            self._kept.clear()
            self._kept_for = size
        width, height = size
        strips = [self._kept.get(y) or self._keep(y, width, height) for y in crop.line_range]
        if crop.x or crop.width != width:
            return [strip.crop(crop.x, crop.right) for strip in strips]
        return strips

    def _keep(self, y: int, width: int, height: int) -> Strip:
        strip = self.draw(y, width, height)
        for line_filter in self.get_line_filters():
            # the styles here have 24-bit colours already
            if not isinstance(line_filter, ANSIToTruecolor):
                strip = strip.apply_filter(line_filter, self.background_colors[1])
        self._kept[y] = strip
        return strip
