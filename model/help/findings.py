"""The topic on findings: what `bayhand check` says of the wiring before any cord."""

from __future__ import annotations

from model.check import WIRING_CHECKS
from model.help.rules import severities
from model.help.topic import Paragraph, Points, Table, Topic, code
from model.text.caution import CAUTION


def findings_table() -> Table:
    """What each check of the wiring can find; its words are the first sentences of the check's docstring."""
    rows = []
    for check in WIRING_CHECKS:
        says = (check.finds.__doc__ or "").strip().split("\n\n")[0]
        names, how_bad = zip(*check.rules, strict=True)
        rows.append((code(*names), ", ".join(how_bad), " ".join(says.split())))
    return Table(("finding", "severity", "when"), tuple(rows))


def topic() -> Topic:
    """What is found in the wiring itself."""
    return Topic(
        "Findings",
        (
            Paragraph(
                "`bayhand check ROOM` reads the file, says what is wrong with its wiring, and plays the house patch. "
                "Its status is 1 where it finds anything."
            ),
            severities(),
            findings_table(),
            Paragraph("Beside these:"),
            Points(
                (
                    "every rule of `bayhand help rules`, for the room at rest and with its house patch;",
                    "`split-at-rest` (note): an output that feeds more than one input before any hand touched a cord;",
                    "`house-patch-refused` (warning): a cord of the house patch that cannot be plugged.",
                )
            ),
            Paragraph(CAUTION),
        ),
    )
