"""Label strips in true millimetres: where each jack is, how a strip is cut for the paper, and what is on it.

A strip is first laid out whole, as it will stand on the panel, then cut at borders between columns into pieces that fit
both A4 and Letter paper, lying (ISO 216: 297 by 210 mm; ANSI/ASME Y14.1 size A: 11 by 8.5 in, 279.4 by 215.9 mm).
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any, NamedTuple

from model.bench.strips.strip_names import Fitted, Group, Shortened, fitted, groups_of, width_mm
from model.room.wiring import Bay, Room, Row
from model.text.listing import list_words

MARGIN_MM = 10.0  # of a page
BLEED_MM = 3.0  # round a piece, where its cut marks stand
LONGEST_MM = 279.4 - 2 * MARGIN_MM - 2 * BLEED_MM
HIGHEST_MM = 210.0 - 2 * MARGIN_MM - 2 * BLEED_MM
FRONT, REAR = "front", "rear"

# Where a room file does not say: a panel of 19 inches leaves some 440 mm between its rails (common practice, no source).
ASSUMED_LENGTH_MM, WIDEST_PITCH_MM, ASSUMED_HEIGHT_MM = 440.0, 18.0, 10.0
LARGEST_TYPE_MM, SMALLEST_TYPE_MM = 2.4, 1.2
_NUMBER_SHARE = 0.22  # of a strip's height, for the numbers of its columns
_LINE = 1.15
SHAPE_HALF_MM = 0.6  # half the width of a normal's shape
_SHAPE_MM = 2 * SHAPE_HALF_MM + 0.6  # of a column's width, for its shape
_GAP_MM = 0.6  # between two labels side by side


@dataclass(frozen=True)
class Measures:
    """A strip's measures in mm, and which of them are assumed."""

    pitch: float
    height: float
    first: float
    groups: tuple[tuple[int, float], ...]
    where: str
    columns: int
    assumed: tuple[str, ...]

    def x(self, column: int) -> float:
        """From the strip's left end, seen from the front, to the middle of a jack."""
        return self.first + (column - 1) * self.pitch + sum(gap for after, gap in self.groups if after < column)

    @property
    def length(self) -> float:
        """The whole strip."""
        return self.x(self.columns) + self.first

    def border(self, column: int) -> float:
        """Half way between a column and the next; the strip's ends before the first and after the last."""
        if column <= 0:
            return 0.0
        return self.length if column >= self.columns else (self.x(column) + self.x(column + 1)) / 2


def measures_of(bay: Bay) -> Measures:
    """A bay's strips as its file states them; what it does not state is assumed."""
    assumed = [
        key
        for key, value in (("pitch", bay.pitch_mm), ("strip height", bay.strip_height_mm), ("first", bay.first_mm))
        if value is None
    ]
    pitch = bay.pitch_mm or round(min(WIDEST_PITCH_MM, ASSUMED_LENGTH_MM / bay.points), 2)
    return Measures(
        pitch,
        bay.strip_height_mm or ASSUMED_HEIGHT_MM,
        pitch / 2 if bay.first_mm is None else bay.first_mm,
        bay.groups,
        bay.strips or "above",
        bay.points,
        tuple(assumed),
    )


class Text(NamedTuple):
    """A text on a strip, its middle at x; y is its base line, from the top of the strip, in mm."""

    x: float
    y: float
    size: float
    room: float  # the width that it may take
    text: str
    column: int  # 0 where it is not at one jack
    number: bool = False  # the number of a column


class Shape(NamedTuple):
    """The shape of a normal's kind beside a jack's number: its middle at x, between two heights, in mm."""

    x: float
    top: float
    bottom: float
    kind: str
    column: int


class Bar(NamedTuple):
    """A line over the jacks of a group."""

    first: int
    last: int
    y: float


class Piece(NamedTuple):
    """A part of a strip that fits the paper: its columns, and its ends in mm from the strip's left end at the front."""

    first: int
    last: int
    start: float
    end: float


@dataclass
class Strip:
    """One strip of a bay: the rows that it is for, all that is on it, and its pieces."""

    bay: Bay
    measures: Measures
    rows: tuple[str, ...]
    texts: list[Text] = field(default_factory=list)
    shapes: list[Shape] = field(default_factory=list)
    bars: list[Bar] = field(default_factory=list)
    ends: list[tuple[int, float, float]] = field(default_factory=list)  # strokes after a column, from y to y
    pieces: list[Piece] = field(default_factory=list)
    shortened: list[Shortened] = field(default_factory=list)

    @property
    def title(self) -> str:
        """Which strip it is."""
        rows = list_words([f"row {row}" for row in self.rows])
        return f"{self.bay.name}, {rows}"


def strips_of(room: Room, bays: tuple[Bay, ...], *, shapes: bool = False) -> list[Strip]:
    """The strips of some bays: one for each row, or one for both rows where it stands between them.

    With ``shapes``, each jack of a normalled pair bears the shape of its kind of normal.
    """
    found = []
    for bay in bays:
        measures = measures_of(bay)
        rows = [room.rows[number] for number in bay.rows]
        together = measures.where == "between" and len(rows) > 1
        for members in [rows] if together else [[row] for row in rows]:
            strip = Strip(bay, measures, tuple(row.name for row in members))
            blocks = len(members)
            for number, row in enumerate(members):
                top = measures.height * number / blocks
                numbers_on_top = number > 0 if together else measures.where == "below"
                kinds = pair_kinds(room, row) if shapes else {}
                _fill(strip, room, row, kinds, top, measures.height / blocks, numbers_on_top)
            strip.pieces = _pieces(measures)
            found.append(strip)
    return found


def pair_kinds(room: Room, row: Row) -> dict[int, str]:
    """By column, the kind of the normal between a row's jack and the one above or below it."""
    return {
        room.jacks[jack].point: normal.kind
        for jack in range(row.first, row.first + row.points)
        for normal in room.normals_at.get(jack, ())
        if not normal.cross
    }


def _fill(
    strip: Strip, room: Room, of: Row, kinds: Mapping[int, str], top: float, height: float, numbers_on_top: bool
) -> None:
    """The labels, the groups, the numbers and the shapes of one row, within a part of the strip's height."""
    measures, row = strip.measures, of.name
    numbers = height * _NUMBER_SHARE
    area, start = height - numbers, top + (numbers if numbers_on_top else 0.0)
    size = max(min(LARGEST_TYPE_MM, area / (2 * _LINE)), SMALLEST_TYPE_MM)
    number_size = min(numbers * 0.85, measures.pitch * 0.4, LARGEST_TYPE_MM)
    base = top + numbers * 0.85 if numbers_on_top else top + height - numbers * 0.15
    widest = width_mm(f"{row}{measures.columns}", number_size)
    free_mm = measures.pitch - _GAP_MM - (2 * _SHAPE_MM if kinds else 0.0)  # a number stands in the middle
    high = top if numbers_on_top else start + area
    for column in range(1, measures.columns + 1):
        said = f"{row}{column}" if widest <= free_mm else str(column)
        strip.texts.append(Text(measures.x(column), base, number_size, measures.pitch, said, column, True))
        if column in kinds:
            x = measures.x(column) - measures.pitch / 2 + _SHAPE_MM / 2
            strip.shapes.append(Shape(x, high + 0.1, high + numbers - 0.1, kinds[column], column))
    for group in groups_of(room, of):
        first, last = group.labels[0].column, group.labels[-1].column
        strip.ends += [(after, start, start + area) for after in (first - 1, last)]
        lines = max(int(area / (size * _LINE)), 1)
        if group.name:
            _group_name(strip, group, row, start, size)
            lines = max(lines - 1, 1)
        for label in group.labels:
            room_mm = measures.border(label.column) - measures.border(label.column - 1) - _GAP_MM
            fit = fitted(label.text, room_mm, size, lines)
            _note(strip, f"{row}{label.column}", label.text, fit)
            y = start + (size * _LINE if group.name else 0.0)
            free = area - (y - start) - len(fit.lines) * size * _LINE
            for number, line in enumerate(fit.lines, start=1):
                base_line = y + free / 2 + (number - 0.2) * size * _LINE
                strip.texts.append(Text(measures.x(label.column), base_line, size, room_mm, line, label.column))


def _group_name(strip: Strip, group: Group, row: str, start: float, size: float) -> None:
    """A group's name once over it; where the strip is cut within the group, once on each piece."""
    measures = strip.measures
    first, last = group.labels[0].column, group.labels[-1].column
    strip.bars.append(Bar(first, last, start + size * _LINE + 0.1))
    for piece in _pieces(measures):
        here, there = max(first, piece.first), min(last, piece.last)
        if here > there:
            continue
        left, right = measures.border(here - 1), measures.border(there)
        fit = fitted(group.name, right - left - _GAP_MM, size, 1)
        _note(strip, f"{row}{here}-{there}" if here != there else f"{row}{here}", group.name, fit)
        text = " ".join(fit.lines)
        strip.texts.append(Text((left + right) / 2, start + size * 0.9, size, right - left - _GAP_MM, text, 0))


def _note(strip: Strip, jack: str, name: str, fit: Fitted) -> None:
    if fit.shortened:
        strip.shortened.append(Shortened(jack, name, " ".join(fit.lines), fit.cut))


def _pieces(measures: Measures) -> list[Piece]:
    """The whole strip, or as few pieces as fit the paper, about as many columns on each."""
    count = max(1, -(-int(measures.length) // int(LONGEST_MM)))
    while count < measures.columns:
        share = -(-measures.columns // count)
        pieces = list(_cut(measures, share))
        if all(piece.end - piece.start <= LONGEST_MM for piece in pieces):
            return pieces
        count += 1
    return list(_cut(measures, 1))


def _cut(measures: Measures, share: int) -> Iterator[Piece]:
    for first in range(1, measures.columns + 1, share):
        last = min(first + share - 1, measures.columns)
        yield Piece(first, last, measures.border(first - 1), measures.border(last))


def words_before_printing(strips: list[Strip]) -> list[str]:
    """What must be known before a sheet is printed: what is assumed, what is shortened, what does not fit and what would."""
    lines: list[str] = []
    for bay in dict.fromkeys(strip.bay for strip in strips):
        own = [strip for strip in strips if strip.bay == bay]
        measures = own[0].measures
        if measures.assumed:
            values = {"pitch": measures.pitch, "strip height": measures.height, "first": measures.first}
            said = list_words([f"{key} {values[key]:g} mm" for key in measures.assumed])
            lines.append(f"{bay.name}: assumed: {said}. No cut marks are printed: measure the panel and state them.")
        if measures.height > HIGHEST_MM:
            lines.append(f"{bay.name}: a strip {measures.height:g} mm high does not fit the paper.")
        if any(piece.end - piece.start > LONGEST_MM for strip in own for piece in strip.pieces):
            lines.append(f"{bay.name}: a column is wider than the paper.")
        short = list(dict.fromkeys(each for strip in own for each in strip.shortened))
        lines += [
            f"{bay.name}: {each.jack} '{each.name}' is shortened: '{each.printed}'" for each in short if not each.cut
        ]
        lines += [
            f"{bay.name}: {each.jack} '{each.name}' does not fit; this would, and is printed: '{each.printed}'"
            for each in short
            if each.cut
        ]
        lines += [f"{bay.name}: {words}" for words in _alike(own)]
    return lines


def _alike(strips: list[Strip]) -> Iterator[str]:
    """Names that can no longer be told apart once they are shortened."""
    names: dict[str, list[Shortened]] = {}
    for strip in strips:
        for each in strip.shortened:
            names.setdefault(each.printed, []).append(each)
    for printed, members in names.items():
        if len({one.name for one in members}) > 1:
            which = list_words([f"{one.jack} ({one.name})" for one in members])
            yield f"'{printed}' is printed for {which}: give each a short name of its own"


def as_dict(strips: list[Strip]) -> dict[str, Any]:
    """The strips as JSON: measures in mm, pieces by columns, names that were shortened."""
    return {
        "strips": [
            {
                "bay": strip.bay.name,
                "rows": list(strip.rows),
                "where": strip.measures.where,
                "pitch": strip.measures.pitch,
                "height": strip.measures.height,
                "length": strip.measures.length,
                "assumed": list(strip.measures.assumed),
                "pieces": [
                    {"columns": [piece.first, piece.last], "mm": round(piece.end - piece.start, 4)}
                    for piece in strip.pieces
                ],
                "shortened": [each._asdict() for each in strip.shortened],
            }
            for strip in strips
        ]
    }
