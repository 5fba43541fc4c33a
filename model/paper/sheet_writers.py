"""A sheet as a page that prints, as text with tables, and as a file for a spreadsheet."""

from __future__ import annotations

import re
from collections.abc import Callable
from html import escape

from model.paper.page import html_page
from model.paper.sheet import Sheet, Table
from model.paper.spreadsheet import write_rows
from model.text.caution import CAUTION

# Prints on A4 and on Letter, in black and white: no size of paper is named, and no colour carries a meaning. The outer
# table is there for its head alone, which is repeated on each page.
STYLE = """
@page { margin: 14mm 12mm 16mm; @bottom-right { content: "page " counter(page) " of " counter(pages); font: 8pt sans-serif; } }
* { box-sizing: border-box; }
body { margin: 0; color: #000; background: #fff; font: 9.5pt/1.3 sans-serif; }
main { max-width: 60rem; margin: 0 auto; }
table { width: 100%; border-collapse: collapse; }
.page > thead td { padding: 0 0 3mm; }
.page > thead div { padding-bottom: 2mm; border-bottom: 1.5pt solid #000; font-weight: bold; }
.page > thead span { float: right; font-weight: normal; }
.page > tbody > tr > td { padding: 0 1pt; }
h1 { margin: 4mm 0 2mm; font-size: 16pt; }
h2 { margin: 6mm 0 1.5mm; font-size: 11.5pt; break-after: avoid; }
dl { display: grid; grid-template-columns: max-content 1fr; gap: 0.5mm 4mm; margin: 0; }
dt { font-weight: bold; }
dd { margin: 0; overflow-wrap: anywhere; }
.rows th, .rows td { padding: 0.8mm 1.6mm; border: 0.5pt solid #000; text-align: left; vertical-align: top; }
.rows td { overflow-wrap: anywhere; }
.rows th { border-bottom-width: 1.2pt; }
.rows tr { break-inside: avoid; }
.short td:first-child { white-space: nowrap; }
thead { display: table-header-group; }
p { margin: 1mm 0; }
.caution { margin-top: 7mm; padding: 2mm 3mm; border: 1.2pt solid #000; break-inside: avoid; }
@media screen { main { padding: 1.5rem; } }
""".strip()

# Tables whose first column is never long: a cord's number, how bad a warning is, the addresses of a pair.
_SHORT_FIRST = frozenset(("Cord", "", "Pair"))


def as_html(sheet: Sheet) -> str:
    """One page that needs nothing from anywhere: style and all are in it, and each label stands in it literally."""
    facts = dict(sheet.facts)
    head = f"{facts.get('Room', '')}: {facts.get('Sheet of', '')}"
    lines = [
        "<main>",
        '<table class="page">',
        f"<thead><tr><td><div>{escape(head)} <span>{escape(facts.get('Made', ''))}</span></div></td></tr></thead>",
        "<tbody><tr><td>",
        f"<h1>{escape(sheet.title)}</h1>",
        "<dl>",
        *(f"<dt>{escape(name)}</dt><dd>{escape(value)}</dd>" for name, value in sheet.facts),
        "</dl>",
    ]
    for table in sheet.tables:
        lines += _html_table(table)
    lines += [
        f'<p class="caution">{escape(CAUTION)}</p>',
        "</td></tr></tbody>",
        "</table>",
        "</main>",
    ]
    return html_page(f"{sheet.title}, {head}", STYLE, lines)


def _html_table(table: Table) -> list[str]:
    lines = [f"<h2>{escape(table.title)}</h2>"]
    if table.rows:
        kind = "rows short" if table.columns[0] in _SHORT_FIRST else "rows"
        heads = "".join(f"<th>{escape(column)}</th>" for column in table.columns)
        lines += [f'<table class="{kind}">', f"<thead><tr>{heads}</tr></thead>", "<tbody>"]
        lines += [f"<tr>{''.join(f'<td>{escape(cell)}</td>' for cell in row)}</tr>" for row in table.rows]
        lines += ["</tbody>", "</table>"]
    else:
        lines.append(f"<p>{escape(table.none)}</p>")
    return lines + ([f"<p>{escape(table.note)}</p>"] if table.note else [])


# What Markdown, or HTML within it, would take for its own in the middle of a line; ':' as in ':name:'.
_MARKDOWN = re.compile(r"([\\`*_\[\]<>|&~$]|:(?=\S))")


def markdown_literal(text: str) -> str:
    """The text with each sign that could be taken for markup behind a backslash."""
    return _MARKDOWN.sub(r"\\\1", text)


def as_markdown(sheet: Sheet) -> str:
    """Text with tables of upright strokes, labels literal."""
    literal = markdown_literal
    lines = [f"# {literal(sheet.title)}", ""]
    lines += [f"- **{literal(name)}**: {literal(value)}" for name, value in sheet.facts]
    for table in sheet.tables:
        lines += ["", f"## {literal(table.title)}", ""]
        if table.rows:
            lines.append(f"| {' | '.join(map(literal, table.columns))} |")
            lines.append(f"|{' --- |' * len(table.columns)}")
            lines += [f"| {' | '.join(map(literal, row))} |" for row in table.rows]
        else:
            lines.append(literal(table.none))
        if table.note:
            lines += ["", literal(table.note)]
    return "\n".join([*lines, "", literal(CAUTION)]) + "\n"


def as_csv(sheet: Sheet) -> str:
    """For a spreadsheet: each table with its title, its columns and its rows, an empty row after it.

    A cell that a spreadsheet would take for a formula gets an apostrophe before it, and so does one that begins with an
    apostrophe: whoever takes one apostrophe off the start of each cell that has one gets every label as it is.
    """
    rows: list[tuple[str, ...]] = [(sheet.title,), *sheet.facts]
    for table in sheet.tables:
        rows += [(), (table.title,)]
        rows += (table.columns, *table.rows) if table.rows else ((table.none,),)
        if table.note:
            rows.append((table.note,))
    return write_rows([*rows, (), (CAUTION,)])


WRITERS: dict[str, Callable[[Sheet], str]] = {"html": as_html, "md": as_markdown, "csv": as_csv}
