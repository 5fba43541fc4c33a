"""The section ``accepted``: findings of `check` that are meant to be, each with its reason."""

from __future__ import annotations

from model.room.file.bay_tables import BayTables
from model.room.file.gear import GearTables
from model.room.file.reading import Reading
from model.room.wiring import Accepted
from model.text.clean import quoted
from model.text.normalized import normalized
from model.text.ranges import stretch
from model.text.strictyaml import Node

ACCEPTED_KEYS = frozenset(("at", "finding", "because"))
CORDS = "cords"  # where a finding is about their number
_SUCH_AS = "{at: A1-4, finding: half-normalled-mic, because: the desk splits there}"


def read_accepted(reading: Reading, node: Node, gear: GearTables, bays: BayTables) -> tuple[Accepted, ...]:
    """The accepted findings. ``at`` is jacks such as ``A1-40, B3``, or the name of gear, of a port, of a bay, or 'cords'."""
    found = []
    for table in reading.tables(node, "accepted", _SUCH_AS, ACCEPTED_KEYS):
        at = reading.text(reading.required(table, "at", "an accepted finding"), "'at'", "an accepted finding")
        name = reading.label(
            reading.required(table, "finding", "an accepted finding"), "'finding'", "an accepted finding"
        )
        because = reading.label(
            reading.required(table, "because", "an accepted finding"), "'because'", "an accepted finding"
        )
        if at is None or name is None or because is None:
            continue
        jacks: tuple[str, ...] = ()
        known = normalized(at.text)
        if known not in gear.gear_named and known not in gear.port_named and known not in (*bays.bay_named, CORDS):
            place = stretch(at.text.split(",")[0].strip())
            if place is None and reading.whole:
                names = [CORDS, *(one.name for one in gear.gear), *(bay.name for bay in bays.bays)]
                meant = reading.meant(at.text, names)
                reading.error(
                    at.mark,
                    f"'at' of an accepted finding: {quoted(at.text)} is neither jacks nor gear, a port or a bay{meant}",
                )
                continue
            numbers = bays.stretch(reading, at.text, at.mark, "'at' of an accepted finding")
            if not numbers:
                continue
            jacks = tuple(bays.jacks[jack].address for jack in numbers)
        found.append(Accepted(at.text, jacks, name, because, table.mark.line + 1))
    return tuple(found)
