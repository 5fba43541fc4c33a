"""The rules that are about cords and not about a net."""

from __future__ import annotations

from model.signal.circuit import Circuit
from model.signal.warning import NOTE, Alert
from model.text.listing import list_words


def broken_by_plug(circuits: tuple[Circuit, Circuit]) -> list[tuple[str, str]]:
    """The connections that a plug keeps apart: between its jack's line contact and its normal contact."""
    line, normal = circuits
    if line.nodes[0] in normal.nodes:
        return []  # they are joined some other way
    pairs = [(a.name, b.name) for x, y in ((line, normal), (normal, line)) for a in x.outputs for b in y.inputs]
    return sorted(pairs)


def loose_end(jack: str, number: int, broken: list[tuple[str, str]]) -> Alert:
    """A cord has one plug in: it joins nothing, and still breaks normals."""
    broke = f"It breaks {list_words([f'{a} > {b}' for a, b in broken])}." if broken else "It breaks nothing."
    return Alert(
        "loose-end",
        NOTE,
        (),
        {},
        f"Cord {number} has one plug in, at {jack}, and its other end is loose. {broke}",
        f"Plug its other end (#{number} > ...), or pull #{number}.",
        jacks=(jack,),
    )


def short_of_cords(out: int, owned: int) -> Alert | None:
    """More cords are out than the room owns."""
    if out <= owned:
        return None
    return Alert(
        "short-of-cords",
        NOTE,
        (),
        {"cords_out": out, "cords_owned": owned},
        f"{out} cords are in the bay and the room owns {owned}.",
        "Pull a cord that is not needed, or edit the room file's stock.",
    )
