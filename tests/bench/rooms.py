"""The rooms and the command that the scripts here use."""

from __future__ import annotations

import sys
from pathlib import Path

ROOT = Path(__file__).parents[2]
STUDIO = ROOT / "rooms" / "kelpfield.yaml"
FACILITY = ROOT / "rooms" / "orrery.yaml"

COMMAND = (sys.executable, "-m", "tui")
BARE = (sys.executable, "-m", "tests.bench.bare_app")
