"""Options of the test run."""

import os
import tempfile

import pytest

# No test writes into the state directory of whoever runs it, nor does a program that a test starts.
os.environ["XDG_STATE_HOME"] = tempfile.mkdtemp(prefix="bayhand-tests-")


def pytest_addoption(parser: pytest.Parser) -> None:
    """`pytest --renew-pictures` writes the pictures of the screen anew; look at each before it is committed."""
    parser.addoption(
        "--renew-pictures", action="store_true", help="write tests/pictures/*.svg anew instead of comparing with them"
    )
