"""One plug and one pull with all their warnings: in a room of 1,000 jacks, and in one of 1,000,000.

    python -m tests.bench.engine_speed [--small N] [--large N] [--rounds N]

Both rooms hold the same cords and the same phantom supplies to the studio, and the same kinds of cord are plugged, in
the same order, in studios drawn at random; each is pulled again. Measured from the action to the finished change. The
rooms take turns. "Anywhere" goes over the whole room, so that little of the large one is in the processor's cache when
it is needed; "in one studio" works where one crew would.
"""

from __future__ import annotations

import argparse
import gc
import random
import statistics
import sys
import time
from collections import Counter
from collections.abc import Iterator, Sequence
from typing import NamedTuple

from model.bay.actions import Phantom, Plug, Pull
from model.bay.refusals import Refusal
from model.live.change import Change
from model.live.patch import Patch
from tests.bench.table import Figure, report
from tests.generated import HOUSE_PATCH, JACKS_A_STUDIO, generated_room

BAR_US, BAR_RATIO = 150.0, 1.3
STANDING_PHANTOM = ("Pre 1 in", "Pre 2 in", "Pre 5 in", "Pre 9 in")

# Cords that an assistant plugs, mistakes among them; for each plug one of the jacks of (row, points).
KINDS_OF_CORD: dict[str, tuple[tuple[str, Sequence[int]], ...]] = {
    "preamplifier to outboard": (("A", range(13, 25)), ("D", range(1, 9))),
    "outboard to desk": (("C", range(1, 9)), ("B", range(25, 37))),
    "microphone to another preamplifier": (("A", range(1, 13)), ("B", range(1, 13))),
    "insert to a tie line": (("A", range(37, 45)), ("C", range(29, 37))),
    "tie line to an insert": (("D", range(29, 37)), ("B", range(37, 45))),
    "recorder to a mult": (("A", range(25, 37)), ("C", range(37, 41))),
    "mult to phones": (("C", range(37, 41)), ("D", range(21, 25))),
    "mix to deck": (("C", range(45, 47)), ("D", range(45, 47))),
    "outboard looped back": (("C", range(1, 9)), ("D", range(1, 9))),
    "loose end": (("B", range(25, 37)),),
    "microphone to two preamplifiers": (("A", range(1, 13)), ("B", range(1, 7)), ("B", range(7, 13))),
    "two outputs joined": (("A", range(13, 25)), ("A", range(25, 37))),
    "phantom to outboard": (("B", (1, 2, 5, 9)), ("C", range(1, 9))),
    "digital to outboard": (("A", range(47, 48)), ("D", range(1, 9))),
}


class Round(NamedTuple):
    """One cord: which studio (as a part of all), and which jacks of it."""

    studio: float
    jacks: tuple[tuple[str, int], ...]

    def plug(self, studios: int) -> Plug:
        """The action in a room of so many studios."""
        number = int(self.studio * studios) + 1
        return Plug(tuple(f"S{number}{row}{point}" for row, point in self.jacks))


class Times(NamedTuple):
    """Microseconds."""

    plug: list[float]
    pull: list[float]


def rounds(count: int, seed: int) -> list[Round]:
    """Cords in random studios, every kind as often as every other."""
    rng = random.Random(seed)
    kinds = list(KINDS_OF_CORD.values())
    return [
        Round(rng.random(), tuple((row, rng.choice(points)) for row, points in kinds[turn % len(kinds)]))
        for turn in range(count)
    ]


def patched(jacks: int) -> tuple[Patch, int]:
    """A room with its house patch and some phantom on in every studio, and its number of studios."""
    patch = Patch.of_room(generated_room(jacks))
    studios = jacks // JACKS_A_STUDIO
    for number in range(1, studios + 1):
        for cord in HOUSE_PATCH:
            patch = patch.do(Plug(tuple(f"S{number}{row}{point}" for row, point in cord))).patch
        for port in STANDING_PHANTOM:
            patch = patch.do(Phantom(f"S{number} {port}", True)).patch
    return patch, studios


def play(patch: Patch, studios: int, cord: Round, times: Times) -> Change | None:
    """Plug one cord and pull it; what the plug changed, or None where a jack was taken."""
    plug = cord.plug(studios)
    pull = Pull(patch.state.lowest_free_number())
    try:
        began = time.perf_counter_ns()
        plugged_patch, change, _ = patch.do(plug)
        plugged = time.perf_counter_ns()
    except Refusal:
        return None
    pulling = time.perf_counter_ns()
    plugged_patch.do(pull)
    times.pull.append((time.perf_counter_ns() - pulling) / 1000)
    times.plug.append((plugged - began) / 1000)
    return change


def compared(small: int, large: int, where: str, times: list[Times]) -> Iterator[Figure]:
    """The figures of both rooms."""
    for name in Times._fields:
        in_small, in_large = (getattr(one, name) for one in times)
        median = statistics.median(in_small)
        yield Figure(f"{name}, {small} jacks, {where}", median, "us", bar=BAR_US)
        yield Figure(f"{name}, the slowest 5 of 100 over", statistics.quantiles(in_small, n=20)[-1], "us")
        yield Figure(f"{name}, {large} jacks, {where}", statistics.median(in_large), "us", median, BAR_RATIO)


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--small", type=int, default=1000)
    parser.add_argument("--large", type=int, default=1_000_000)
    parser.add_argument("--rounds", type=int, default=4000)
    options = parser.parse_args()

    gc.disable()
    rooms = []
    for jacks in (options.small, options.large):
        began = time.perf_counter()
        rooms.append(patched(jacks))
        print(f"{jacks} jacks made and patched in {time.perf_counter() - began:.1f} s", file=sys.stderr)
    gc.enable()
    gc.freeze()  # as the screen does once it is up

    figures: list[Figure] = []
    for where, one_studio in (("anywhere", False), ("in one studio", True)):
        times = [Times([], []), Times([], [])]
        raised: Counter[str] = Counter()
        for cord in rounds(options.rounds, seed=7):
            here = cord._replace(studio=0.5) if one_studio else cord
            small, large = (play(*room, here, into) for room, into in zip(rooms, times, strict=True))
            if small is None or large is None:
                assert small is large, f"a jack is taken in one room and free in the other: {cord}"
                continue
            rules = [sorted(warning.rule for warning in change.raised) for change in (small, large)]
            assert rules[0] == rules[1], f"the rooms do not warn alike of {cord}: {rules}"
            raised.update(rules[0])
        print(f"{where}: {len(times[0].plug)} cords plugged and pulled, which raised {dict(raised)}", file=sys.stderr)
        figures += compared(options.small, options.large, where, times)
    return report("Engine: medians", figures)


if __name__ == "__main__":
    sys.exit(main())
