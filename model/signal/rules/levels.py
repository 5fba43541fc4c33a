"""Levels: of each load against its source, and what comes to people's ears. Bounds are common practice, no source."""

from __future__ import annotations

from model.bay.state import Cord, Making, State
from model.room.wiring import Port, Room
from model.signal.cautions import MONITORS_DOWN
from model.signal.circuit import Circuit, names
from model.signal.rules.making import reaches, warn
from model.signal.warning import NOTE, WARNING, Alert, figure_words
from model.text.listing import list_words

LEVEL_MISMATCH_DB = 6.0
LEAST_HEADROOM_DB = 12.0

# Kinds that are made for levels far apart, whatever the room file states: what the source is to the load.
_FAR_APART = {
    ("line out", "mic in"): "far too hot for the microphone input {load}",
    ("mic line", "line in"): "far too low for the line input {load}",
}
_REMEDY = {"hot": "a pad or a level matcher where it is too hot", "low": "a preamplifier where it is too low"}


def level_mismatch(circuit: Circuit) -> Alert | None:
    """A source and a load made for levels 6 dB or more apart, a line output into a mic in, a microphone into a line in."""
    if not circuit.outputs or not circuit.inputs:
        return None
    about: list[Port] = []
    steps: list[float] = []
    told: list[str] = []
    ways: set[str] = set()
    for source in circuit.outputs:
        said = []
        for load in circuit.inputs:
            step = circuit.step_db(source, load)
            apart = _FAR_APART.get((source.kind.name, load.kind.name))
            hot = source.kind.name == "line out" if step is None or not step else step > 0
            if step is not None and reaches(abs(step), LEVEL_MISMATCH_DB):
                said.append(f"{figure_words('step_db', abs(step))} too {'hot' if hot else 'low'} for {load.name}")
            elif apart is not None:
                said.append(apart.format(load=load.name))
            else:
                continue
            ways.add("hot" if hot else "low")
            about += [source, load]
            if step is not None:
                steps.append(step)
        if said:
            told.append(f"{source.name} is {list_words(said, most=6)}.")
    if not about:
        return None
    return warn(
        circuit,
        "level-mismatch",
        WARNING,
        set(about),
        {"step_db": max(steps, key=abs) if steps else None},
        " ".join(told),
        f"Go through {list_words([_REMEDY[way] for way in sorted(ways)])}.",
    )


def low_headroom(circuit: Circuit) -> Alert | None:
    """A load clips less than 12 dB over the source's nominal level."""
    short: list[tuple[float, Port, Port]] = []
    for load in circuit.inputs:
        if load.max_dbu is None:
            continue
        for source in circuit.outputs:
            step = circuit.step_db(source, load)
            hot = step is not None and reaches(step, LEVEL_MISMATCH_DB)  # `level-mismatch` says more of it
            if source.level_dbu is not None and not hot:
                left = load.max_dbu - source.level_dbu
                if left < LEAST_HEADROOM_DB - 1e-9:
                    short.append((left, source, load))
    if not short:
        return None
    least, source, load = min(short, key=lambda found: found[0])
    return warn(
        circuit,
        "low-headroom",
        NOTE,
        {port for _, *ports in short for port in ports},
        {"headroom_db": least},
        f"{load.name} clips {figure_words('headroom_db', least)} over the nominal level of {source.name}: peaks need "
        f"{figure_words('headroom_db', LEAST_HEADROOM_DB)} and more.",
        "Turn the source down, or go through a pad.",
    )


def at_the_ears(circuit: Circuit) -> Alert | None:
    """A source goes straight to people's ears, past the level control that is usually before them."""
    ears = [p for p in circuit.inputs if p.ears]
    if not ears or not circuit.outputs:
        return None
    usual = usual_at_ears(circuit.state.room)
    strange = [p for p in circuit.outputs if not p.ears and p.index not in usual]
    if not strange:
        return None
    return warn(
        circuit,
        "at-the-ears",
        WARNING,
        [*strange, *ears],
        {},
        f"{list_words(names(strange))} feed{_s(strange)} {list_words(names(ears))} straight, past the level control that is "
        "usually before people's ears: it can come at full level.",
        f"{MONITORS_DOWN}, turn the source down, and bring it up from nothing. Better: listen through the monitor section.",
    )


def _s(subjects: list[Port]) -> str:
    return "s" if len(subjects) == 1 else ""


def usual_at_ears(room: Room) -> set[int]:
    """The outputs that feed people's ears while the room is at rest, with and without its house patch."""
    ears = [port.index for port in room.ports if port.ears and not port.kind.is_output]
    rest = State(room)
    found = _outputs_at(rest, ears)
    if not room.house_patch:
        return found
    making = Making(rest)
    for number, cord in enumerate(room.house_patch, start=1):
        making.set("cords", number, Cord(cord.jacks, max(2, len(cord.jacks)), cord.length_cm))
        for jack in cord.jacks:
            making.set("plugs", jack, number)
    return found | _outputs_at(rest.after(making.difference()), ears)


def _outputs_at(state: State, inputs: list[int]) -> set[int]:
    room = state.room
    nodes = {node for port in inputs for jack in room.jacks_of_port[port] for node in state.nodes_joined_to(2 * jack)}
    at = {room.port_at[node >> 1] for node in nodes if not node & 1}
    return {port for port in at if port >= 0 and room.ports[port].kind.is_output}
