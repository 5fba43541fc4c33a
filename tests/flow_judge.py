"""Signal flow as a plain graph of networkx, built anew from a room's contacts for each question: the judge of trace and why.

Nothing of the engine's nets, joints or flow is used: what is joined comes from the slow model's list of contacts.
"""

from __future__ import annotations

from dataclasses import replace
from random import Random
from typing import Any

import networkx as nx

from model.bay.actions import Action, Plug
from model.bay.refusals import Refusal
from model.room.inside import NOTHING_TOLD, Settings
from model.room.wiring import NO_PORT, Room
from model.session import Session
from tests.random_rooms import random_room
from tests.said import act
from tests.slow_model import SlowBay

PLACES = ("Here", "There")


def room_of(rng: Random, points: int = 5, places: bool = False) -> Room:
    """A small random room; with ``places``, its second bay stands elsewhere."""
    room = random_room(rng, points)
    if not places:
        return room
    return replace(room, bays=tuple(bay._replace(place=PLACES[bay.index % 2]) for bay in room.bays))


def patched(room: Room, rng: Random, cords: int) -> tuple[Session, SlowBay]:
    """A session with so many random cords, one in five of them with a loose end; and the slow model of the same."""
    session, slow = Session(room), SlowBay(room)
    for _ in range(cords):
        jacks = rng.sample([jack.address for jack in room.jacks], 1 if rng.random() < 0.2 else 2)
        action: Action = Plug(tuple(jacks))
        try:
            act(session, action)
        except Refusal:
            continue
        slow.do(action)
    return session, slow


def contacts_graph(slow: SlowBay) -> nx.Graph[int]:
    """All contacts of a room, with an edge for all that joins two of them now."""
    graph: nx.Graph[int] = nx.Graph()
    graph.add_nodes_from(range(2 * len(slow.room.jacks)))
    graph.add_edges_from(slow.edges())
    return graph


def carried_pairs(room: Room) -> dict[tuple[int, int], str]:
    """Inputs and the outputs that gear takes their signal to, each with its condition; '' where there is none."""
    pairs: dict[tuple[int, int], str] = {}
    for gear in room.gear:
        ins = [p for p in gear.ports if room.ports[p].kind.way == "in"]
        outs = [p for p in gear.ports if room.ports[p].kind.way == "out"]
        for way in [(i, o) for i in ins for o in outs]:
            for inputs, outputs, condition in gear.ways:
                if way[0] in inputs and way[1] in outputs:
                    pairs[way] = condition
            if gear.through is True or (gear.through is not False and way in gear.through):
                pairs[way] = ""
    return pairs


def random_told(room: Room, rng: Random) -> dict[int, dict[int, bool]]:
    """Some of the ways that hang on a condition, told to pass or not."""
    told: dict[int, dict[int, bool]] = {}
    for (into, out), condition in carried_pairs(room).items():
        if condition and rng.random() < 0.5:
            told.setdefault(into, {})[out] = rng.random() < 0.5
    return told


def flow_graph(slow: SlowBay, told: Settings = NOTHING_TOLD) -> nx.DiGraph[int]:
    """Ports, with an edge from each output to the inputs of its net, and from each input to the outputs it is carried to.

    An edge's ``condition`` is that of its way inside gear, '' where what is told makes it certain.
    """
    room = slow.room
    graph: nx.DiGraph[int] = nx.DiGraph()
    graph.add_nodes_from(port.index for port in room.ports)
    for (into, out), condition in carried_pairs(room).items():
        known = told.get(into, {}).get(out) if condition else None
        if known is not False:
            graph.add_edge(into, out, condition="" if known else condition)
    for net in nx.connected_components(contacts_graph(slow)):
        ports = {room.jacks[c // 2].port for c in net if c % 2 == 0} - {NO_PORT}
        outs = {p for p in ports if room.ports[p].kind.way == "out"}
        graph.add_edges_from(((o, i) for o in outs for i in ports - outs), condition="")
    return graph


def conditions(graph: nx.DiGraph[Any]) -> list[tuple[Any, Any, str]]:
    """The ways of a graph of flow, each with the condition on which it hangs."""
    return [(a, b, hangs) for a, b, hangs in list[Any](graph.edges(data="condition"))]
