"""What belongs to a room at rest: the sections ``cords``, ``house patch``, ``marks`` and ``priors``."""

from __future__ import annotations

import re

from model.room.cord_length import LONGEST_CM, split_length
from model.room.file.bay_tables import BayTables
from model.room.file.gear import GearTables
from model.room.file.reading import Reading
from model.room.kinds import NO_NORMAL, NORMAL_KINDS
from model.room.wiring import NO_PORT, HouseCord
from model.text.clean import quoted
from model.text.normalized import normalized
from model.text.ranges import stretch
from model.text.strictyaml import Mark, Node, Text
from model.text.suggest import listed

MARK_KEYS = frozenset((*NORMAL_KINDS, NO_NORMAL))
PRIOR_KEYS = frozenset(("cord", "normal contact", "rear lead", "gear", "tie line", "mult", "microphone", "mic line"))
MAX_CORDS = 1_000_000
_AND = re.compile(r"\s+and\s+", re.IGNORECASE)


def read_cords(reading: Reading, node: Node) -> dict[int, int] | None:
    """How many cords of each length (cm) the room owns; None where the file does not say."""
    if node is None or (isinstance(node, Text) and not node.text):
        return None
    table = reading.table(node, "'cords'", "{30: 40, 60: 20}, length in cm: how many")
    cords: dict[int, int] = {}
    if table is None:
        return cords
    for key, value in table.values.items():
        key_mark = table.marks[key]
        length = reading.whole_number(Text(key, key_mark), "length (cm)", "a cord", LONGEST_CM)
        count = reading.whole_number(value, "number", f"cords of {quoted(key)} cm", MAX_CORDS, zero=True)
        if length is None or count is None:
            continue
        if length in cords:
            reading.error(key_mark, f"cords of {length} cm are given twice")
        cords[length] = count
    return cords


def read_marks(reading: Reading, node: Node) -> dict[str, str]:
    """The room's own mark for each kind of normal."""
    table = reading.table(node, "'marks'", "{full: white}")
    if table is None:
        return {}
    reading.keys(table, MARK_KEYS, "in 'marks'")
    marks = {key: reading.label(value, "mark", quoted(key)) for key, value in table.values.items()}
    return {key: text for key, text in marks.items() if text is not None}


def read_priors(reading: Reading, node: Node) -> dict[str, float]:
    """How likely each cause of a fault is, on any one scale."""
    table = reading.table(node, "'priors'", "{cord: 10, normal contact: 5}")
    if table is None:
        return {}
    reading.keys(table, PRIOR_KEYS, "in 'priors'")
    priors = {key: reading.number(value, "prior", quoted(key)) for key, value in table.values.items()}
    return {key: number for key, number in priors.items() if number is not None}


def read_house_patch(reading: Reading, node: Node, gear: GearTables, bays: BayTables) -> tuple[HouseCord, ...]:
    """The cords that belong in the room at rest; a line with ranges stands for several."""
    cords: list[HouseCord] = []
    holder: dict[int, int] = {}  # jack: the line of the cord that has a plug in it
    jacks_of: dict[int, list[int]] = {}
    for jack in bays.jacks if node is not None else ():
        if jack.port != NO_PORT:
            jacks_of.setdefault(jack.port, []).append(jack.index)
    for member in reading.items(node, "'house patch'", "Mix L > Squash L in"):
        text = reading.text(member, "a line", "'house patch'")
        if text is None:
            continue
        mark, line = text.mark, text.mark.line + 1
        try:
            joined, length = split_length(text.text)
        except ValueError as why:
            reading.error(mark, f"{quoted(text.text)} in 'house patch': {why}")
            continue
        ends = [end.strip() for end in joined.split(">")]
        if len(ends) < 2 or not all(ends):
            reading.error(mark, f"a cord joins two names such as 'Mix L > Squash L in', not {quoted(text.text)}")
            continue
        if len(ends) > 2:
            instead = f"{ends[0]} > {' and '.join(ends[1:])}"
            reading.error(mark, f"a cord with several plugs is written {quoted(instead)}, not {quoted(text.text)}")
            continue
        if gear.port(ends[1]) is None:
            ends = [ends[0], *(end.strip() for end in _AND.split(ends[1]))]
        sides = [_jacks(reading, end, mark, gear, bays, jacks_of) for end in ends]
        if not all(sides):
            continue
        if len({len(side) for side in sides}) > 1:
            counts = ", ".join(f"{quoted(end)} is {len(side)}" for end, side in zip(ends, sides, strict=True))
            reading.error(mark, f"the sides of a cord in 'house patch' differ in length: {counts}")
            continue
        for plugs in zip(*sides, strict=True):
            for jack in plugs:
                if jack in holder:
                    where = "of this line" if holder[jack] == line else f"of line {holder[jack]}"
                    reading.error(mark, f"jack {bays.jacks[jack].address} holds a plug of a cord {where} already")
                    break
                holder[jack] = line
            cords.append(HouseCord(plugs, length, line))
    return tuple(cords)


def _jacks(
    reading: Reading, text: str, mark: Mark, gear: GearTables, bays: BayTables, jacks_of: dict[int, list[int]]
) -> list[int]:
    """The jacks that one end of a cord names: by their addresses, or by the ports that they alone are wired to."""
    place = stretch(text)
    if place is not None and normalized(place.row) in bays.row_named:
        return bays.stretch(reading, text, mark, "'house patch'")
    jacks = []
    for name in reading.expanded(text, mark, "'house patch'"):
        place = stretch(name)
        port = gear.port(name)
        if place is not None and normalized(place.row) in bays.row_named:
            jacks += bays.stretch(reading, name, mark, "'house patch'")
        elif port is not None:
            wired = jacks_of.get(port, [])
            if len(wired) == 1:
                jacks.append(wired[0])
                continue
            if not wired:
                reading.missing(mark, f"port {quoted(name)} in 'house patch' is wired to no jack")
            else:
                which = listed([bays.jacks[jack].address for jack in wired], "or")
                reading.error(mark, f"port {quoted(name)} in 'house patch' is wired to several jacks: say {which}")
            return []
        else:
            if reading.whole:
                meant = gear.meant(reading, name)
                reading.error(mark, f"unknown jack or port {quoted(name)} in 'house patch'{meant}")
            return []
    return jacks
