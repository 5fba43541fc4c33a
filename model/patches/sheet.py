"""The recall sheet: a patch as tables, from which paper and files are made (see :mod:`model.paper.sheet_writers`)."""

from __future__ import annotations

from model.bay.actions import Action, Clear, Phantom, Plug, Pull, Put, Together
from model.bay.edits import moments, whole
from model.bay.state import Cord
from model.entry.notes import NOTES
from model.entry.session_state import SessionState
from model.live.patch import Patch
from model.paper.sheet import Sheet, Table, literal
from model.patches.patch_words import behind, from_output
from model.patches.placed import Placed, Placing, present
from model.patches.reset_report import beyond_rest
from model.patches.shelf import SHELF, Hold
from model.room.wiring import Room, line_contact
from model.signal.cautions import WORK_FIRST
from model.signal.warning import Alert, figure_words
from model.text.listing import counted, list_words

SPARE = "spare jack"


def sheet_of_session(session: SessionState, when: str) -> Sheet:
    """The sheet of a session's present state. ``when`` is the time as it is to be read."""
    holds = session.part(SHELF).standing_holds(session.patch.state)
    return _sheet(session.patch, "present state", when, (_notes(session.part(NOTES)), _holds(holds)))


def sheet_of_patch(room: Room, name: str, placing: Placing, when: str) -> Sheet:
    """The sheet of a saved patch in a room, as if it alone were plugged; with what this room cannot take of it."""
    lost = Table(
        "Cannot be placed in this room",
        ("What", "Why"),
        tuple((unplaced.what, unplaced.why) for unplaced in placing.unplaced),
        "Everything has a place in this room.",
        "; ".join(placing.rewired),
    )
    tables = (lost,) if placing.unplaced or placing.rewired else ()
    return _sheet(patched(room, placing.placed), f"patch '{name}'", when, tables)


def patched(room: Room, placed: Placed) -> Patch:
    """A room with a patch in it, and nothing else."""
    actions: list[Action] = []
    for cord in placed.cords:
        addresses = tuple(room.jacks[jack].address for jack in cord.jacks)
        actions.append(Plug(addresses, cord.number, cord.length_cm))
    for switch in sorted(placed.switches):
        actions.append(Phantom(room.ports[room.ports_of_switch[switch][0]].name, True))
    actions += [Put(mic, room.ports[line].name) for line, mic in placed.mics]
    patch = Patch.of_room(room)
    return patch.moved(whole(moments(patch.state, Together(tuple(actions)))))


def _sheet(patch: Patch, what: str, when: str, more: tuple[Table, ...]) -> Sheet:
    now = present(patch.state)
    first, cautions = _cautions(patch)
    counts = (
        counted(len(now.cords), "cord"),
        counted(len(now.mics), "microphone"),
        f"phantom at {counted(len(_supplies_on(patch)), 'input')}",
    )
    facts = (
        ("Room", patch.room.name),
        ("Sheet of", what),
        ("Made", when),
        ("In the bay", ", ".join(counts)),
        ("First", first),
    )
    tables = (cautions, _cords(patch), _input_list(patch), _phantom(patch), _warnings(patch), *more)
    return literal(Sheet("Recall sheet", facts, tables))


def _cautions(patch: Patch) -> tuple[str, Table]:
    """What hands must see to before anything is plugged or pulled; and of what is in the bay, what needs more than that."""
    room = patch.room
    handled: list[tuple[str, Action]] = [(f"#{number}", Pull(number)) for number in sorted(patch.state.cords)]
    handled += [(room.ports[line].name, Clear(room.ports[line].name)) for line in sorted(patch.state.mics)]
    on = {port.supply.switch: port.name for port in reversed(room.ports) if port.supply is not None}
    handled += [(on[switch], Phantom(on[switch], False)) for switch in on if switch in patch.state.switches]
    rows = [
        (what, caution.severity, caution.text, caution.fix)
        for what, action in handled
        for caution in patch.do(action).change.cautions
        if caution.fix.rstrip(".") not in WORK_FIRST
    ]
    title, columns = "Before a plug moves", ("What", "", "When it is handled", "First")
    return WORK_FIRST, Table(title, columns, tuple(rows), "No cord and no microphone needs more than that.")


def _cords(patch: Patch) -> Table:
    rows = tuple(_cord_row(patch, number, cord) for number, cord in sorted(patch.state.cords.items()))
    return Table("Cords", ("Cord", "From", "Jack", "To", "Jack", "Length", "Breaks"), rows, "No cord is in the bay.")


def _cord_row(patch: Patch, number: int, cord: Cord) -> tuple[str, ...]:
    room = patch.room
    first, *others = from_output(room, cord.plugs)
    to = " / ".join(behind(room, jack) or SPARE for jack in others) or "loose end"
    jacks = " / ".join(room.jacks[jack].address for jack in others)
    plugs = f" ({cord.ends} plugs)" if cord.ends > 2 else ""
    length = "" if cord.length_cm is None else f"{cord.length_cm:g} cm"
    return (
        f"#{number}{plugs}",
        behind(room, first) or SPARE,
        room.jacks[first].address,
        to,
        jacks,
        length,
        _breaks(patch, number),
    )


def _breaks(patch: Patch, number: int) -> str:
    """The connections that come back when the cord is pulled."""
    made = patch.do(Pull(number)).change.made
    return "; ".join(f"{source} > {load}" for source, load in made) or "nothing"


def _input_list(patch: Patch) -> Table:
    room, state = patch.room, patch.state
    rows = []
    for line, mic in sorted(state.mics.items()):
        nodes = [line_contact(jack) for jack in room.jacks_of_port[line]]
        circuit = patch.circuit_at(nodes[0]) if nodes else None
        reaches = list_words([port.name for port in circuit.inputs]) if circuit and circuit.inputs else "nothing"
        supplied = circuit is not None and bool(circuit.supplies)
        volts = f"on, {figure_words('line_v', circuit.line_v)}" if circuit is not None and supplied else "off"
        needs = "must not reach it" if mic.harmed else "not needed"
        if mic.phantom_v is not None:
            needs = f"needs {figure_words('phantom_v', mic.phantom_v)}, {figure_words('draws_ma', mic.draws_ma)}"
        rows.append((room.ports[line].name, mic.name, reaches, volts, needs))
    columns = ("Line", "Microphone", "Goes to", "Phantom", "For this microphone")
    return Table("Input list", columns, tuple(rows), "No microphone was put on a line.")


def _supplies_on(patch: Patch) -> list[int]:
    switches = patch.state.switches
    return [p.index for p in patch.room.ports if p.supply is not None and p.supply.switch in switches]


def _phantom(patch: Patch) -> Table:
    room = patch.room
    rows = []
    for index in _supplies_on(patch):
        port = room.ports[index]
        assert port.supply is not None
        jacks = room.jacks_of_port[index]
        circuit = patch.circuit_at(line_contact(jacks[0])) if jacks else None
        on_line = list_words([p.name for p in circuit.outputs]) if circuit and circuit.outputs else "nothing"
        volts = figure_words("line_v", port.supply.volts if circuit is None else circuit.line_v)
        switch = "" if port.supply.switch == port.name else port.supply.switch
        rows.append((port.name, switch, volts, on_line))
    return Table(
        "Phantom that is on", ("Input", "Switch", "Line stands at", "On the line"), tuple(rows), "Phantom is off."
    )


def _warnings(patch: Patch) -> Table:
    found, at_rest = beyond_rest(patch)
    rows = tuple((warn.severity, warn.text, _figures(warn), warn.fix) for warn in found)
    more = counted(at_rest, "warning")
    also = f"{more} more that the room has at rest, without any cord, not listed here: see bayhand check."
    return Table("Warnings", ("", "What", "Figures", "Fix"), rows, "No warning stands.", also if at_rest else "")


def _figures(warn: Alert) -> str:
    return "; ".join(
        f"{name.rpartition('_')[0] or name} {figure_words(name, value)}" for name, value in warn.figures.items()
    )


def _notes(notes: tuple[str, ...]) -> Table:
    return Table("Notes", ("Note",), tuple((note,) for note in notes), "No note was taken.")


def _holds(holds: dict[int, Hold]) -> Table:
    rows = tuple((f"#{hold.cord}", ", ".join(hold.jacks), hold.why) for hold in holds.values())
    return Table("Cords on hold", ("Cord", "Jacks when held", "Why"), rows, "No cord is on hold.")
