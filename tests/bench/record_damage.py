"""Damaged files: how many records are whole, how many tell what is missing, and whether any is silently otherwise.

python -m tests.bench.record_damage [--files N] [--seed N]
"""

from __future__ import annotations

import argparse
import sys
import tempfile
import traceback
from collections import Counter
from pathlib import Path
from random import Random

from tests.record_damage import damage, evening, judged, laid_out
from tests.test_logbook import EVENING


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--files", type=int, default=5000)
    parser.add_argument("--seed", type=int, default=1)
    options = parser.parse_args()
    rng = Random(options.seed)
    counts: Counter[str] = Counter()
    with tempfile.TemporaryDirectory() as scratch:
        lines = [*EVENING, *(f"note {number} {'x' * 60}" for number in range(80)), "plug a1", "plug a2"]
        evenings = [
            evening(Path(scratch) / "e", lines),
            evening(Path(scratch) / "e", lines, fold_after=40),
            evening(Path(scratch) / "e", lines, close=True),
        ]
        for number in range(options.files):
            one = rng.choice(evenings)
            what, changed = damage(rng, one.files)
            place = laid_out(one, Path(scratch) / "d", **changed)
            try:
                verdict, _ = judged(one, place)
            except Exception:
                verdict = "TRACEBACK"
                traceback.print_exc()
            counts[verdict] += 1
            if verdict.isupper():
                print(f"file {number}, evening {evenings.index(one)}: {what}: {verdict}", flush=True)
    print(dict(counts))
    return int(bool(counts["SILENT"] or counts["TRACEBACK"]))


if __name__ == "__main__":
    sys.exit(main())
