"""How long tables, papers and comparisons of a facility take: `python -m tests.bench.papers_speed [JACKS]`."""

from __future__ import annotations

import gc
import sys
import time
from collections.abc import Callable

from model.bench.compared.compare_rooms import compare_rooms
from model.bench.strips import draw, strip_page, strips
from model.bench.tables import graph
from model.bench.tables.from_table import from_table
from model.bench.tables.table import as_csv
from model.bench.written.room_writer import write_room
from model.room.file import parse_room
from tests.bench.generated_text import generated_text

JACKS = 10_000


def main() -> None:
    """Print seconds of this processor, and the ratio to reading the room file."""
    import networkx  # noqa: F401  # loading it is no part of what is measured

    gc.disable()
    jacks = int(sys.argv[1]) if len(sys.argv) > 1 else JACKS
    text, other = generated_text(jacks), generated_text(jacks, seed=2)
    room = parse_room(text)
    table = as_csv(room).encode()
    measured: dict[str, Callable[[], object]] = {
        "read the room file": lambda: parse_room(text),
        "write the room file": lambda: write_room(room),
        "table": lambda: as_csv(room),
        "from-table": lambda: from_table(table),
        "strips, html": lambda: strip_page.as_html(room, strips.strips_of(room, room.bays)),
        "draw, html": lambda: draw.as_html(room, room.bays),
        "graph, graphml": lambda: graph.as_graphml(room),
        "graph, json": lambda: graph.as_json(room),
        "compare-rooms": lambda: compare_rooms(room, parse_room(other)),
    }
    base = 0.0
    for name, work in measured.items():
        began = time.process_time()
        work()
        took = time.process_time() - began
        base = base or took
        print(f"{name:<22}{took:7.3f} s{took / base:8.1f}")


if __name__ == "__main__":
    main()
