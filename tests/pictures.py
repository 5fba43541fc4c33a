"""Pictures of the screen: drawn as SVG from what the terminal would get, and compared with those in tests/pictures.

A picture has no outside fonts, no date and no numbering of its own, so the same screen gives the same file anywhere.
`pytest --renew-pictures` writes all of them anew; then look at each one that changed.
"""

from __future__ import annotations

from collections import Counter
from pathlib import Path
from typing import NamedTuple
from xml.sax.saxutils import escape

from rich.cells import cell_len
from rich.color import Color
from rich.style import Style
from textual.app import App
from textual.strip import Strip

FOLDER = Path(__file__).with_name("pictures")
CELL, LINE, BASE = 9, 20, 15  # pixels: a cell's width, a line's height, and the baseline in it


def screen_strips(app: App[None]) -> list[Strip]:
    """The lines of the screen as they are drawn."""
    return app.screen._compositor.render_strips()


def screen_text(app: App[None]) -> list[str]:
    """The text of the lines of the screen."""
    return ["".join(segment.text for segment in strip).rstrip() for strip in screen_strips(app)]


class Look(NamedTuple):
    """How some text of a picture looks: its colours as hexadecimal digits, bold or not, underlined or not."""

    front: str
    ground: str
    bold: bool
    underline: bool

    @property
    def css(self) -> str:
        """The look without its ground."""
        return f"fill:{self.front}{';font-weight:bold' * self.bold}{';text-decoration:underline' * self.underline}"


def look_of(style: Style | None) -> Look:
    """The look of a style."""
    style = style or Style()
    front = (style.color or Color.default()).get_truecolor(foreground=True).hex
    ground = (style.bgcolor or Color.default()).get_truecolor(foreground=False).hex
    if style.reverse:
        front, ground = ground, front
    return Look(front, ground, bool(style.bold), bool(style.underline))


def runs(strip: Strip) -> list[tuple[int, str, Look]]:
    """The texts of a line that look alike, each with its column; a blank looks like what stands beside it."""
    found: list[tuple[int, str, Look]] = []
    x = 0
    for segment in strip:
        look = look_of(segment.style)
        if found:
            at, text, before = found[-1]
            blank = not segment.text.strip() or not text.strip()
            if before == look or (blank and before.ground == look.ground):
                found[-1] = (at, text + segment.text, before if text.strip() else look)
                x += cell_len(segment.text)
                continue
        found.append((x, segment.text, look))
        x += cell_len(segment.text)
    return found


def as_svg(strips: list[Strip], title: str) -> str:
    """The lines as an SVG picture."""
    width = max((strip.cell_length for strip in strips), default=0) * CELL
    lines = [runs(strip) for strip in strips]
    counted = Counter(look.ground for line in lines for _, text, look in line for _ in text)
    ground = min(counted, key=lambda hue: (-counted[hue], hue))
    looks = sorted({look.css for line in lines for _, text, look in line if text.strip()})
    drawn = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width} {len(strips) * LINE}" '
        f'font-family="DejaVu Sans Mono, Menlo, Consolas, monospace" font-size="{BASE}">',
        f"<title>{escape(title)}</title>",
        "<style>text{white-space:pre}" + "".join(f".s{n}{{{css}}}" for n, css in enumerate(looks)) + "</style>",
        f'<rect width="100%" height="100%" fill="{ground}"/>',
    ]
    for y, line in enumerate(lines):
        for x, text, look in line:
            if look.ground != ground:
                size = f'width="{cell_len(text) * CELL}" height="{LINE}"'
                drawn.append(f'<rect x="{x * CELL}" y="{y * LINE}" {size} fill="{look.ground}"/>')
            inner = text.strip(" ")
            if inner:
                x += len(text) - len(text.lstrip(" "))
                size = f'x="{x * CELL}" y="{y * LINE + BASE}" textLength="{cell_len(inner) * CELL}"'
                name = looks.index(look.css)
                drawn.append(f'<text class="s{name}" {size} xml:space="preserve">{escape(inner)}</text>')
    return "\n".join([*drawn, "</svg>", ""])


def check_picture(app: App[None], name: str, renew: bool) -> None:
    """Compare the screen with the picture of a name; with ``renew``, write that picture."""
    path = FOLDER / f"{name}.svg"
    now = as_svg(screen_strips(app), f"bayhand: {name}")
    if renew:
        path.write_text(now, "utf-8")
        return
    assert path.exists(), f"there is no picture {path.name}: run pytest --renew-pictures, and look at it"
    kept = path.read_text("utf-8")
    if now != kept:
        differing = [line for line in now.split("\n") if line not in set(kept.split("\n"))]
        raise AssertionError(
            f"the screen no longer looks like {path.name} ({len(differing)} parts differ). Is it better? "
            "Then pytest --renew-pictures, and look at it. The first parts:\n" + "\n".join(differing[:5])
        )
