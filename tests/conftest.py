"""Options of the test run."""

import os
import tempfile

import pytest

# No test writes into the state directory of whoever runs it, nor does a program that a test starts.
os.environ["XDG_STATE_HOME"] = tempfile.mkdtemp(prefix="bayhand-tests-")


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
