"""The skeleton of every page that prints: black on white, on any size of paper, with nothing fetched from anywhere."""

from __future__ import annotations

from collections.abc import Iterable
from html import escape

# No size of paper is named: a page prints on A4 and on Letter alike. No colour carries a meaning.
PAGE_STYLE = """
* { box-sizing: border-box; }
body { margin: 0; color: #000; background: #fff; }
table { border-collapse: collapse; }
thead { display: table-header-group; }
tr, .whole { break-inside: avoid; }
h1, h2, h3 { break-after: avoid; }
.new-page { break-before: page; }
.tick { display: inline-block; width: 1em; height: 1em; border: 1.2pt solid #000; vertical-align: -0.12em; }
pre { font-family: monospace; margin: 0; }
""".strip()

TICK = '<span class="tick"></span>'  # a box that a hand ticks


def html_page(title: str, style: str, body: Iterable[str]) -> str:
    """A page that needs nothing from anywhere: its style is in it. ``title`` is text, ``body`` is HTML by lines."""
    return "\n".join(
        (
            "<!DOCTYPE html>",
            '<html lang="en">',
            "<head>",
            '<meta charset="utf-8">',
            '<meta name="viewport" content="width=device-width">',
            f"<title>{escape(title)}</title>",
            f"<style>\n{style}\n</style>",
            "</head>",
            "<body>",
            *body,
            "</body>",
            "</html>",
            "",
        )
    )
