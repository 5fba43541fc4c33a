"""Which part of the screen stands where, for every size: narrow, the parts are stacked; wide, the lists stand at the side."""

from __future__ import annotations

from textual.geometry import NULL_OFFSET, NULL_SPACING, Region, Size
from textual.layout import ArrangeResult, Layout, WidgetPlacement
from textual.widget import Widget

WIDE = 110  # columns from which the lists stand at the side
PROMPT = 2  # columns before the entry
LEAST_WITH_NOTICE = 4  # lines
TALL = 44  # lines from which a narrow screen shows the lists under the bays


def tiles(width: int, height: int, notice: bool = False) -> dict[str, Region]:
    """The region of each part; a part that is not named has no room.

    The entry, the top line and one line of preview are the last to go. ``notice``: a line under the top line says
    what must not be overlooked.
    """
    if notice and height >= LEAST_WITH_NOTICE:
        below = {
            name: region if name == "top" else region.translate((0, 1))
            for name, region in tiles(width, height - 1).items()
        }
        return {**below, "notice": Region(0, 1, width, 1)}
    return _wide(width, height) if width >= WIDE and height >= 16 else _narrow(width, height)


def _side_width(width: int) -> int:
    """Columns at the side: 40 of 120, 52 of 200."""
    return min(76, max(40, width * 26 // 100))


def _line(found: dict[str, Region], x: int, y: int, width: int) -> None:
    prompt = min(PROMPT, width)
    found["prompt"] = Region(x, y, prompt, 1)
    found["entry"] = Region(x + prompt, y, width - prompt, 1)


def _stack(found: dict[str, Region], x: int, y: int, width: int, parts: list[tuple[str, int]]) -> None:
    """Parts under one another, each with its height; those without are left out."""
    for name, height in parts:
        if height > 0 and width > 0:
            if name == "entry":
                _line(found, x, y, width)
            else:
                found[name] = Region(x, y, width, height)
            y += height


def _narrow(width: int, height: int) -> dict[str, Region]:
    found: dict[str, Region] = {}
    left = height - 2  # the top line and the entry
    keys = 1 if height >= 10 else 0
    offers = 1 if height >= 14 else 0
    left -= keys + offers
    talk = min(left, max(1, min(9, height * 7 // 24)))
    left -= talk
    jack = 3 if height >= 20 else 2 if height >= 16 else 0
    lists = 0
    if height >= TALL:
        jack, lists = 5, (height - 30) // 3
    left -= jack + 2 * lists
    parts = [
        ("top", 1 if height >= 2 else 0),
        ("bays", max(0, left)),
        ("jack", jack),
        ("warnings", lists),
        ("happened", lists),
        ("talk", talk),
        ("offers", offers),
        ("entry", 1),
        ("keys", keys),
    ]
    _stack(found, 0, 0, width, parts)
    return found


def _wide(width: int, height: int) -> dict[str, Region]:
    found: dict[str, Region] = {}
    side = _side_width(width)
    main = width - side - 1
    body = height - 2
    talk = 7 if height < 48 else 10
    _stack(found, 0, 0, width, [("top", 1)])
    _stack(found, 0, 1, main, [("bays", body - talk - 2), ("talk", talk), ("offers", 1), ("entry", 1)])
    jack = max(4, body * 26 // 100)
    warnings = max(4, (body - jack) * 48 // 100)
    rest = body - jack - warnings
    _stack(found, main + 1, 1, side, [("jack", jack), ("warnings", warnings), ("happened", rest)])
    _stack(found, 0, height - 1, width, [("keys", 1)])
    return found


class Tiling(Layout):
    """Places the screen's parts by their ids."""

    name = "tiling"
    notice = False  # whether there is something that must not be overlooked

    def arrange(self, parent: Widget, children: list[Widget], size: Size, greedy: bool = True) -> ArrangeResult:
        """The parts that have room."""
        regions = tiles(size.width, size.height, self.notice)
        return [
            WidgetPlacement(regions[child.id], NULL_OFFSET, NULL_SPACING, child)
            for child in children
            if child.id in regions
        ]
