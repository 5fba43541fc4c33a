"""How long the bench's papers take for a facility, as processor time. `python -m tests.bench.bench_speed`."""

from __future__ import annotations

import json
import time
from collections.abc import Callable
from random import Random

from model.bench.diagnosis import find_faults
from model.bench.order import as_json as order_json
from model.bench.order import first_wiring, make_order
from model.bench.pages.normals_sheet import normals_text
from model.bench.pages.order_html import order_html
from model.bench.pages.order_text import order_text
from model.bench.pages.proof_pages import proof_csv, proof_html, proof_text
from model.bench.pairs import kinds_of
from model.bench.plan import with_kinds
from model.bench.proof import as_json, make_proof
from model.bench.results import Reading
from model.bench.survey import survey
from tests.bench.table import Figure, report
from tests.generated import generated_room

JACKS = 10_000


def seconds(work: Callable[[], object]) -> float:
    """The processor time of the best of three."""
    best = float("inf")
    for _ in range(3):
        start = time.process_time()
        work()
        best = min(best, time.process_time() - start)
    return best


def main() -> int:
    """Print a table; each under a second."""
    room = generated_room(JACKS)
    rng = Random(1)
    changed = with_kinds(room, {jacks: rng.choice(("full", "half", "none")) for jacks in kinds_of(room)})
    first = make_order(first_wiring(room), room)
    again = make_order(room, changed)
    trials = make_proof(room)
    results = {trial: Reading(1, trial.expected) for trial in trials}
    rows = [
        Figure(name, seconds(work), "s", bar=1.0)
        for name, work in (
            ("order, first wiring", lambda: make_order(first_wiring(room), room)),
            ("order, from one to another", lambda: make_order(room, changed)),
            ("order as json", lambda: json.dumps(order_json(again))),
            ("order as html", lambda: order_html(first, "")),
            ("order as text", lambda: order_text(first, "")),
            ("normals", lambda: normals_text(room, survey(room))),
            ("proof", lambda: make_proof(room)),
            ("proof as json", lambda: [json.dumps(told) for told in as_json(room, trials)]),
            ("proof as html", lambda: proof_html(room, trials, "")),
            ("proof as text", lambda: proof_text(room, trials, "")),
            ("proof as csv", lambda: proof_csv(room, trials)),
            ("results of the proof", lambda: find_faults(room, results)),
        )
    ]
    title = f"{JACKS} jacks, {len(first.steps)} steps of the order, {len(trials)} tests of the proof"
    return report(title, rows)


if __name__ == "__main__":
    raise SystemExit(main())
