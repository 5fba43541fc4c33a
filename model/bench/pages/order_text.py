"""The work order as text: pages of 80 columns for a terminal or a line printer, one bay a page."""

from __future__ import annotations

import textwrap

from model.bench.order import BayOrder, Order, Step
from model.bench.order_words import (
    BEFORE,
    LICENSED,
    craft,
    foot_words,
    mark_words,
    retest_words,
    total_words,
    where_words,
)
from model.bench.pages.fit import cut
from model.bench.section import conductor_words, small_section, two_sections
from model.language.targets import wired_words
from model.text.clean import shown
from model.text.listing import counted

WIDTH = 80
PAGE_END = "\f"  # a line printer begins a new page here
_BOX = "[ ]"


def order_text(order: Order, made: str) -> str:
    """The order as text; ``made`` is the time as it is to be read."""
    pages = [_page(order, page, made) for page in order.bays]
    if not pages:
        pages = [
            [f"Work order, {shown(order.new.name)}", "Nothing is to be changed: the normals are as they shall be."]
        ]
    last = [*total_words(order)]
    if order.retest:
        last.append(f"Test again: {retest_words(order)}. See the proof.")
    pages[-1] += ["", *_wrapped([*last, LICENSED])]
    return f"\n{PAGE_END}\n".join("\n".join(page) for page in pages) + "\n"


def _wrapped(lines: list[str]) -> list[str]:
    return [line for words in lines for line in textwrap.wrap(shown(words), WIDTH)]


def _page(order: Order, page: BayOrder, made: str) -> list[str]:
    bay = order.new.bays[page.bay]
    place = f", {bay.place}" if bay.place else ""
    lines = [cut(shown(f"WORK ORDER  {bay.name}{place}: {counted(len(page.steps), 'pair')} to change"), WIDTH)]
    lines += [cut(shown(f"{order.new.name}. Made {made}."), WIDTH), ""]
    for words in BEFORE:
        lines += textwrap.wrap(words, WIDTH, initial_indent=f"{_BOX} ", subsequent_indent="    ")
    lines += ["", *_wrapped([where_words(bay)]), ""]
    drawn = set()
    for step in page.steps:
        change = (step.pair.now, step.pair.then)
        if change not in drawn:
            drawn.add(change)
            jacks = (order.new.jacks[step.pair.top].address, order.new.jacks[step.pair.bottom].address)
            lines += [f"{change[0]} > {change[1]}", *(f"  {line}" for line in two_sections(bay, *change, *jacks)), ""]
    lines += _wrapped([conductor_words(bay)])
    part = None
    for step in page.steps:
        now = (step.part, step.pair.column is None)
        if now != part:
            part = now
            lines += ["", craft(bay).parts[step.part] + (" Cross normals." if part[1] else ""), _HEAD, "-" * WIDTH]
        lines += _step(order, step)
    lines += ["-" * WIDTH, *_wrapped(foot_words(order, page)), "", "Date ______________   Initials ________"]
    return lines


_HEAD = f"{'':4}{'pair':>5} {'jack':<8}{'wired to':<25}{'*: moves':<13}{'now > new':<20}test"


def _step(order: Order, step: Step) -> list[str]:
    pair, room = step.pair, order.new
    now, then = small_section(pair.now), small_section(pair.then)
    number = "cross" if pair.column is None else str(pair.column)
    lines = []
    for end, jack in enumerate((pair.top, pair.bottom)):
        wired = cut(shown(wired_words(room, jack)), 24)
        address = cut(room.jacks[jack].address, 7)
        left = f"{_BOX if end == 0 else '':<4}{number if end == 0 else '':>5} {address:<8}{wired:<25}"
        moved = "*" if now[end] != then[end] else " "
        right = f"{pair.now} > {pair.then}" if end == 0 else cut(shown(mark_words(order, step)), 24)
        lines.append(f"{left}{now[end]} > {then[end]}{moved} {right:<19} {_BOX if end == 0 else ''}".rstrip())
    return lines
