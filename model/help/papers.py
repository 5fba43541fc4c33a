"""The topic on tables and papers: a room from a spreadsheet and back, strips, drawings, graph, schema, two rooms compared."""

from __future__ import annotations

from model.bench.tables.table_columns import SYNONYMS
from model.help.json_keys import (
    COMPARISON,
    COMPARISON_PARTS,
    DRAWN_BAY,
    FAULT_IN_TABLE,
    GRAPH,
    STRIP,
    TABLE_READ,
    keys_table,
)
from model.help.topic import Example, Paragraph, Points, Section, Table, Topic, code

_STEPS = """\
bayhand from-table jacks.csv -o room.yaml
bayhand check room.yaml
bayhand table room.yaml > jacks.csv
bayhand strips room.yaml --as html > strips.html
bayhand draw room.yaml --as html > bays.html
bayhand compare-rooms old.yaml room.yaml"""


def columns_table() -> Table:
    """Each column of a table of jacks, and the headings by which it is known."""
    return Table(
        ("column", "also headed"),
        tuple((code(column), code(*(each for each in also if each != column))) for column, also in SYNONYMS.items()),
    )


def topic() -> Topic:
    """What is read from a spreadsheet, printed, compared, and given to other programs."""
    return Topic(
        "Tables and papers",
        (
            Example(_STEPS, "sh"),
            Section("From a spreadsheet, and back"),
            Paragraph(
                "`bayhand from-table` reads any table that says which jack a row is about (`address`, or `number` with `row` "
                "or `side`) and what is wired to it (`gear`, `port`)."
            ),
            Points(
                (
                    "Commas, semicolons or tabs; UTF-8, UTF-16 or Latin-1; headings in any order and in any case of letters.",
                    "Title rows, blank lines, `1-8` in a cell, spaces at the ends, decimal commas are taken as they are meant.",
                    "Each error has its row and its column as the spreadsheet counts them; nothing is written then.",
                    "What had to be guessed (a kind, from words such as out, in, mic) is listed, and marked in the room file.",
                    "There and back gives the same room. A cell that a spreadsheet might run gets an apostrophe before it.",
                )
            ),
            columns_table(),
            Paragraph("What no jack holds stands below the jacks, in rows of four cells: section, name, part, says."),
            Section("Label strips"),
            Paragraph(
                "Print at 100 %, and measure the rule of 100 mm first. Each strip comes once for the front and once for the "
                "rear, mirrored, cut between columns into pieces that fit A4 and Letter paper, lying. Where a bay does not "
                "state its `pitch`, `strip height` and `first`, they are assumed: that is said, and no cut marks are printed. "
                "Names that do not fit are listed before printing, with what would fit; `strip` in the room file gives a jack "
                "its own. With `--shapes`, each jack of a normalled pair bears the shape of its kind of normal."
            ),
            Section("Two rooms"),
            Paragraph(
                "`bayhand compare-rooms OLD NEW` tells what differs by meaning, whatever stands where in the two files. Gear "
                "under a new name is recognised by its place and its ports, and said to be a guess."
            ),
            Section("For other programs"),
            Paragraph(
                "`bayhand graph ROOM --as graphml` is the wiring as a graph. `bayhand schema` prints the JSON Schema of a room "
                "file, for editors that check YAML while one types: it sees what one place can show, `bayhand check` finds "
                "the rest."
            ),
            Section("bayhand compare-rooms OLD NEW --json"),
            Paragraph("One object."),
            keys_table(COMPARISON),
            *(block for key, keys in COMPARISON_PARTS.items() for block in (_each(key), keys_table(keys))),
            Section("bayhand from-table TABLE --json"),
            Paragraph("One object."),
            keys_table(TABLE_READ),
            Paragraph("Each error and each guess:"),
            keys_table(FAULT_IN_TABLE),
            Section("bayhand strips ROOM --json"),
            Paragraph("`strips`, a list of objects, lengths in mm:"),
            keys_table(STRIP),
            Section("bayhand draw ROOM --json"),
            Paragraph("`bays`, a list of objects:"),
            keys_table(DRAWN_BAY),
            Section("bayhand graph ROOM --json"),
            Paragraph("One object, node-link JSON."),
            keys_table(GRAPH),
        ),
    )


def _each(key: str) -> Paragraph:
    return Paragraph(f"Each of `{key}`:")
