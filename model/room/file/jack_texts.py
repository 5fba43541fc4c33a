"""Free text per jack: ``strip`` (its printed short name), ``cable`` (the number on its cable) and ``remark``, in a bay.

Each is a table from jacks of the bay to a text; a text with a range gives each jack its own::

    strip:  {A1-24: "HALL {1-24}", B33: SPARE}
    cable:  {A1-24: "{101-124}"}
    remark: {A5: crackles when the plug is turned}

One text stands for all jacks of a range, but for a cable's number, which is one jack's alone.
"""

from __future__ import annotations

from model.room.file.bay_tables import BayTables
from model.room.file.reading import Reading
from model.room.labels import why_not_shown
from model.room.wiring import Bay, JackText
from model.text.clean import quoted
from model.text.strictyaml import Table

JACK_TEXTS = JackText._fields
_SUCH_AS = {"strip": "{A1-24: 'HALL {1-24}'}", "cable": "{A1-24: '{101-124}'}", "remark": "{A5: crackles}"}


def read_jack_texts(reading: Reading, bays: BayTables, bay: Bay, table: Table, what: str) -> None:
    """Adds what a bay's table says of its jacks."""
    for key in JACK_TEXTS:
        if key in table.marks:
            _read(reading, bays, bay, table, key, f"{key} of {what}")


def _read(reading: Reading, bays: BayTables, bay: Bay, table: Table, key: str, what: str) -> None:
    cells = reading.table(table.values[key], what, _SUCH_AS[key])
    line_of: dict[int, int] = {}  # by jack: where its text was given
    for where, node in (cells.values if cells is not None else {}).items():
        assert cells is not None
        mark = cells.marks[where]
        text = reading.text(node, f"the text at {where}", what)
        jacks = bays.stretch(reading, where, mark, what)
        if text is None or not jacks:
            continue
        texts = reading.expanded(text.text, text.mark, key)
        if not texts:
            continue
        if len(texts) == 1 and key != "cable":
            texts *= len(jacks)
        if len(texts) != len(jacks):
            sides = f"{where} is {len(jacks)}, {quoted(text.text)} is {len(texts)}"
            reading.error(text.mark, f"the two sides differ in length in {what}: {sides}")
            continue
        unfit = next((why for each in texts if (why := why_not_shown(each)) is not None), None)
        if unfit is not None:
            reading.error(text.mark, f"{what}: {quoted(text.text)}: {unfit}")
            continue
        for jack, each in zip(jacks, texts, strict=True):
            at = bays.jacks[jack]
            if at.row not in bay.rows:
                reading.error(mark, f"{what}: jack {at.address} is not of this bay")
                break
            if jack in line_of:
                reading.error(mark, f"{what}: jack {at.address} is given twice: line {line_of[jack]} has it already")
                break
            line_of[jack] = mark.line + 1
            bays.texts[jack] = bays.texts.get(jack, JackText())._replace(**{key: each})
