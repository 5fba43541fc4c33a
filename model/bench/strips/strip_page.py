"""Label strips on paper: each strip for the front and mirrored for the rear, in HTML or as one SVG drawing."""

from __future__ import annotations

from collections.abc import Iterator
from html import escape

from model.bench.strips.normal_signs import NORMAL_SIGNS
from model.bench.strips.strip_names import width_mm
from model.bench.strips.strips import (
    BLEED_MM,
    FRONT,
    MARGIN_MM,
    REAR,
    SHAPE_HALF_MM,
    Piece,
    Strip,
    words_before_printing,
)
from model.paper.page import PAGE_STYLE, html_page
from model.paper.svg import Drawing, line, mm, rule, text
from model.room.wiring import Room

STYLE = f"""{PAGE_STYLE}
@page {{ size: landscape; margin: {mm(MARGIN_MM)}mm; }}
body {{ font: 10pt/1.3 Arial, Helvetica, sans-serif; }}
h1 {{ font-size: 14pt; margin: 0 0 2mm; }}
h2 {{ font-size: 11pt; margin: 4mm 0 1mm; }}
h3 {{ font-size: 9pt; font-weight: normal; margin: 2mm 0 0.5mm; }}
svg {{ display: block; }}
ul {{ margin: 1mm 0; padding-left: 5mm; }}
.whole {{ break-inside: avoid; }}"""
_LEGEND_STEP_MM = 4.5
LEGEND_MM = _LEGEND_STEP_MM * len(NORMAL_SIGNS)
_CUT_MM = 2.0  # length of a cut mark


def as_html(room: Room, strips: list[Strip]) -> str:
    """One page that needs nothing from anywhere: what to know first, the rule, then each strip, front and rear."""
    words = words_before_printing(strips)
    body = [f"<h1>{escape(room.name)}: label strips</h1>", rule().alone()]
    if words:
        body += ["<h2>Before printing</h2>", "<ul>", *(f"<li>{escape(each)}</li>" for each in words), "</ul>"]
    if any(strip.shapes for strip in strips):
        body += ["<h2>What the shapes mean</h2>", shapes_legend().alone()]
    for strip in strips:
        for side in (FRONT, REAR):
            for number, piece in enumerate(strip.pieces, start=1):
                said = piece_words(strip, piece, side, number)
                body += [
                    '<div class="whole">',
                    f"<h3>{escape(said)}</h3>",
                    piece_drawing(strip, piece, side).alone(),
                    "</div>",
                ]
    return html_page(f"{room.name}: label strips", STYLE, body)


def shapes_legend() -> Drawing:
    """Each shape with what it says."""
    body = []
    for number, (draw, words) in enumerate(NORMAL_SIGNS.values()):
        y = 0.5 + _LEGEND_STEP_MM * number
        body += [draw(2, y, y + 3, SHAPE_HALF_MM), text(5, y + 2.5, 2.6, words, anchor="start")]
    return Drawing(120, LEGEND_MM, tuple(body), "what the shapes mean")


def piece_words(strip: Strip, piece: Piece, side: str, number: int) -> str:
    """Which piece of which strip it is."""
    mirrored = ", mirrored: column 1 is at the right" if side == REAR else ""
    part = f", part {number} of {len(strip.pieces)}" if len(strip.pieces) > 1 else ""
    place = {"above": "above the row", "below": "below the row", "between": "between the rows"}[strip.measures.where]
    return f"{strip.title}: {side}{mirrored}; {place}; columns {piece.first} to {piece.last}{part}"


def as_svg(room: Room, strips: list[Strip]) -> str:
    """All pieces one below the other in one drawing."""
    body: list[str] = [rule().within(0, 0)]
    y, width = 14.0, 182.0
    if any(strip.shapes for strip in strips):
        body.append(shapes_legend().within(0, y))
        y += LEGEND_MM + 2
    for strip in strips:
        for side in (FRONT, REAR):
            for number, piece in enumerate(strip.pieces, start=1):
                body.append(text(0, y + 3, 2.6, piece_words(strip, piece, side, number), anchor="start"))
                body.append(piece_drawing(strip, piece, side).within(0, y + 4))
                y += 4 + strip.measures.height + 2 * BLEED_MM + 3
                width = max(width, piece.end - piece.start + 2 * BLEED_MM)
    return Drawing(width, y, tuple(body), f"{room.name}: label strips").alone() + "\n"


def piece_drawing(strip: Strip, piece: Piece, side: str) -> Drawing:
    """One piece, in true millimetres."""
    measures = strip.measures
    width, height = piece.end - piece.start, measures.height

    def x(from_left: float) -> float:
        """Where something is on the paper: from the right for the rear."""
        return BLEED_MM + (from_left - piece.start if side == FRONT else piece.end - from_left)

    def shown() -> Iterator[str]:
        if not measures.assumed:
            yield from _cut_marks(width, height)
        for first, last, y in strip.bars:
            here, there = max(first, piece.first), min(last, piece.last)
            if here <= there:
                ends = sorted((x(measures.border(here - 1)), x(measures.border(there))))
                yield line(ends[0] + 0.3, BLEED_MM + y, ends[1] - 0.3, BLEED_MM + y)
        for after, top, bottom in dict.fromkeys(strip.ends):
            if piece.first <= after < piece.last:
                border = x(measures.border(after))
                yield line(border, BLEED_MM + top, border, BLEED_MM + bottom, 0.1)
        for shape in strip.shapes:
            if piece.first <= shape.column <= piece.last:
                draw, _ = NORMAL_SIGNS[shape.kind]
                drawn = draw(x(shape.x), BLEED_MM + shape.top, BLEED_MM + shape.bottom, SHAPE_HALF_MM)
                yield f"<g><title>{shape.kind}</title>{drawn}</g>"
        for each in strip.texts:
            # a group's name stands at no one jack: in the piece in whose middle it is
            inside = piece.first <= each.column <= piece.last if each.column else piece.start <= each.x <= piece.end
            if inside:
                size = width_mm(each.text, each.size)
                yield text(x(each.x), BLEED_MM + each.y, each.size, each.text, width=min(size, each.room))

    label = f"{strip.title}, {side}, columns {piece.first} to {piece.last}"
    return Drawing(width + 2 * BLEED_MM, height + 2 * BLEED_MM, tuple(shown()), label)


def _cut_marks(width: float, height: float) -> Iterator[str]:
    """Two strokes at each corner, outside the strip."""
    left, top, right, bottom = BLEED_MM, BLEED_MM, BLEED_MM + width, BLEED_MM + height
    for x, outward in ((left, -_CUT_MM), (right, _CUT_MM)):
        for y, upward in ((top, -_CUT_MM), (bottom, _CUT_MM)):
            yield line(x + outward / 4, y, x + outward * 1.25, y, 0.1)
            yield line(x, y + upward / 4, x, y + upward * 1.25, 0.1)
