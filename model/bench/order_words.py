"""What a work order says: to whom it speaks, what comes first, and what is done at each pair."""

from __future__ import annotations

from collections import Counter
from typing import NamedTuple

from model.bench.jumpers import ends_moved, jumpers_a_normal
from model.bench.order import CHANGE, MOVE, SET, TAKE_OUT, BayOrder, Order, Step
from model.bench.pairs import bay_of
from model.bench.runs import runs_words
from model.room.kinds import NO_NORMAL
from model.room.wiring import Bay
from model.text.caution import CAUTION
from model.text.listing import counted

# Common practice, no source. Each is ticked before the first jumper is touched.
BEFORE = (
    "Recorders stopped.",
    "Monitors and headphones down.",
    "Phantom off, and half a minute for it to bleed down.",
    "Amplifiers off.",
    "Cords out.",
    "Photograph the bay as it is.",
    "Count the jumpers before and after: a lost one is found before power comes on.",
)
LICENSED = f"Mains and fixed wiring are for licensed people. {CAUTION}"

_WHERE = {
    "rear": "You are at the back: pair 1 is at your right. Go from your left to your right: the highest column comes first.",
    "front": "You are at the front: pair 1 is at your left. Go from your left to your right: column 1 comes first.",
}


class Craft(NamedTuple):
    """The words for a way of normalling: what the things are called, and what is done in each pass."""

    thing: str
    parts: dict[str, str]


_CRAFTS = {
    "jumpers": Craft(
        "jumper",
        {
            CHANGE: "One pass: change each pair as drawn.",
            TAKE_OUT: "Take the jumpers out.",
            MOVE: "Move the ends.",
            SET: "Set the jumpers.",
        },
    ),
    "switches": Craft(
        "switch",
        {
            CHANGE: "One pass: set each pair's switch to its new kind.",
            TAKE_OUT: "Set these switches to none.",
            MOVE: "Set these switches to their new kind.",
            SET: "Set these switches from none to their new kind.",
        },
    ),
    "solder": Craft(
        "wire",
        {
            CHANGE: "One pass: unsolder and solder each pair as drawn.",
            TAKE_OUT: "Unsolder these wires.",
            MOVE: "Unsolder these ends, and solder them where they belong.",
            SET: "Solder these wires.",
        },
    ),
}


def craft(bay: Bay) -> Craft:
    """The words for a bay's normals."""
    return _CRAFTS.get(bay.normalled_by, _CRAFTS["jumpers"])


def where_words(bay: Bay) -> str:
    """Where the hands are, and which way they go."""
    return _WHERE[bay.reached_from]


def end_words(step: Step) -> tuple[str, str]:
    """What becomes of the jumper's end on the top jack and on the bottom jack."""
    words = {True: "stays", False: "stays"}
    for end in ends_moved(step.pair.now, step.pair.then):
        if end.was is None:
            words[end.on_top] = f"set on {end.becomes}"
        elif end.becomes is None:
            words[end.on_top] = f"off {end.was}"
        else:
            words[end.on_top] = f"{end.was} > {end.becomes}"
    return words[True], words[False]


def mark_words(order: Order, step: Step) -> str:
    """The mark that comes off the panel and the one that goes on; empty where the room file states none."""
    was, becomes = order.old.marks.get(step.pair.now), order.new.marks.get(step.pair.then)
    return "" if was is None and becomes is None else f"{was or 'no mark'} > {becomes or 'no mark'}"


def foot_words(order: Order, page: BayOrder) -> list[str]:
    """The foot of a bay's page: jumpers, marks, and what is to be tested again."""
    bay, thing = order.new.bays[page.bay], craft(order.new.bays[page.bay]).thing
    lines = []
    if jumpers_a_normal(bay):
        had = jumpers_in_bay(order, page.bay)
        moved = page.jumpers
        lines.append(
            f"{thing.capitalize()}s: {moved.out} out, {moved.into} in, {moved.left} left over, {moved.bring} to bring. "
            f"{counted(jumpers_a_normal(bay), thing)} a normal. In this bay before: {had[0]}, counted ____ ; "
            f"after: {had[1]}, counted ____ ."
        )
    elif bay.normalled_by == "switches":
        lines.append(f"{counted(len(page.steps), 'switch').replace('switchs', 'switches')} to set.")
    lines += _marks_of(order, page)
    cords = cords_in_bay(order, page.bay)
    if cords:
        lines.append(f"House cords to pull first: {', '.join(cords)}.")
    return lines


def jumpers_in_bay(order: Order, bay: int) -> tuple[int, int]:
    """How many jumpers a bay of the new room has in it before all steps and after them."""
    change = sum(
        (step.pair.then != NO_NORMAL) - (step.pair.now != NO_NORMAL)
        for page in order.bays
        if page.bay == bay
        for step in page.steps
    )
    refused = sum(
        (pair.now != NO_NORMAL) - (pair.then != NO_NORMAL)
        for pair in order.refused
        if bay_of(order.new, pair.top) == bay
    )
    after = order.normals_of_bay[bay] + refused
    each = jumpers_a_normal(order.new.bays[bay])
    return each * (after - change), each * after


def _marks_of(order: Order, page: BayOrder) -> list[str]:
    off = Counter(order.old.marks.get(step.pair.now, "") for step in page.steps)
    on = Counter(order.new.marks.get(step.pair.then, "") for step in page.steps)
    named = sorted((set(off) | set(on)) - {""})
    return [f"Marks: {'; '.join(f'{name}: {off[name]} off, {on[name]} on' for name in named)}."] if named else []


def cords_in_bay(order: Order, bay: int) -> list[str]:
    """The old room's house cords with a plug in a bay of the new one, each by its addresses."""
    new, old = order.new, order.old
    rows = {new.rows[row].name.lower() for row in new.bays[bay].rows}
    return [
        old.cord_words(cord.jacks)
        for cord in old.house_patch
        if any(old.rows[old.jacks[jack].row].name.lower() in rows for jack in cord.jacks)
    ]


def total_words(order: Order) -> list[str]:
    """What all bays together need, and what the order cannot do."""
    jumpers = order.jumpers
    lines = []
    if jumpers.out or jumpers.into:
        lines.append(
            f"All bays: {jumpers.out} out, {jumpers.into} in, {jumpers.left} left over, {jumpers.bring} to bring."
        )
    if order.refused:
        pairs = runs_words(order.new, [pair.top for pair in order.refused])
        lines.append(f"Not in this order, because the normals of these bays are fixed: {pairs}.")
    if order.gone:
        lines.append(f"Not in this order, because the new room has no such jack: {', '.join(order.gone)}.")
    return lines


def retest_words(order: Order) -> str:
    """The pairs to be tested again, in runs of columns."""
    return runs_words(order.new, [top for top, _ in order.retest])
