"""Random patches of a room for tests: cords, supplies and microphones that a session can come to."""

from __future__ import annotations

from hypothesis import strategies as st

from model.bay.actions import Action, Phantom, Plug, Put, Unplug
from model.room.wiring import Room

LENGTHS = (None, 30.0, 60.0)


@st.composite
def ways_there(draw: st.DrawFn, room: Room, pool: tuple[str, ...], most_cords: int = 7) -> list[Action]:
    """Actions that lead from the empty bay to some patch; ``pool``: addresses of the jacks that cords may be in.

    Cords have one to three plugs in; some of three plugs have one loose. Their numbers are drawn, so that gaps occur.
    """
    free = list(draw(st.permutations(pool)))
    numbers = draw(st.permutations(range(1, 2 * most_cords)))
    actions: list[Action] = []
    for number in numbers[: draw(st.integers(0, most_cords))]:
        plugs = draw(st.sampled_from((1, 2, 2, 2, 2, 3)))
        if plugs > len(free):
            break
        jacks, free = tuple(free[:plugs]), free[plugs:]
        actions.append(Plug(jacks, number, draw(st.sampled_from(LENGTHS))))
        if plugs == 3 and draw(st.booleans()):
            actions.append(Unplug(jacks[0]))
            free.append(jacks[0])
    for ports in room.ports_of_switch.values():
        if draw(st.booleans()):
            actions.append(Phantom(room.ports[ports[0]].name, True))
    for port in room.ports:
        if port.kind.is_mic_line and draw(st.booleans()):
            actions.append(Put(draw(st.sampled_from(room.mics)).name, port.name))
    return actions
