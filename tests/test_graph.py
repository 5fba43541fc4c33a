"""The wiring as a graph: GraphML read back by networkx, and node-link JSON, equal the wiring (takes 1 s)."""

import io
import json
from pathlib import Path
from random import Random
from typing import Any

import networkx as nx
import pytest

from model.bench.tables.graph import WRITERS
from model.room.file import read_room
from model.room.wiring import NO_PORT, Room
from tests.writable_rooms import writable_room

SHIPPED = sorted(Path("rooms").glob("*.yaml"))


def from_graphml(text: str) -> Any:
    return nx.read_graphml(io.BytesIO(text.encode()), force_multigraph=True)


def from_json(text: str) -> Any:
    return nx.node_link_graph(json.loads(text), edges="edges")


READERS = {"graphml": from_graphml, "json": from_json}


def edges(graph: Any, joins: str, *keys: str) -> set[tuple[Any, ...]]:
    """The edges of one kind, with some of what they say."""
    return {
        (source, target, *(data[key] for key in keys))
        for source, target, data in graph.edges(data=True)
        if data["joins"] == joins
    }


def check(room: Room, graph: Any) -> None:
    """All of the wiring stands in the graph, and nothing else."""
    jack = [f"jack:{each.address}" for each in room.jacks]
    port = [f"port:{each.name}" for each in room.ports]
    gear = [f"gear:{each.name}" for each in room.gear]
    assert set(graph.nodes) == {*jack, *port, *gear, *(f"mult:{each.name}" for each in room.mults)}
    assert edges(graph, "part") == {(gear[each.gear], port[each.index]) for each in room.ports}
    rear = {
        (port[each.port], jack[each.index])[:: 1 if room.ports[each.port].kind.is_output else -1]
        for each in room.jacks
        if each.port != NO_PORT
    }
    assert edges(graph, "rear") == rear
    assert edges(graph, "normal", "kind", "cross") == {
        (jack[each.top], jack[each.bottom], each.kind, each.cross) for each in room.normals
    }
    assert edges(graph, "tie", "name", "metres") == {
        (jack[each.a], jack[each.b], each.name, each.metres) for each in room.ties
    }
    assert edges(graph, "mult") == {(f"mult:{each.name}", jack[member]) for each in room.mults for member in each.jacks}
    assert edges(graph, "through") == {
        (port[each.index], port[out])
        for each in room.ports
        if not each.kind.is_output
        for out in room.carried(each.index)
    }
    assert graph.number_of_edges() == sum(
        (
            len(room.ports),
            len(rear),
            len(room.normals),
            len(room.ties),
            sum(len(each.jacks) for each in room.mults),
            len(edges(graph, "through")),
        )
    )
    for each in room.ports:
        assert (graph.nodes[port[each.index]]["kind"], graph.nodes[port[each.index]]["own"]) == (
            each.kind.name,
            each.own,
        )
    assert graph.graph["room"] == room.name


@pytest.mark.parametrize("form", WRITERS)
@pytest.mark.parametrize("path", SHIPPED, ids=lambda path: path.stem)
def test_a_shipped_room_is_read_back(path: Path, form: str) -> None:
    room = read_room(path)
    check(room, READERS[form](WRITERS[form](room)))


@pytest.mark.parametrize("form", WRITERS)
@pytest.mark.parametrize("seed", range(20))
def test_random_rooms_are_read_back(seed: int, form: str) -> None:
    room = writable_room(Random(seed), points=4 + seed % 3)
    check(room, READERS[form](WRITERS[form](room)))
