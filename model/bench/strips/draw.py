"""Each bay drawn for paper: front, and rear mirrored; jacks, what is behind them, and the normals of the pairs."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from html import escape
from typing import Any

from model.bench.strips.normal_signs import HALF_BAR_MM, NORMAL_SIGNS
from model.bench.strips.strip_names import fitted, width_mm
from model.bench.strips.strips import FRONT, MARGIN_MM, REAR
from model.paper.page import PAGE_STYLE, html_page
from model.paper.svg import Drawing, mm, text
from model.patches.patch_words import behind
from model.room.wiring import NO_PORT, Bay, Normal, Room, Row

MOST_COLUMNS = 24  # in one band: 24 columns of this width fit A4 and Letter paper, lying
COLUMN_MM = 10.2
_NAME_MM, _NAME_TYPE = 30.0, 2.5  # names stand upright, in this length and this size of type
_JACK_MM = 2.1  # half a jack's width
_TOP_MM, _PAIR_MM, _NUMBER_TYPE = 34.0, 15.0, 2.2  # where the top row's jacks are; down to the bottom row's
_CROSS_TYPE = 1.7
STYLE = f"""{PAGE_STYLE}
@page {{ size: landscape; margin: {mm(MARGIN_MM)}mm; }}
body {{ font: 10pt/1.3 Arial, Helvetica, sans-serif; }}
h1 {{ font-size: 14pt; margin: 0 0 1mm; }}
h2 {{ font-size: 11pt; margin: 2mm 0 1mm; }}
svg {{ display: block; margin-bottom: 2mm; }}
.whole {{ break-inside: avoid; }}
.legend {{ margin-top: 3mm; }}"""


def as_html(room: Room, bays: tuple[Bay, ...]) -> str:
    """One page for each side of each bay."""
    body: list[str] = []
    for bay in bays:
        for side in (FRONT, REAR):
            new = ' class="new-page"' if body else ""
            body += [f"<h1{new}>{escape(room.name)}: {escape(side_words(bay, side))}</h1>"]
            for first, last in bands(bay):
                body += ['<div class="whole">', band_drawing(room, bay, first, last, side).alone(), "</div>"]
    body += ['<div class="whole legend">', "<h2>What the signs mean</h2>", legend().alone(), "</div>"]
    return html_page(f"{room.name}: bays", STYLE, body)


def as_svg(room: Room, bays: tuple[Bay, ...]) -> str:
    """All bays, front and rear, one below the other in one drawing."""
    body: list[str] = []
    y = 0.0
    for bay in bays:
        for side in (FRONT, REAR):
            body.append(text(0, y + 4, 4, side_words(bay, side), anchor="start"))
            y += 6
            for first, last in bands(bay):
                body.append(band_drawing(room, bay, first, last, side).within(0, y))
                y += _height(bay) + 2
    body.append(legend().within(0, y))
    width = max(MOST_COLUMNS * COLUMN_MM, _LEGEND_MM)
    return Drawing(width, y + _LEGEND_HEIGHT_MM, tuple(body), f"{room.name}: bays").alone() + "\n"


def as_dict(room: Room, bays: tuple[Bay, ...]) -> dict[str, Any]:
    """What is drawn, as JSON: each bay's rows from top to bottom, and its jacks from left to right at the front."""
    return {
        "bays": [
            {
                "bay": bay.name,
                "place": bay.place,
                "columns": bay.points,
                "rows": [
                    [
                        {"jack": room.jacks[jack].address, "behind": behind(room, jack), "sign": sign(room, jack)}
                        for jack in range(row.first, row.first + row.points)
                    ]
                    for row in (room.rows[number] for number in bay.rows)
                ],
                "normals": {str(room.jacks[normal.top].point): normal.kind for normal in _pairs(room, bay).values()},
            }
            for bay in bays
        ]
    }


def side_words(bay: Bay, side: str) -> str:
    """Which side of which bay it is."""
    place = f" ({bay.place})" if bay.place else ""
    return f"{bay.name}{place}, {side}" + (", mirrored: column 1 is at the right" if side == REAR else "")


def bands(bay: Bay) -> Iterator[tuple[int, int]]:
    """A bay's columns in bands that fit the paper, about as many in each: the first and the last of each."""
    count = -(-bay.points // MOST_COLUMNS)
    share = -(-bay.points // count)
    for first in range(1, bay.points + 1, share):
        yield first, min(first + share - 1, bay.points)


def sign(room: Room, jack: int) -> str:
    """What is wired to a jack: a port, a tie line, a mult, nothing."""
    if room.jacks[jack].port != NO_PORT:
        return "wired"
    if jack in room.ties_at:
        return "tie"
    return "mult" if jack in room.mult_at else "bare"


def _wired(x: float, y: float) -> str:
    return f'<circle cx="{mm(x)}" cy="{mm(y)}" r="{mm(_JACK_MM)}" fill="none" stroke="#000" stroke-width="0.3"/>'


def _polygon(*points: tuple[float, float]) -> str:
    at = " ".join(f"{mm(x)},{mm(y)}" for x, y in points)
    return f'<polygon points="{at}" fill="none" stroke="#000" stroke-width="0.3"/>'


def _tie(x: float, y: float) -> str:
    return _polygon((x, y - _JACK_MM), (x + _JACK_MM, y), (x, y + _JACK_MM), (x - _JACK_MM, y))


def _mult(x: float, y: float) -> str:
    half = _JACK_MM * 0.9
    return _polygon((x - half, y - half), (x + half, y - half), (x + half, y + half), (x - half, y + half))


def _bare(x: float, y: float) -> str:
    return f'<circle cx="{mm(x)}" cy="{mm(y)}" r="0.5"/>'


SIGNS: dict[str, tuple[Callable[[float, float], str], str]] = {
    "wired": (_wired, "a port is wired to it"),
    "tie": (_tie, "a tie line is wired to it"),
    "mult": (_mult, "it belongs to a mult"),
    "bare": (_bare, "nothing is wired to it"),
}


def _height(bay: Bay) -> float:
    return 2 * _TOP_MM + _PAIR_MM if len(bay.rows) > 1 else _TOP_MM + _JACK_MM + 4


def _pairs(room: Room, bay: Bay) -> dict[int, Normal]:
    """The normals of a bay's pairs, by the top jack."""
    top = room.rows[bay.rows[0]]
    return {
        jack: normal
        for jack in range(top.first, top.first + top.points)
        for normal in room.normals_at.get(jack, ())
        if not normal.cross and normal.top == jack
    }


def band_drawing(room: Room, bay: Bay, first: int, last: int, side: str) -> Drawing:
    """Some columns of one side of a bay."""

    def x(column: int) -> float:
        place = column - first if side == FRONT else last - column
        return (place + 0.5) * COLUMN_MM

    def shown() -> Iterator[str]:
        pairs = _pairs(room, bay)
        rows = [room.rows[number] for number in bay.rows]
        for number, row in enumerate(rows):
            y = _TOP_MM + number * _PAIR_MM
            for column in range(first, last + 1):
                yield from _jack(room, row, column, x(column), y, above=number == 0)
        for column in range(first, last + 1):
            normal = pairs.get(rows[0].first + column - 1)
            if normal is not None:
                draw, _ = NORMAL_SIGNS[normal.kind]
                top, bottom = _TOP_MM + _JACK_MM + 0.4, _TOP_MM + _PAIR_MM - _JACK_MM - 0.4
                yield draw(x(column), top, bottom, HALF_BAR_MM)

    label = f"{side_words(bay, side)}, columns {first} to {last}"
    return Drawing((last - first + 1) * COLUMN_MM, _height(bay), tuple(shown()), label)


def _jack(room: Room, row: Row, column: int, x: float, y: float, *, above: bool) -> Iterator[str]:
    jack = row.first + column - 1
    draw, _ = SIGNS[sign(room, jack)]
    yield draw(x, y)
    number_y = y - _JACK_MM - 0.8 if above else y + _JACK_MM + 0.8 + _NUMBER_TYPE * 0.75
    yield text(x, number_y, _NUMBER_TYPE, room.jacks[jack].address)
    name = " ".join(fitted(behind(room, jack), _NAME_MM - 6, _NAME_TYPE, 1).lines)
    cross = ", ".join(_cross_words(room, jack, normal) for normal in room.normals_at.get(jack, ()) if normal.cross)
    # upright, read from below: above the row a name begins at the jack, below the row it ends there
    start = number_y - _NUMBER_TYPE - 0.4 if above else number_y + 0.9
    anchor = "start" if above else "end"
    for words, size, aside in ((name, _NAME_TYPE, 0.9), (cross, _CROSS_TYPE, 3.4)):
        if words:
            at = f"{mm(x + aside)} {mm(start)}"
            fit = min(width_mm(words, size), _NAME_MM - 4)
            yield f'<g transform="translate({at}) rotate(-90)">{text(0, 0, size, words, width=fit, anchor=anchor)}</g>'


def _cross_words(room: Room, jack: int, normal: Normal) -> str:
    way, other = ("to", normal.bottom) if normal.top == jack else ("from", normal.top)
    return f"{normal.kind} {way} {room.jacks[other].address}"


_LEGEND_MM, _LEGEND_HEIGHT_MM = 240.0, 34.0


def legend() -> Drawing:
    """What the signs mean."""

    def shown() -> Iterator[str]:
        for number, (draw, words) in enumerate(SIGNS.values()):
            y = 4.0 + number * 7
            yield draw(4, y)
            yield text(9, y + 1, 2.8, f"a jack: {words}", anchor="start")
        for number, (draw_normal, words) in enumerate(NORMAL_SIGNS.values()):
            y = 4.0 + number * 7
            yield draw_normal(84, y - 3, y + 3, HALF_BAR_MM)
            yield text(89, y + 1, 2.8, words, anchor="start")

    return Drawing(_LEGEND_MM, _LEGEND_HEIGHT_MM, tuple(shown()), "what the signs mean")
