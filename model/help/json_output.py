"""The topic on JSON and exit statuses: what a script can rely on."""

from __future__ import annotations

from model.help.json_keys import CHECK, ENTRY, LOG, WARNING, added_table, keys_table, statuses_table
from model.help.topic import Paragraph, Section, Topic


def topic() -> Topic:
    """What the commands print for programs, and their statuses."""
    return Topic(
        "JSON and exit statuses",
        (
            Section("bayhand rehearse ROOM --json"),
            Paragraph(
                "One object a line. The first, with `line` 0, describes the room at rest: `made` lists every connection, "
                "`raised` every warning. Then comes one for each entry that was played."
            ),
            keys_table(ENTRY),
            Paragraph(
                "Lists are sorted, but for the ports of a `feedback-loop`: the loop in its order. Ports are named in full. "
                "Figures carry their unit at the end of their name (`_ohm`, `_db`, `_v`, `_ma`, `_hz`, `_m`, `_dbu`) and "
                "are not rounded; one without bound is null."
            ),
            Section("A warning"),
            keys_table(WARNING),
            Paragraph("Which rule has which figures: `bayhand help rules`."),
            Section("What some entries add"),
            added_table(),
            Section("bayhand check ROOM --json"),
            Paragraph("One object."),
            keys_table(CHECK),
            Section("bayhand log ROOM --json"),
            Paragraph("One object an entry of the record, oldest first."),
            keys_table(LOG),
            Paragraph(
                "Of the commands of the bench: `bayhand help bench`; of tables and papers: `bayhand help papers`."
            ),
            Section("Exit statuses"),
            statuses_table(),
        ),
    )
