"""Options of the test run."""

import pytest


def pytest_addoption(parser: pytest.Parser) -> None:
    """`pytest --renew-pictures` writes the pictures of the screen anew; look at each before it is committed."""
    parser.addoption(
        "--renew-pictures", action="store_true", help="write tests/pictures/*.svg anew instead of comparing with them"
    )
