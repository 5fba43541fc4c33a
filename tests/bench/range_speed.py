"""A range of 48 cords previewed in a room of 10,000 jacks, and an entry that is refused; as many times one cord's preview.

    python -m tests.bench.range_speed [--jacks N] [--rounds N]

The previews take turns, each of another text, so that nothing is remembered from the one before.
"""

from __future__ import annotations

import argparse
import statistics
import time
from collections.abc import Callable

from model.session import Session
from tests.generated import generated_room

FRAME_MS = 16.0
KINDS: dict[str, Callable[[int], str]] = {
    "one cord": lambda turn: f"S{turn}A1 > S{turn}B1",
    "48 cords as a range": lambda turn: f"S{turn}A1-48 > S{turn}B1-48",
    "48 cords already in, refused": lambda turn: f"S1A1-48 > S{turn}B1-48",
    "two names side by side, refused": lambda turn: f"S{turn}A1 S{turn}B1",
}


def main() -> None:
    """Print the medians in ms, and each against one cord's."""
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--jacks", type=int, default=10_000)
    options.add_argument("--rounds", type=int, default=30)
    given = options.parse_args()
    session = Session(generated_room(given.jacks))
    session.warm()
    assert session.enter("S1A1 > S1B1").ok
    times: dict[str, list[float]] = {kind: [] for kind in KINDS}
    for turn in range(2, 2 + given.rounds):
        for kind, text in KINDS.items():
            begin = time.perf_counter()
            outcome = session.preview(text(turn))
            times[kind].append(1000 * (time.perf_counter() - begin))
            assert outcome.ok == ("refused" not in kind), (outcome.typed, outcome.error)
    one = statistics.median(times["one cord"])
    for kind, found in times.items():
        median = statistics.median(found)
        print(f"{kind:34} {median:8.2f} ms  {median / one:6.1f} of one cord  {median / FRAME_MS:5.2f} of a frame")


if __name__ == "__main__":
    main()
