"""Trace, why, route and around: on the facility room with its house patch, and on a generated room of 100,000 jacks.

    python -m tests.bench.way_speed [--jacks N] [--questions N]

Each is measured from the question, as it was read, to its answer in words and JSON, in random places of the room. The
first use of networkx, which loads it, is told apart. Medians and the worst of all questions.
"""

from __future__ import annotations

import argparse
import gc
import random
import statistics
import sys
import time
from collections.abc import Iterator

from model.bay.actions import Plug
from model.bay.refusals import Refusal
from model.entry.entry import Entry
from model.room.file import read_room
from model.room.wiring import Room
from model.session import Session
from model.way.around import GoAround
from model.way.route import Route
from model.way.trace_line import ShowTrace
from model.way.why import Why
from tests.bench.rooms import FACILITY
from tests.bench.table import Figure, report
from tests.generated import generated_room
from tests.said import act

# Bars of our own. A line's answer is there at once; what stands in for dead gear is looked for among all gear of the room.
MEDIAN_MS, WORST_MS = 50.0, 1000.0
AROUND_MEDIAN_MS = 250.0


def opened(room: Room, cords: int, rng: random.Random) -> Session:
    """A session with the house patch and some random cords of the place that they are in."""
    session = Session(room)
    for line in session.house_entries()[:2000]:
        session.enter(line)
    by_place: dict[str, list[str]] = {}
    for jack in room.jacks:
        by_place.setdefault(session.places.place_of(jack.index), []).append(jack.address)
    places = [place for place in by_place if len(by_place[place]) > 1]
    for _ in range(cords):
        try:
            act(session, Plug(tuple(rng.sample(by_place[rng.choice(places)], 2))))
        except Refusal:
            continue
    return session


def questions(session: Session, count: int, rng: random.Random) -> Iterator[tuple[str, Entry]]:
    """Questions about random ports; routes within a place and between places in equal parts."""
    room = session.room
    at_jacks = [port for port in room.ports if room.jacks_of_port[port.index]]
    outs = [port for port in at_jacks if port.kind.is_output and port.kind.family == "line"]
    ins = [port for port in at_jacks if not port.kind.is_output and port.kind.family == "line"]
    place = {port.index: session.places.place_of(room.jacks_of_port[port.index][0]) for port in at_jacks}
    near: dict[str, list[str]] = {}
    for port in ins:
        near.setdefault(place[port.index], []).append(port.name)
    for _ in range(count):
        yield "trace", ShowTrace(rng.choice(at_jacks).name)
        yield "why", Why(rng.choice(at_jacks).name)
        source = rng.choice(outs)
        here = near.get(place[source.index])
        if here:
            yield "route in one place", Route(source.name, rng.choice(here))
        elsewhere = rng.choice(ins)
        if place[elsewhere.index] != place[source.index]:
            yield "route to any place", Route(source.name, elsewhere.name)
        yield "around", GoAround(room.gear[rng.choice(at_jacks).gear].name)


def measured(title: str, session: Session, count: int, rng: random.Random) -> Iterator[Figure]:
    """The medians and the worst of each kind of question."""
    times: dict[str, list[float]] = {}
    found: dict[str, int] = {}
    worst: dict[str, tuple[float, str]] = {}
    for kind, question in questions(session, count, rng):
        began = time.perf_counter_ns()
        try:
            answer = question.run(session.draft())
        except Refusal:
            continue
        took = (time.perf_counter_ns() - began) / 1e6
        times.setdefault(kind, []).append(took)
        found[kind] = found.get(kind, 0) + bool(answer.extra.get("proposals"))
        worst[kind] = max(worst.get(kind, (0.0, "")), (took, str(question)))
    for kind, taken in times.items():
        asked = f"{len(taken)} asked" + (f", {found[kind]} with proposals" if found[kind] else "")
        print(f"{title}: {kind}: {asked}; worst: {worst[kind][1]}", file=sys.stderr)
        bar = AROUND_MEDIAN_MS if kind == "around" else MEDIAN_MS
        yield Figure(f"{kind}, median, {title}", statistics.median(taken), "ms", bar=bar)
        yield Figure(f"{kind}, worst, {title}", max(taken), "ms", bar=WORST_MS)


def main() -> int:
    """Measure, and print the table."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--jacks", type=int, default=100_000)
    parser.add_argument("--questions", type=int, default=200)
    options = parser.parse_args()
    began = time.perf_counter()
    import networkx  # noqa: F401 - told apart from the questions

    figures = [Figure("networkx loaded", (time.perf_counter() - began) * 1000, "ms")]
    for title, room in (
        ("facility", read_room(FACILITY)),
        (f"{options.jacks} jacks", generated_room(options.jacks)),
    ):
        rng = random.Random(11)
        began = time.perf_counter()
        session = opened(room, min(400, len(room.jacks) // 20), rng)
        session.warm()
        print(f"{title}: opened in {time.perf_counter() - began:.1f} s", file=sys.stderr)
        gc.collect()
        gc.freeze()
        figures += measured(title, session, options.questions, rng)
    return report("Finding the way", figures)


if __name__ == "__main__":
    sys.exit(main())
