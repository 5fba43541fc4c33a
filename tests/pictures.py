"""Pictures of the screen: drawn as SVG from what the terminal would get, and compared with those in tests/pictures.

A picture has no outside fonts, no date and no numbering of its own, so the same screen gives the same file anywhere.
`pytest --renew-pictures` writes all of them anew; then look at each one that changed.
"""

from __future__ import annotations

from pathlib import Path
from xml.sax.saxutils import escape

from rich.cells import cell_len
from rich.color import Color
from rich.segment import Segment
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


def as_svg(strips: list[Strip], title: str) -> str:
    """The lines as an SVG picture."""
    width = max((strip.cell_length for strip in strips), default=0) * CELL
    lines = [
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width}" height="{len(strips) * LINE}" '
        f'font-family="DejaVu Sans Mono, Menlo, Consolas, monospace" font-size="{BASE}">',
        f"<title>{escape(title)}</title>",
    ]
    for y, strip in enumerate(strips):
        x = 0
        for segment in Segment.simplify(strip):
            cells = cell_len(segment.text)
            lines += _segment(segment.text, segment.style or Style(), x, y * LINE, cells)
            x += cells * CELL
    return "\n".join([*lines, "</svg>", ""])


def _hex(colour: Color | None, foreground: bool) -> str:
    return (colour or Color.default()).get_truecolor(foreground=foreground).hex


def _segment(text: str, style: Style, x: int, y: int, cells: int) -> list[str]:
    front, ground = _hex(style.color, True), _hex(style.bgcolor, False)
    if style.reverse:
        front, ground = ground, front
    found = [f'<rect x="{x}" y="{y}" width="{cells * CELL}" height="{LINE}" fill="{ground}"/>']
    inner = text.strip(" ")
    if inner:
        x += cell_len(text[: len(text) - len(text.lstrip(" "))]) * CELL
        look = ' font-weight="bold"' if style.bold else ""
        look += ' text-decoration="underline"' if style.underline else ""
        found.append(
            f'<text x="{x}" y="{y + BASE}" textLength="{cell_len(inner) * CELL}" fill="{front}"{look} '
            f'xml:space="preserve">{escape(inner)}</text>'
        )
    return found


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
