"""Drawings in true millimetres: one unit of a drawing is one mm on paper (SVG 1.1, section 7.10, units)."""

from __future__ import annotations

from html import escape
from typing import NamedTuple

RULE_MM = 100.0
_RULE_STEP_MM = 10.0


def mm(value: float) -> str:
    """A measure with four places at most.

    >>> mm(12.5), mm(3.0)
    ('12.5', '3')
    """
    return f"{value:.4f}".rstrip("0").rstrip(".") if value else "0"


class Drawing(NamedTuple):
    """A drawing of a size in mm; ``body`` is SVG by lines, ``label`` says what it shows."""

    width: float
    height: float
    body: tuple[str, ...]
    label: str = ""

    @property
    def _title(self) -> str:
        return f"<title>{escape(self.label)}</title>" if self.label else ""

    def alone(self) -> str:
        """The drawing by itself, as an SVG element in true millimetres."""
        return "\n".join(
            (
                f'<svg xmlns="http://www.w3.org/2000/svg" width="{mm(self.width)}mm" height="{mm(self.height)}mm" '
                f'viewBox="0 0 {mm(self.width)} {mm(self.height)}" font-family="Arial, Helvetica, sans-serif" '
                f'fill="#000">{self._title}',
                *self.body,
                "</svg>",
            )
        )

    def within(self, x: float, y: float) -> str:
        """The drawing as a part of another, its corner at a place there; the scale is that of the whole."""
        # an SVG element in another would take its millimetres for the other's units once more
        return "\n".join((f'<g transform="translate({mm(x)} {mm(y)})">{self._title}', *self.body, "</g>"))


def line(x1: float, y1: float, x2: float, y2: float, width: float = 0.15) -> str:
    """A stroke."""
    return f'<line x1="{mm(x1)}" y1="{mm(y1)}" x2="{mm(x2)}" y2="{mm(y2)}" stroke="#000" stroke-width="{mm(width)}"/>'


def text(x: float, y: float, size: float, words: str, *, width: float | None = None, anchor: str = "middle") -> str:
    """A text with its middle (or its start, its end) at x and its base line at y, as wide as ``width`` where one is given."""
    fit = f' textLength="{mm(width)}" lengthAdjust="spacingAndGlyphs"' if width is not None and len(words) > 1 else ""
    return f'<text x="{mm(x)}" y="{mm(y)}" font-size="{mm(size)}" text-anchor="{anchor}"{fit}>{escape(words)}</text>'


def rule() -> Drawing:
    """A rule of 100 mm, by which it is seen whether a printer keeps the scale."""
    steps = int(RULE_MM / _RULE_STEP_MM)
    body = [line(1, 1, 1 + RULE_MM, 1, 0.2)]
    for step in range(steps + 1):
        x = 1 + step * _RULE_STEP_MM
        body.append(line(x, 1, x, 5 if step % 5 else 7, 0.2))
    words = (
        "100 mm from the first stroke to the last: measure it. If it is not, print at 100 %, not fitted to the page."
    )
    body.append(text(1, 10.5, 2.6, words, anchor="start"))
    return Drawing(RULE_MM + 80, 12, tuple(body), "a rule of 100 mm")
