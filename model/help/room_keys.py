"""Every key of a room file and what it says, beside the keys that the reader takes. A test compares the two."""

from __future__ import annotations

from collections.abc import Set as AbstractSet
from typing import NamedTuple

from model.fault.reasoning import PRIORS
from model.help.topic import Table, code
from model.room.file.accepted import ACCEPTED_KEYS
from model.room.file.bays import BAY_KEYS
from model.room.file.gear import GEAR_KEYS, MIC_KEYS, PORT_KEYS
from model.room.file.house_patch import MARK_KEYS, PRIOR_KEYS
from model.room.file.joins import CROSS_KEYS, MULT_KEYS, TIE_KEYS
from model.room.file.normalling_keys import NORMALLING_KEYS
from model.room.file.reader import TOP_KEYS
from model.room.file.strip_keys import STRIP_KEYS
from model.room.kinds import NO_NORMAL, NORMAL_KINDS


class KeyTable(NamedTuple):
    """The keys of one part of the file: what the reader takes there, and what each means."""

    title: str
    taken: AbstractSet[str]
    means: dict[str, str]

    def table(self) -> Table:
        """To read."""
        return Table(("key", "says"), tuple((code(key), says) for key, says in self.means.items()))


TOP = KeyTable(
    "The file",
    TOP_KEYS,
    {
        "bayhand": "the version of the format, 1; needed",
        "room": "the room's name; needed",
        "gear": "a table: names of gear, and for each its ports",
        "mics": "a table: the locker, what people put on microphone lines",
        "bays": "a list of panels; needed",
        "cross normals": "a list of normals between jacks that are not one above the other",
        "ties": "a list of fixed lines between jacks",
        "mults": "a list of groups of jacks that are joined together",
        "cords": "a table: a length in cm, and how many cords of it the room owns",
        "house patch": "a list of cords that belong in the room at rest: `Mix L > Squash L in with 60 cm`",
        "accepted": "a list of findings of `check` that are meant to be",
        "units": "`feet`: a cord's length is typed with its unit, such as `with 2 ft` or `with 24 in`; else `metres`",
        "marks": "a table: a kind of normal, and the room's own mark for it on the panel",
        "priors": "a table: what can be at fault, and how likely it is against the others",
    },
)

PORTS = KeyTable(
    "A port",
    PORT_KEYS,
    {
        "is": "its kind; needed. A kind alone may stand in place of the table: `out: line out`",
        "ohms": "its impedance; without it that of its kind, and figures say that it is assumed",
        "level": "its nominal level, in dBu or dBV: `+4 dBu`, `-10 dBV`",
        "max": "the level at which it clips, written as `level` is",
        "cable": "metres of cable from the bay to the gear",
        "phantom": "of a `mic in`: the volts that it can supply",
        "feed": "of a supply: the ohms of the feed resistor in each leg",
        "switch": "of a supply: the name of a switch that it shares with others",
        "least ohms": "of a `speaker out`: the least load that it may drive, in Ω",
        "bridged": "of a `speaker out`: `yes` where both its legs are driven",
        "ears": "`yes` where people hear what comes in or leaves here: monitors, headphones, cues",
        "balanced": "`no` where one leg is the sleeve",
        "rate": "of a digital port: its frame rate, such as `96 kHz`",
        "switched": "`yes` on an insert's port: a switch of the gear closes it, so that it need not be normalled",
    },
)

GEAR = KeyTable(
    "What gear states beside its ports",
    GEAR_KEYS,
    {
        "through": "which of its inputs reach which of its outputs",
        "own names": "`yes`: its ports bear their names alone: `Mix L out`, not `Desk Mix L out`",
    },
)

MICROPHONES = KeyTable(
    "A microphone",
    MIC_KEYS,
    {
        "ohms": "its impedance; without it that of a `mic line`",
        "phantom": "the volts that it needs; without it none",
        "draws": "the current that it draws, in mA",
        "harmed": "`yes` where phantom must not reach it",
        "works from": "the least on its line from which it works, in V; else told by the class of its phantom",
    },
)

BAYS = KeyTable(
    "A bay",
    BAY_KEYS | NORMALLING_KEYS | STRIP_KEYS,
    {
        "bay": "its name; needed",
        "place": "where it is: a cord joins jacks of one place",
        "columns": "how many jacks stand in a row; needed",
        "rows": "a table of one row or two, the top one first: a column or a range, and the ports behind it; needed",
        "normals": "a table: a column or a range, and the kind of normal from its top jack to its bottom jack",
        "normalled by": "what its normals are: `jumpers` (the default), `switches`, `solder`, or `fixed`",
        "reached from": "where the hands are that change them: `rear` (the default) or `front`",
        "jumper carries": "how many conductors one jumper carries: 1 (the default), 2 or 3",
        "sleeve": "`carried` (a conductor of each normal), `bussed` or `isolated`; without it nothing is said of sleeves",
        "pitch": "of its label strips: millimetres from the middle of one jack to the next",
        "strip height": "of its label strips, in mm",
        "first": "millimetres from the strip's left end to the middle of the first jack",
        "groups": "a table: the column after which a gap comes, and by how many mm more than `pitch`",
        "strips": "where its label strips are: `above` the rows, `below` them, or one `between` them",
        "strip": "a table: jacks, and their printed short names: `{A1-24: 'HALL {1-24}'}`",
        "cable": "a table: jacks, and the numbers of their cables: `{A1-24: '{101-124}'}`",
        "remark": "a table: jacks, and what is to be remarked of them: `{A5: crackles}`",
    },
)

CROSS_NORMALS = KeyTable(
    "A cross normal",
    CROSS_KEYS,
    {
        "from": "the jacks in place of the top ones: `A41-42`; needed",
        "to": "as many jacks in place of the bottom ones; needed",
        "kind": "the kind of normal; needed",
    },
)

TIES = KeyTable(
    "A tie line",
    TIE_KEYS,
    {
        "name": "its name, or several: `Tie {1-8}`; needed",
        "from": "the jacks at one end; needed",
        "to": "as many jacks at the other, or `wall box`: then each is a microphone line of its name; needed",
        "metres": "its length",
        "is": "its kind: `mic line`, `line`, `aes3`, `coax` or `speaker`; `route` takes no line tie for a microphone",
    },
)

MULTS = KeyTable(
    "A mult",
    MULT_KEYS,
    {
        "name": "its name; needed",
        "jacks": "the jacks that it joins: `D41-44`, or a list; needed",
    },
)

MARKS = KeyTable(
    "The marks",
    MARK_KEYS,
    {kind.name: f"the mark of a {kind.words}" for kind in NORMAL_KINDS.values()}
    | {NO_NORMAL: "the mark of a pair without a normal"},
)

PRIORS_TAKEN = KeyTable(
    "The priors", PRIOR_KEYS, {name: f"{weight:g} where the file says nothing" for name, weight in PRIORS.items()}
)

ACCEPTED = KeyTable(
    "An accepted finding",
    ACCEPTED_KEYS,
    {
        "at": "where it is: jacks (`A1-8`), gear, a port, a bay, or `cords`; needed",
        "finding": "its name, as in `bayhand help findings`; needed",
        "because": "why it is meant to be; needed. One that no longer occurs is itself a finding",
    },
)

KEY_TABLES = (TOP, PORTS, GEAR, MICROPHONES, BAYS, CROSS_NORMALS, TIES, MULTS, MARKS, PRIORS_TAKEN, ACCEPTED)
