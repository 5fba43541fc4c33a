"""The proof as a page to print, as tables, as text of 80 columns, and as the table that is filled in and read back."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from html import escape

from model.bench.order_words import LICENSED
from model.bench.pages.fit import cut
from model.bench.proof import COLUMNS, SLEEVE, Trial, as_json
from model.bench.proof_words import BEFORE, METER_WORDS, Part, Row, expected_words, parts_of, time_words
from model.bench.results import MEASURED, PASS
from model.language.targets import wired_words
from model.paper.page import PAGE_STYLE, TICK, html_page
from model.paper.sheet import Sheet, Table, literal
from model.paper.spreadsheet import write_rows
from model.room.wiring import Room
from model.text.clean import shown

STYLE = f"""
@page {{ size: landscape; margin: 12mm; @bottom-right {{ content: "page " counter(page) " of " counter(pages);
  font: 9pt sans-serif; }} }}
{PAGE_STYLE}
body {{ font: 11pt/1.25 sans-serif; }}
h1 {{ font-size: 18pt; margin: 0 0 2mm; }}
h2 {{ font-size: 14pt; margin: 5mm 0 1mm; }}
p {{ margin: 1mm 0; }}
ul {{ list-style: none; margin: 2mm 0; padding: 0; }}
table {{ width: 100%; }}
th, td {{ border: 0.6pt solid #000; padding: 0.6mm 1.5mm; text-align: left; }}
th {{ border-bottom-width: 1.4pt; }}
td.fill {{ min-width: 16mm; }}
td.box {{ text-align: center; }}
.number {{ white-space: nowrap; }}
.how {{ break-after: avoid; }}
td {{ overflow-wrap: anywhere; }}
""".strip()


def proof_html(room: Room, trials: Sequence[Trial], made: str) -> str:
    """The proof as a page to print; ``made`` is the time as it is to be read."""
    title = f"Proof, {shown(room.name)}"
    body = [
        "<main>",
        f"<h1>{escape(title)}</h1>",
        f"<p>Made {escape(made)}. {escape(time_words(trials))}.</p>",
        "<ul>",
        *(f"<li>{TICK} {escape(words)}</li>" for words in BEFORE),
        "</ul>",
        f"<p>{escape(METER_WORDS)}</p>",
    ]
    places = [escape(shown(wired_words(room, jack.index))) for jack in room.jacks]
    for part in parts_of(room, trials):
        body += _html_part(room, part, places)
    body += [f"<p>{escape(LICENSED)}</p>", "<p>Date ______________ Initials ________</p>", "</main>"]
    return html_page(title, STYLE, body)


def _html_part(room: Room, part: Part, places: Sequence[str]) -> list[str]:
    conductors = _conductors(part)
    dummy = any(row.trial.dummy is not None for row in part.rows)
    heads = ["No.", *(["Dummy"] if dummy else []), "From", "To", "Expected", *conductors, "Pass", "Initials"]
    lines = [
        f"<h2>{escape(shown(part.head))}</h2>",
        f'<p class="how">{escape(part.method[:1].upper() + part.method[1:])}.</p>',
        f"<table><thead><tr>{''.join(f'<th>{head}</th>' for head in heads)}</tr></thead><tbody>",
    ]
    jacks = room.jacks
    for row in part.rows:
        trial = row.trial
        held = "" if trial.dummy is None else jacks[trial.dummy].address
        about = f" {escape(shown(trial.about))}" if trial.about else ""
        measured = {one.conductor for one in row.trials}
        fill = "".join(f'<td class="fill">{"" if name in measured else "-"}</td>' for name in conductors)
        lines.append(
            f'<tr><td class="number">{row.numbers}</td>{f"<td><b>{held}</b></td>" if dummy else ""}'
            f"<td><b>{jacks[trial.top].address}</b> {places[trial.top]}</td>"
            f"<td><b>{jacks[trial.bottom].address}</b> {places[trial.bottom]}</td>"
            f'<td>{escape(expected_words(trial))}{about}</td>{fill}<td class="box">{TICK}</td><td class="fill"></td></tr>'
        )
    return [*lines, "</tbody></table>"]


def _conductors(part: Part) -> list[str]:
    """The conductors that a part measures, each a column to fill in; sleeves last."""
    found = dict.fromkeys(trial.conductor for row in part.rows for trial in row.trials)
    return sorted(found, key=lambda name: name == SLEEVE)


def proof_sheet(room: Room, trials: Sequence[Trial], made: str) -> Sheet:
    """The proof as tables."""
    tables = [Table("Before you begin", ("Done", "What"), tuple(("", words) for words in BEFORE), "", METER_WORDS)]
    for part in parts_of(room, trials):
        conductors = _conductors(part)
        columns = ("No.", "Dummy", "From", "To", "Expected", *conductors, "Pass", "Initials")
        rows = tuple(_sheet_row(room, row, len(conductors)) for row in part.rows)
        tables.append(Table(part.head, columns, rows, "", part.method))
    facts = (("Room", room.name), ("Sheet of", "proof"), ("Made", made), ("Tests", time_words(trials)))
    return literal(Sheet("Proof", facts, tuple(tables)))


def _sheet_row(room: Room, row: Row, conductors: int) -> tuple[str, ...]:
    trial = row.trial
    ends = (f"{room.jacks[jack].address}: {wired_words(room, jack)}" for jack in (trial.top, trial.bottom))
    held = "" if trial.dummy is None else room.jacks[trial.dummy].address
    expected = f"{expected_words(trial)} {trial.about}".rstrip()
    return (row.numbers, held, *ends, expected, *[""] * conductors, "", "")


def proof_text(room: Room, trials: Sequence[Trial], made: str) -> str:
    """The proof for a terminal of 80 columns."""
    lines = [f"PROOF  {room.name}. Made {made}.", f"{time_words(trials)}.", ""]
    for words in BEFORE:
        lines += textwrap.wrap(words, 80, initial_indent="[ ] ", subsequent_indent="    ")
    lines += ["", *textwrap.wrap(METER_WORDS, 80)]
    for part in parts_of(room, trials):
        conductors = _conductors(part)
        fill = " ".join(f"{name:<6}" for name in conductors)
        lines += ["", *textwrap.wrap(part.head, 80), *textwrap.wrap(f"{part.method}.", 80)]
        lines += [f"{'no.':<12}{'dummy':<8}{'from':<8}{'to':<8}{'expected':<16}{fill} pass", "-" * 80]
        for row in part.rows:
            trial = row.trial
            held = "-" if trial.dummy is None else room.jacks[trial.dummy].address
            top, bottom = (cut(room.jacks[jack].address, 7) for jack in (trial.top, trial.bottom))
            blanks = " ".join("______" for _ in conductors)
            expected = cut(trial.expected, 15)
            line = f"{row.numbers:<12}{cut(held, 7):<8}{top:<8}{bottom:<8}{expected:<16}{blanks} [ ]"
            lines.append(line)
    lines += ["", *textwrap.wrap(LICENSED, 80), "", "Date ______________   Initials ________"]
    return "\n".join(map(shown, lines)) + "\n"


def proof_csv(room: Room, trials: Sequence[Trial]) -> str:
    """The table that is filled in and read back: one row a test, with empty columns for what is measured."""
    rows = [tuple("" if value is None else f"{value}" for value in told.values()) for told in as_json(room, trials)]
    heads = (*COLUMNS, MEASURED, PASS, "initials")
    return write_rows([heads, *(tuple(map(shown, (*row, "", "", ""))) for row in rows)])
