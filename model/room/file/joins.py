"""What joins jacks beside the normals of a panel: the sections ``cross normals``, ``ties`` and ``mults``.

A tie line leads from jacks to jacks, or ``to: wall box``: then nothing but what is plugged in there stands at its far end,
and it is a microphone line of its name. ``is: line`` and its like say of what kind a tie line is.
"""

from __future__ import annotations

from collections.abc import Sequence

from model.room.file.bay_tables import BayTables
from model.room.file.bays import read_normal_kind
from model.room.file.gear import GearTables, check_no_address
from model.room.file.reading import Reading
from model.room.kinds import KINDS, TIE_KINDS
from model.room.wiring import NO_PORT, Mult, Tie
from model.text.clean import quoted
from model.text.normalized import normalized
from model.text.strictyaml import Items, Mark, Node, Table, Text
from model.text.suggest import listed

CROSS_KEYS = frozenset(("from", "to", "kind"))
TIE_KEYS = frozenset(("name", "from", "to", "metres", "is"))
WALL_BOX, MIC_LINE = "wall box", "mic line"
MULT_KEYS = frozenset(("name", "jacks"))


def read_cross_normals(reading: Reading, node: Node, bays: BayTables) -> None:
    """Adds the normals between jacks that are not one above the other to those of the bays."""
    for table in reading.tables(node, "cross normals", "{from: A41-42, to: D1-2, kind: half}", CROSS_KEYS):
        ends = _ends(reading, table, bays, "a cross normal")
        kind = read_normal_kind(reading, reading.required(table, "kind", "a cross normal"), "a cross normal")
        if kind is not None:
            for top, bottom in ends:
                if not bays.join(reading, table.mark, top, bottom, kind):
                    break  # one error for a whole range


def read_ties(reading: Reading, node: Node, bays: BayTables, gear: GearTables) -> tuple[Tie, ...]:
    """The fixed lines between jacks in different places."""
    ties: dict[str, Tie] = {}  # by normalized name
    joined: dict[tuple[int, int], Tie] = {}  # by the pair of jacks, the lower first
    for table in reading.tables(node, "ties", '{name: "Tie {1-8}", from: A17-24, to: E1-8, metres: 30}', TIE_KEYS):
        line = table.mark.line + 1
        kind = _tie_kind(reading, table)
        to = table.values.get("to")
        at_wall = isinstance(to, Text) and normalized(to.text) == WALL_BOX
        if at_wall and kind not in ("", MIC_LINE):
            words = f"a tie line to a wall box is a '{MIC_LINE}', not {quoted(kind)}"
            reading.error(table.marks["is"], f"{words}: for anything else, write a port in 'gear'")
        ends = _at_wall(reading, table, bays) if at_wall else _ends(reading, table, bays, "a tie line")
        metres = reading.number(table.values.get("metres"), "metres", "a tie line", zero=True) or 0.0
        text = reading.text(reading.required(table, "name", "a tie line"), "name", "a tie line")
        many = reading.how_many(text.text) if text is not None else None
        if text is not None and ends and many is not None and many != len(ends):
            sides = f"{quoted(text.text)} is {many}, and its ends are {len(ends)} pairs of jacks"
            reading.error(text.mark, f"the names and the ends of a tie line differ in length: {sides}")
            continue
        names = reading.names(text.text, text.mark, "tie line") if text is not None else []
        if not names or not ends or text is None:
            continue
        if at_wall:
            for name, (jack, _) in zip(names, ends, strict=True):
                known = ties.get(normalized(name))
                if known is not None:
                    words = f"tie line {quoted(name)} is named twice: line {known.line} has it already"
                    reading.error(text.mark, words)
                elif not _leads_to_wall(reading, table, text.mark, name, jack, metres, bays, gear):
                    break  # one error for a whole range
            continue
        for name, (a, b) in zip(names, ends, strict=True):
            _check_own_name(reading, text.mark, f"tie line {quoted(name)}", name, bays, gear)
            tie = Tie(name, a, b, metres, line, kind)
            if a == b:
                reading.error(table.mark, f"tie line {quoted(name)} joins jack {bays.jacks[a].address} to itself")
                continue
            known = ties.setdefault(normalized(name), tie)
            if known is not tie:
                reading.error(text.mark, f"tie line {quoted(name)} is named twice: line {known.line} has it already")
            known = joined.setdefault((min(a, b), max(a, b)), tie)
            if known is not tie:
                both = f"{bays.jacks[a].address} and {bays.jacks[b].address}"
                reading.error(table.mark, f"{both} are joined twice: line {known.line} ties them already")
    return tuple(ties.values())


def _tie_kind(reading: Reading, table: Table) -> str:
    text = reading.text(table.values.get("is"), "the kind", "a tie line")
    if text is None or text.text in TIE_KINDS:
        return "" if text is None else text.text
    known = reading.meant(text.text, TIE_KINDS) or f": the kinds are {listed(TIE_KINDS)}"
    reading.error(text.mark, f"unknown kind of tie line {quoted(text.text)}{known}")
    return ""


def _at_wall(reading: Reading, table: Table, bays: BayTables) -> list[tuple[int, int]]:
    """The jacks from which tie lines lead to a wall box, as ends that are both the same."""
    text = reading.text(reading.required(table, "from", "a tie line"), "'from'", "a tie line")
    jacks = bays.stretch(reading, text.text, text.mark, "'from' of a tie line") if text is not None else []
    return [(jack, jack) for jack in jacks]


def _leads_to_wall(
    reading: Reading, table: Table, mark: Mark, name: str, jack: int, metres: float, bays: BayTables, gear: GearTables
) -> bool:
    """Wires a jack to a microphone line that bears its tie line's name; False, with an error, where that cannot be."""
    what = f"tie line {quoted(name)}"
    at = bays.jacks[jack]
    if at.port != NO_PORT:
        wired = quoted(gear.ports[at.port].name)
        reading.error(table.marks["from"], f"{what}: {wired} is wired to jack {at.address} already")
        return False
    known = gear.gear_named.get(normalized(name))
    if known is not None:
        reading.error(mark, f"{what} has the name of gear, on line {gear.gear[known].line}: rename one of them")
        return False
    if not _check_own_name(reading, mark, what, name, bays, gear):
        return False
    bays.jacks[jack] = at._replace(port=gear.add_line(mark, name, KINDS[MIC_LINE], metres))
    return True


def read_mults(
    reading: Reading, node: Node, bays: BayTables, gear: GearTables, ties: Sequence[Tie]
) -> tuple[Mult, ...]:
    """The groups of jacks that are joined together."""
    joined = {normalized(tie.name): tie for tie in ties}
    mults: dict[str, Mult] = {}  # by normalized name
    owner: dict[int, str] = {}
    for table in reading.tables(node, "mults", "{name: Mult 1, jacks: D41-44}", MULT_KEYS):
        name = reading.label(reading.required(table, "name", "a mult"), "name", "a mult", typed=True)
        what = f"mult {quoted(name)}" if name else "this mult"
        group: list[int] = []
        jacks = reading.required(table, "jacks", what)
        for member in jacks.nodes if isinstance(jacks, Items) else [jacks]:
            text = reading.text(member, "jacks", what)
            if text is None:
                continue
            for jack in bays.stretch(reading, text.text, text.mark, f"jacks of {what}"):
                if jack in owner:
                    where = f"{quoted(owner[jack])} and {quoted(name or '')}"
                    where = f"two mults, {where}" if owner[jack] != name else f"{what} twice"
                    reading.error(text.mark, f"jack {bays.jacks[jack].address} is in {where}")
                    break
                owner[jack] = name or ""
                group.append(jack)
        if len(group) == 1:
            reading.missing(table.mark, f"{what} has one jack alone: it joins nothing")
        if name is None:
            continue
        mult = Mult(name, tuple(group), table.mark.line + 1)
        mark = table.marks["name"]
        _check_own_name(reading, mark, what, name, bays, gear)
        if (tie := joined.get(normalized(name))) is not None:
            reading.error(mark, f"{what} has the name of a tie line, on line {tie.line}: rename one of them")
        known = mults.setdefault(normalized(name), mult)
        if known is not mult:
            reading.error(mark, f"{what} is named twice: line {known.line} has {quoted(known.name)}")
    return tuple(mults.values())


def _check_own_name(reading: Reading, mark: Mark, what: str, name: str, bays: BayTables, gear: GearTables) -> bool:
    """Refuses the name of a tie line or a mult that means something else already in an entry."""
    check_no_address(reading, mark, name, bays.row_named)
    port = gear.port_named.get(normalized(name))
    if port is not None:
        reading.error(mark, f"{what} has the name of a port, on line {gear.ports[port].line}: rename one of them")
    return port is None


def _ends(reading: Reading, table: Table, bays: BayTables, what: str) -> list[tuple[int, int]]:
    """The pairs of jacks that ``from`` and ``to`` name, side by side."""
    sides = []
    for key in ("from", "to"):
        text = reading.text(reading.required(table, key, what), f"'{key}'", what)
        sides.append(bays.stretch(reading, text.text, text.mark, f"'{key}' of {what}") if text is not None else [])
    start, end = sides
    if not start or not end:
        return []
    if len(start) != len(end):
        both = f"{_written(table, 'from')} is {len(start)}, {_written(table, 'to')} is {len(end)}"
        reading.error(table.marks["to"], f"the two sides of {what} differ in length: {both}")
        return []
    return list(zip(start, end, strict=True))


def _written(table: Table, key: str) -> str:
    node = table.values[key]
    return quoted(node.text) if isinstance(node, Text) else key
