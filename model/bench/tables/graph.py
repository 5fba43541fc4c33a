"""The wiring as a graph for other programs: GraphML or node-link JSON, both written by networkx.

Nodes are gear, ports, jacks, mults and tie lines, named by what they are and their name: ``gear:Pre 4``, ``port:Pre 4 in``,
``jack:A5``. Edges say by ``joins`` what they are: a port within its gear (``part``), a port wired to a jack (``rear``), signal
carried inside gear (``through``), a normal, a tie line, a jack of a mult.
"""

from __future__ import annotations

import io
import json
from collections.abc import Callable
from typing import TYPE_CHECKING, Any

from model.bench.tables.table import SIDES
from model.bench.written.figures import stated
from model.room.wiring import NO_PORT, Room

if TYPE_CHECKING:
    import networkx as nx

PART, REAR, THROUGH, NORMAL, TIE, MULT = "part", "rear", "through", "normal", "tie", "mult"


def wiring_graph(room: Room) -> nx.MultiDiGraph[str]:
    """The room as a directed graph; what has no direction (a tie line, a mult) is directed as the room file lists it."""
    import networkx as nx  # takes a tenth of a second: not before there is something to write

    graph: nx.MultiDiGraph[str] = nx.MultiDiGraph(room=room.name)
    for gear in room.gear:
        graph.add_node(f"gear:{gear.name}", is_a="gear", through="some" if gear.ways else _through(gear.through))
    for port in room.ports:
        node, machine = f"port:{port.name}", room.gear[port.gear].name
        graph.add_node(node, is_a="port", own=port.own, kind=port.kind.name, **dict(stated(port)))
        graph.add_edge(f"gear:{machine}", node, joins=PART)
        if not port.kind.is_output:
            for out in room.carried(port.index):
                when = room.condition(port.index, out) or "always"
                graph.add_edge(node, f"port:{room.ports[out].name}", joins=THROUGH, when=when)
    for bay in room.bays:
        for number, row in enumerate(room.rows[each] for each in bay.rows):
            for jack in room.jacks[row.first : row.first + row.points]:
                node = f"jack:{jack.address}"
                place = {"place": bay.place} if bay.place else {}
                graph.add_node(node, is_a="jack", bay=bay.name, side=SIDES[number], **place)
                if jack.port != NO_PORT:
                    port = room.ports[jack.port]
                    ends = (f"port:{port.name}", node)
                    graph.add_edge(*(ends if port.kind.is_output else ends[::-1]), joins=REAR)
    for normal in room.normals:
        ends = (f"jack:{room.jacks[normal.top].address}", f"jack:{room.jacks[normal.bottom].address}")
        graph.add_edge(*ends, joins=NORMAL, kind=normal.kind, cross=normal.cross)
    for tie in room.ties:
        a, b = (f"jack:{room.jacks[jack].address}" for jack in (tie.a, tie.b))
        graph.add_edge(a, b, joins=TIE, name=tie.name, metres=float(tie.metres), kind=tie.kind)
    for mult in room.mults:
        graph.add_node(f"mult:{mult.name}", is_a="mult")
        for member in mult.jacks:
            graph.add_edge(f"mult:{mult.name}", f"jack:{room.jacks[member].address}", joins=MULT)
    return graph


def _through(through: Any) -> str:
    """Whether gear carries each input to each output, none, or some: which is told by edges."""
    return {True: "yes", False: "no"}[through] if isinstance(through, bool) else "some"


def as_graphml(room: Room) -> str:
    """GraphML, which networkx and most programs for graphs read."""
    import networkx as nx

    out = io.BytesIO()
    nx.write_graphml_xml(wiring_graph(room), out, prettyprint=False)
    return out.getvalue().decode("utf-8") + "\n"


def as_json(room: Room) -> str:
    """Node-link JSON: nodes with ``id``, edges with ``source`` and ``target``."""
    import networkx as nx

    return json.dumps(nx.node_link_data(wiring_graph(room), edges="edges"), ensure_ascii=False) + "\n"


WRITERS: dict[str, Callable[[Room], str]] = {"graphml": as_graphml, "json": as_json}
