"""Options of the test run."""

import os
import tempfile

import pytest
from textual import _wait

# No test writes into the state directory of whoever runs it, nor does a program that a test starts.
os.environ["XDG_STATE_HOME"] = tempfile.mkdtemp(prefix="bayhand-tests-")

# How long a Pilot sleeps before it looks whether the screen is at rest, and how little it must have worked meanwhile:
# Textual sleeps 20 ms, several times a key. A private name, so a Textual without it must fail here.
assert _wait.SLEEP_GRANULARITY == 0.02
_wait.SLEEP_GRANULARITY = 0.002
_wait.SLEEP_IDLE = 0.0003


def pytest_addoption(parser: pytest.Parser) -> None:
    """`pytest --renew-pictures`, `--renew-golden`: write what is compared with anew; look at each before it is committed."""
    parser.addoption(
        "--renew-pictures", action="store_true", help="write tests/pictures/*.svg anew instead of comparing with them"
    )
    parser.addoption(
        "--renew-golden",
        action="store_true",
        help="store the answers of tests/golden anew instead of comparing with them",
    )
