"""A sheet: a title, facts, and tables of text, from which papers and files are made."""

from __future__ import annotations

from typing import NamedTuple

from model.text.clean import shown


class Table(NamedTuple):
    """A table of a sheet. Where it has no rows, ``none`` is said in its place; ``note`` is said below it."""

    title: str
    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    none: str
    note: str = ""


class Sheet(NamedTuple):
    """A sheet: its title, facts about it, and its tables."""

    title: str
    facts: tuple[tuple[str, str], ...]
    tables: tuple[Table, ...]


def literal(sheet: Sheet) -> Sheet:
    """The sheet without anything that a terminal, or a page, could obey."""
    facts = tuple((shown(name), shown(value)) for name, value in sheet.facts)
    tables = tuple(
        table._replace(rows=tuple(tuple(map(shown, row)) for row in table.rows), note=shown(table.note))
        for table in sheet.tables
    )
    return sheet._replace(facts=facts, tables=tables)
