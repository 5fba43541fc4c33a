"""The work order as tables, for text with tables and for a spreadsheet."""

from __future__ import annotations

from model.bench.order import Order
from model.bench.order_words import (
    BEFORE,
    LICENSED,
    end_words,
    foot_words,
    mark_words,
    retest_words,
    total_words,
    where_words,
)
from model.language.targets import wired_words
from model.paper.sheet import Sheet, Table, literal

_COLUMNS = (
    "Done", "Part", "Pair", "Top", "Wired to", "Bottom", "Wired to", "Now", "New", "Top end", "Bottom end", "Mark", "Test",
)  # fmt: skip


def order_sheet(order: Order, made: str) -> Sheet:
    """The order as a sheet: what comes first, then a table a bay."""
    room = order.new
    tables = [Table("Before you begin", ("Done", "What"), tuple(("", words) for words in BEFORE), "")]
    for page in order.bays:
        bay = room.bays[page.bay]
        rows = tuple(
            (
                "",
                step.part,
                "cross" if step.pair.column is None else str(step.pair.column),
                room.jacks[step.pair.top].address,
                wired_words(room, step.pair.top),
                room.jacks[step.pair.bottom].address,
                wired_words(room, step.pair.bottom),
                step.pair.now,
                step.pair.then,
                *end_words(step),
                mark_words(order, step),
                "",
            )
            for step in page.steps
        )
        note = " ".join([where_words(bay), *foot_words(order, page), "Date ________ Initials ________"])
        tables.append(Table(bay.name, _COLUMNS, rows, "Nothing is to be changed here.", note))
    retest = ((retest_words(order),),) if order.retest else ()
    note = " ".join([*total_words(order), LICENSED])
    tables.append(Table("Test again", ("Pairs",), retest, "Nothing is to be tested again.", note))
    return literal(Sheet("Work order", (("Room", room.name), ("Sheet of", "normals"), ("Made", made)), tuple(tables)))
