"""The topic on the bench: normals listed, planned, ordered and proven; what of it is printed for programs."""

from __future__ import annotations

from model.bench.jumpers import STATES, closed, joined_contacts
from model.bench.methods import METHODS
from model.bench.proof import CLOSED, OPEN
from model.help.json_keys import keys_table
from model.help.topic import Example, Paragraph, Points, Section, Table, Topic, code
from model.room.kinds import NO_NORMAL, NORMAL_KINDS
from model.text.caution import CAUTION

_STEPS = """\
bayhand normals ROOM
bayhand plan ROOM "normal tallow 1-16 full" -o NEW
bayhand order NEW --from ROOM --as html > order.html
bayhand proof NEW --changed ROOM --as csv > proof.csv
bayhand proof NEW --results proof.csv"""

PLAN = {
    "normals": "the pairs that change: `top` and `bottom` as addresses, `now` and `then` as kinds",
    "made": "pairs of an output and an input that are connected at rest from then on",
    "broken": "pairs that are connected at rest now, and not then",
    "raised": "the warnings at rest that come",
    "cleared": "the warnings at rest that go",
    "findings": "of `check`: those that are `new` and those that are `gone`",
    "patches_lost": "names of saved patches, and `house`, that would not do what they do today",
    "jumpers": "how many come `out` and go `in`; how many are `left` over and must be brought (`bring`)",
    "marks": "by the room's own mark: how many are needed (above 0) or left over (below 0)",
    "entries": "the ordinary entries, tried on the planned wiring, as `rehearse` prints them; and every refused entry",
    "written": "whether a file was written",
}
ORDER = {
    "bays": "in the order of the hand: `bay`, its `steps`, its `jumpers`; a bay comes twice where another must be opened first",
    "jumpers": "of all bays together, as `plan` has them",
    "retest": "pairs of addresses: what is changed, and what stands beside it",
    "refused": "pairs in bays whose normals are fixed: they are not in the order",
    "gone": "addresses of the old room that the new one has not",
}
STEP = {
    "part": "`take out`, `move` or `set`; `change` where one pass is safe",
    "column": "the pair's column; null where a cross normal joins two columns",
    "top": "an address",
    "bottom": "an address",
    "now": "the kind as it is",
    "then": "the kind as it is to be",
    "ends": "the ends that move: `jack`, and the contact where it `was` and which it `becomes`: `line`, `normal` or null",
    "marks": "the room's own mark that `was` there, and what it `becomes`; null where it states none",
}
PAIR = {
    "top": "an address",
    "bottom": "an address",
    "source": "the output's name, or null",
    "load": "the input's name, or null",
    "now": "the kind as it is; `none` where there is no normal",
    "advised": "the kind advised, or null",
    "why": "the reason",
    "origin": "where the reason is from",
    "plug": "what a plug on `top`, and one at the `bottom`, would do with the kind advised",
    "departs": "whether the kind is another than the one advised",
}
TEST = {
    "number": "from 1",
    "test": "`normal`, `neighbours`, `left and right`, `tie line`, `mult`, `phantom` or `termination`",
    "bay": "the bay of the first jack",
    "state": "what is plugged meanwhile",
    "dummy": "the jack that holds the dummy, an unwired plug; or null",
    "top": "the jack at which something goes in",
    "bottom": "the jack at which it is read",
    "conductor": "`tip`, `ring`, `sleeve` or `all`",
    "in": "where to go in: the gear, or the rear of the jack",
    "read": "where to read",
    "by": "how it is measured",
    "about": "a tie line's, a mult's or a port's name",
    "expected": "`closed`, `open`, a voltage, a resistance, or `left alone`",
    "limit": "what that is on the instrument",
    "minutes": "how long it takes, about",
}
FAULT = {
    "fault": "`wrong kind`, `none or dead`, `shifted`, `crossed`, `short`, `bad joint`, `unsteady`, `legs` or `failed`",
    "jacks": "addresses",
    "conductors": "on which it shows",
    "file": "the kind that the room file has, or null",
    "behaves": "the kind that is there, or null",
    "text": "in words",
}


def contacts_table() -> Table:
    """Which contacts each kind joins, and in which of the three states it is closed."""
    rows = []
    for kind in (*NORMAL_KINDS, NO_NORMAL):
        top, bottom = joined_contacts(kind)
        states = (CLOSED if closed(kind, state) else OPEN for state in STATES)
        rows.append((code(kind), top or "", bottom or "", *states))
    return Table(("kind", "top", "bottom", *STATES), tuple(rows))


def methods_table() -> Table:
    """How the tests of the proof are done."""
    return Table(
        ("how", "closed", "open"), tuple((method.words, method.closed, method.open) for method in METHODS.values())
    )


def topic() -> Topic:
    """What whoever answers for the wiring does with normals."""
    return Topic(
        "The bench",
        (
            Paragraph(
                "Which kind of normal each pair has and should have, changing it on paper, the work order, the proof."
            ),
            Example(_STEPS, "sh"),
            Paragraph(
                "When the rack is so, `plan` with `--write` makes ROOM say it: only its normals change, every comment stays."
            ),
            Section("What is typed to plan"),
            Points(
                (
                    "`normal C1-16 half`, `normal C5, 7 none`, `normal tallow 1-8 half`: a name means its output, as at the "
                    "start of a cord;",
                    "`cross A9 > B11 half`, or in shells `cross A9 to B11 half`;",
                    "any other entry is tried on the planned wiring, and nothing of it is written.",
                )
            ),
            Section("What a normal is at the back"),
            Paragraph(
                "Each conductor of each jack has a line contact and a normal contact; they touch while it is empty."
            ),
            contacts_table(),
            Section("The work order"),
            Paragraph(
                "It goes in one pass from your left to your right. It goes in three (take out, move, set) only where a state "
                "between would join two outputs, or bring phantom where it is neither before nor after."
            ),
            Section("The proof"),
            methods_table(),
            Paragraph(
                "The pattern of the three states names the kind that is really there. Three times open is no normal, or a "
                "dead contact or jumper. Where a signal comes out at another jack, write that jack as what was measured."
            ),
            Section("bayhand plan ROOM ENTRY... --json"),
            keys_table(PLAN),
            Section("bayhand order NEW --json"),
            keys_table(ORDER),
            Paragraph("A step:"),
            keys_table(STEP),
            Section("bayhand normals ROOM --json"),
            Paragraph("One object a pair, those that depart from the advice first."),
            keys_table(PAIR),
            Section("bayhand proof ROOM --json"),
            Paragraph("One object a test."),
            keys_table(TEST),
            Paragraph("With `--results FILE.csv`, one object a fault:"),
            keys_table(FAULT),
            Paragraph(CAUTION),
        ),
    )
