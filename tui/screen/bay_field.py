"""The bays, drawn by one widget: titles, point numbers, rows, and the normals between them."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import groupby
from operator import itemgetter

from rich.segment import Segment
from textual import events
from textual.geometry import Region
from textual.message import Message

from tui.screen.bay_plan import NAMES, NARROWEST_CELL, NORMALS, NUMBERS, ROW, TITLE, BayPlan, Block, BlockLine
from tui.screen.bay_view import BayView, JackLook, NormalLook
from tui.screen.ink import Ink, Piece, Words, width_of
from tui.screen.jack_words import behind
from tui.screen.keys import bindings
from tui.screen.name_strips import runs
from tui.screen.scrolled import Scrolled

WHOLE_CELL = ("cursor", "wanted", "lit")  # marks that colour the jack as well


class BayField(Scrolled, can_focus=True):
    """All bays of the room. Its cursor is the jack that is described."""

    BINDINGS = bindings("bay")

    class Picked(Message):
        """A jack was clicked or chosen; ``by_mouse`` keeps the entry in focus."""

        def __init__(self, jack: int, by_mouse: bool) -> None:
            super().__init__()
            self.jack = jack
            self.by_mouse = by_mouse

    class Moved(Message):
        """The cursor went to another jack."""

        def __init__(self, jack: int) -> None:
            super().__init__()
            self.jack = jack

    def __init__(self, view: BayView, ink: Ink, *, id: str | None = None) -> None:
        super().__init__(ink, id=id)
        self.view = view
        self._plan: BayPlan | None = None
        self._plan_for: tuple[int, int, int, bool | None] = (0, 0, 0, None)
        self._names: bool | None = None  # whether names are shown; None: where there is height for them
        self._most_points = max((bay.points for bay in view.room.bays), default=0)
        self._lines: dict[
            int, list[Segment]
        ] = {}  # lines of the plan as they were drawn last: scrolling draws none anew
        self._jacks_drawn: dict[tuple[JackLook, int], Words] = {}
        self._normals_drawn: dict[tuple[NormalLook, int], Words] = {}

    # The plan

    def _cell(self) -> int:
        """Columns of a jack: its mark, and the digits of the longest cord or point number."""
        return max(NARROWEST_CELL, 1 + len(str(max(self._most_points, self.view.highest_number()))))

    @property
    def plan(self) -> BayPlan:
        """Where everything is at the present size."""
        width, height = self.outer_size
        wanted = (max(0, width - 1), height, self._cell(), self._names)
        if self._plan is None or wanted != self._plan_for:
            self._plan, self._plan_for = BayPlan(self.view.room, *wanted), wanted
            self._lines.clear()
        return self._plan

    def lines_in_all(self, width: int) -> int:
        """The height of all bays."""
        return self.plan.height

    def on_resize(self) -> None:
        """Keep the cursor in sight where the size changes."""
        self.show_jack(self.view.cursor)

    def toggle_names(self) -> None:
        """Show the names of the jacks, or hide them."""
        self._names = not self.plan.names
        self.redraw_all()
        self.show_jack(self.view.cursor)

    # What changes

    def redraw_jacks(self, jacks: Iterable[int]) -> None:
        """Draw some jacks again, where they are in sight."""
        plan = self.plan
        for jack in jacks:
            x, y = plan.place_of(jack)
            self._lines.pop(y, None)
            if 0 <= y - self.top < self.outer_size.height:
                self.refresh(Region(x, y - self.top, plan.cell, 1))

    def redraw_all(self) -> None:
        """Draw everything again."""
        self._lines.clear()
        self.refresh()

    def show_jack(self, jack: int) -> None:
        """Scroll a jack into sight, and the title of its bay if both fit."""
        if not self.view.room.jacks or not self.outer_size.height:
            return
        y = self.plan.place_of(jack)[1]
        if self.top <= y < self.top + self.in_sight:
            return
        title = self.plan.title_line(jack)
        self.scroll_lines_to(title if y + 2 - title < self.in_sight else y - min(2, self.in_sight - 1))

    # Keys and mouse

    def action_go(self, across: int, down: int) -> None:
        """Move the cursor so many jacks in a direction; at a fold's or a bay's edge it goes on into the next."""
        room, plan = self.view.room, self.plan
        if not room.jacks:
            return
        here = self.view.cursor
        if across:
            self._move_to(max(0, min(here + across, len(room.jacks) - 1)))
            return
        x, y = plan.place_of(here)
        there = None
        for _ in range(abs(down)):
            y, found = self._next_row(x, y, 1 if down > 0 else -1)
            there = there if found is None else found
        if there is not None:
            self._move_to(there)

    def _next_row(self, x: int, y: int, step: int) -> tuple[int, int | None]:
        """From a line up or down, the next with jacks, and its jack in or next to a column; None at the edge."""
        y += step
        while 0 <= y < self.plan.height:
            there = self.plan.jack_at(x, y) or self._nearest_on(x, y)
            if there is not None:
                return y, there
            y += step
        return y, None

    def action_page(self, pages: int) -> None:
        """Move the cursor by what can be seen at once, and the bays with it."""
        if not self.view.room.jacks:
            return
        x, y = self.plan.place_of(self.view.cursor)
        lines = pages * max(1, self.in_sight - 1)
        self.scroll_lines_to(self.top + lines)
        at = max(0, min(y + lines, self.plan.height - 1))
        step = 1 if pages > 0 else -1
        _, there = self._next_row(x, at - step, step)
        if there is None:
            _, there = self._next_row(x, at, -step)
        if there is not None:
            self._move_to(there)

    def action_go_to(self, jack: int) -> None:
        """Move the cursor to the first jack (0) or the last (-1), and the bays with it."""
        if self.view.room.jacks:
            self.scroll_lines_to(0 if jack == 0 else self.furthest)
            self._move_to(self.view.room.jacks[jack].index)

    def _nearest_on(self, x: int, y: int) -> int | None:
        """On a line with jacks, the one nearest to a column."""
        plan = self.plan
        found = None
        for block in plan.blocks_at(y):
            line = block.lines[y - block.y]
            if line.kind == ROW:
                last = block.x + plan.label + (line.points - 1) * plan.cell
                at = min(max(x, block.x + plan.label), last)
                if found is None or abs(at - x) < abs(found - x):
                    found = at
        return None if found is None else plan.jack_at(found, y)

    def _move_to(self, jack: int) -> None:
        self.post_message(self.Moved(jack))

    def action_pick(self) -> None:
        """Put the cursor's jack into the entry."""
        if self.view.room.jacks:
            self.post_message(self.Picked(self.view.cursor, by_mouse=False))

    def jack_under(self, event: events.MouseEvent) -> int | None:
        """The jack under the mouse."""
        return self.plan.jack_at(event.x, event.y + self.top)

    def on_mouse_move(self, event: events.MouseMove) -> None:
        """The mouse describes the jack that it is on."""
        if event.button and self.on_bar(event):
            return
        jack = self.jack_under(event)
        if jack is not None and jack != self.view.cursor:
            self._move_to(jack)

    def on_click(self, event: events.Click) -> None:
        """A click picks a jack."""
        event.stop()
        jack = self.jack_under(event)
        if not self.on_bar(event) and jack is not None:
            self.post_message(self.Picked(jack, by_mouse=True))

    # Drawing

    def line(self, y: int, width: int) -> list[Segment]:
        """One line across all bays that it runs through."""
        plan = self.plan
        drawn = self._lines.get(y)
        if drawn is None:
            drawn = self._lines[y] = self._draw_line(plan, y, width)
        return drawn

    def _draw_line(self, plan: BayPlan, y: int, width: int) -> list[Segment]:
        words: Words = []
        x = 0
        for block in plan.blocks_at(y):
            if block.x > x:
                words.append(Piece(" " * (block.x - x)))
            part = self._block_line(plan, block, block.lines[y - block.y])
            words += part
            x = block.x + width_of(part)
        runs = groupby(words, key=itemgetter(1))
        return self.ink.segments([Piece("".join([text for text, _ in run]), role) for role, run in runs], width)

    def _block_line(self, plan: BayPlan, block: Block, line: BlockLine) -> Words:
        label, cell = plan.label, plan.cell
        if line.kind == TITLE:
            return self._title(block)
        if line.kind == NUMBERS:
            numbers = "".join(f" {line.first + step:<{cell - 1}}" for step in range(line.points))
            return [Piece(" " * label + numbers, "faint")]
        if line.kind == NAMES:
            return self._strip_of_names(block, line, label, cell)
        if line.kind == ROW:
            row = self.view.room.rows[block.bay.rows[line.row]]
            name = self.ink.cut([Piece(self.ink.clean(row.name), "title")], label - 1)
            words = [*name, Piece(" " * (label - width_of(name)))]
            first = row.first + line.first - 1
            for jack in range(first, first + line.points):
                words += self._jack(jack, cell)
            return words
        assert line.kind == NORMALS
        rows = [self.view.room.rows[number] for number in block.bay.rows[line.row : line.row + 2]]
        words = [Piece(" " * label)]
        for step in range(line.first - 1, line.first - 1 + line.points):
            words += self._normal(rows[0].first + step, rows[1].first + step if len(rows) > 1 else None, cell)
        return words

    def _title(self, block: Block) -> Words:
        bay = block.bay
        name = self.ink.clean(bay.name)
        place = self.ink.clean(bay.place)
        return self.ink.rule(name, block.width, place if place and place != name else "")

    def _strip_of_names(self, block: Block, line: BlockLine, label: int, cell: int) -> Words:
        row = self.view.room.rows[block.bay.rows[line.row]]
        first = row.first + line.first - 1
        words: Words = [Piece(" " * label)]
        used = 0
        names = [self.ink.clean(behind(self.view.patch, jack)) for jack in range(first, first + line.points)]
        for run in runs(names):
            wide = run.jacks * cell - 1
            name = self.ink.cut([Piece(run.name, "name")], wide)
            fill = wide - width_of(name)
            rule = f" {self.ink.characters['rule'] * (fill - 1)}" if fill > 1 else " " * fill
            words += [Piece(" " * (run.first * cell + 1 - used)), *name, Piece(rule, "faint")]
            used = (run.first + run.jacks) * cell
        return words

    def _jack(self, jack: int, cell: int) -> Words:
        look = self.view.jack(jack)
        words = self._jacks_drawn.get((look, cell))
        if words is None:
            words = self._jacks_drawn[look, cell] = self._draw_jack(look, cell)
        return words

    def _draw_jack(self, look: JackLook, cell: int) -> Words:
        characters = self.ink.characters
        width = cell - 1
        role = "plugged"
        if look.cord is None:
            mark = self.ink.mark(look.behind)
            text, role = mark.text, mark.role
        else:
            text = str(look.cord)
            if len(text) > width:
                text = text[: width - 1] + characters["cut"]
        # a mark touches what it marks: the cell's blanks are at its end
        blank = Piece(" " * (width - len(text)))
        if look.mark is None:
            return [Piece(" "), Piece(text, role), blank]
        mark = self.ink.mark(look.mark)
        return [mark, Piece(text, mark.role if look.mark in WHOLE_CELL else role), blank]

    def _normal(self, above: int, below: int | None, cell: int) -> Words:
        look = self.view.between(above, below)
        words = self._normals_drawn.get((look, cell))
        if words is None:
            words = self._normals_drawn[look, cell] = self._draw_normal(look, cell)
        return words

    def _draw_normal(self, look: NormalLook, cell: int) -> Words:
        if look.kind is None and look.cross is None:
            return [Piece(" " * cell)]
        cross = self.ink.mark(look.cross) if look.cross else Piece(" ")
        opened = self.ink.mark("open") if look.kind and look.is_open else Piece(" ")
        kind = self.ink.mark(look.kind) if look.kind else Piece(" ")
        if look.is_open:
            kind = Piece(kind.text, "open")
        return [opened, kind, cross, Piece(" " * (cell - 3))]
