"""The shape of each kind of normal on paper, the same as on the screen: bars on a stroke from jack to jack."""

from __future__ import annotations

from collections.abc import Callable

from model.paper.svg import line

HALF_BAR_MM = 1.3
Draw = Callable[[float, float, float, float], str]  # x, top, bottom and half a bar's width, in mm


def _bars(*shares: float) -> Draw:
    """A stroke from jack to jack, with bars where a plug breaks the normal."""

    def draw(x: float, top: float, bottom: float, half: float = HALF_BAR_MM) -> str:
        bars = [line(x - half, y, x + half, y, 0.3 * half) for share in shares if (y := top + share * (bottom - top))]
        return "".join([line(x, top, x, bottom, 0.25), *bars])

    return draw


def _two_strokes(x: float, top: float, bottom: float, half: float = HALF_BAR_MM) -> str:
    aside = 0.4 * half
    return line(x - aside, top, x - aside, bottom, 0.25) + line(x + aside, top, x + aside, bottom, 0.25)


# The bar stands where a plug breaks the normal: at both jacks, at the bottom, at the top, at neither.
NORMAL_SIGNS: dict[str, tuple[Draw, str]] = {
    "full": (_bars(0.25, 0.75), "full normal: a plug in either jack breaks it"),
    "half": (_bars(0.75), "half normal: only a plug in the bottom jack breaks it"),
    "half top": (_bars(0.25), "half normal, broken at the top: only a plug in the top jack breaks it"),
    "parallel": (_two_strokes, "parallel: no plug breaks it"),
}
