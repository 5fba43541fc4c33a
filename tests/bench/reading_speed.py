"""Reading room files: the studio beside what PyYAML needs for the same text, and generated rooms of 100,000 jacks.

    python -m tests.bench.reading_speed [ROOM] [--jacks N] [--rounds N]

Large rooms are read by a process of their own each; its memory is the kernel's own high mark of resident pages.
"""

from __future__ import annotations

import argparse
import json
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

import yaml

from model.room.file import read_room
from tests.bench.generated_text import generated_text
from tests.bench.rooms import ROOT, STUDIO
from tests.bench.table import Figure, report

BAR_RATIO, BAR_SECONDS, BAR_MB = 3.0, 3.0, 300.0

# VmHWM and not getrusage: a process takes over the high mark that its parent had before it became another program.
READ_ONE = """
import json, sys, time
from pathlib import Path
from model.room.file import read_room
began = time.perf_counter()
room = read_room(Path(sys.argv[1]))
seconds = time.perf_counter() - began
peak = next(line for line in Path("/proc/self/status").read_text().splitlines() if line.startswith("VmHWM"))
print(json.dumps({"seconds": seconds, "mb": int(peak.split()[1]) / 1024, "jacks": len(room.jacks)}))
"""


def milliseconds(call: Callable[[], object]) -> float:
    """How long a call takes."""
    began = time.perf_counter()
    call()
    return (time.perf_counter() - began) * 1000


def beside_pyyaml(path: Path, rounds: int) -> Figure:
    """Reading a room from its file, and building the same text's plain tree with libyaml, in turns."""
    text = path.read_text(encoding="utf-8")
    ours, theirs = [], []
    for _ in range(rounds):
        theirs.append(milliseconds(lambda: yaml.load(text, yaml.CSafeLoader)))
        ours.append(milliseconds(lambda: read_room(path)))
    return Figure(f"reading {path.name}", statistics.median(ours), "ms", statistics.median(theirs), BAR_RATIO)


def large(jacks: int, one_line_each: bool, folder: Path) -> list[Figure]:
    """Reading a generated room in a process of its own."""
    path = folder / "large.yaml"
    text = generated_text(jacks, one_line_each=one_line_each)
    path.write_text(text, encoding="utf-8")
    command = [sys.executable, "-c", READ_ONE, str(path)]
    result = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False)
    if result.returncode:
        raise SystemExit(f"the generated room could not be read:\n{result.stderr[-2000:]}")
    read = json.loads(result.stdout)
    if read["jacks"] != jacks:
        raise SystemExit(f"the generated room has {jacks} jacks; {read['jacks']} were read")
    how = f"{jacks} jacks, {'one line each' if one_line_each else 'ranges'}, {len(text) / 1e6:.1f} MB"
    return [
        Figure(f"reading {how}", read["seconds"], "s", bar=BAR_SECONDS),
        Figure("  its memory, whole process", read["mb"], "MB", bar=BAR_MB),
    ]


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("room", nargs="?", type=Path, default=STUDIO)
    parser.add_argument("--jacks", type=int, default=100_000)
    parser.add_argument("--rounds", type=int, default=31)
    options = parser.parse_args()
    figures = [beside_pyyaml(options.room, options.rounds)]
    if "networkx" in sys.modules:
        raise SystemExit("reading a room loaded networkx, which no reader needs")
    with tempfile.TemporaryDirectory() as folder:
        for one_line_each in (False, True):
            figures += large(options.jacks, one_line_each, Path(folder))
    return report("Reading room files: medians", figures)


if __name__ == "__main__":
    sys.exit(main())
