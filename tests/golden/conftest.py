"""``pytest tests/golden --record-golden`` records anew; read the difference, then commit."""

import os

import pytest


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption(
        "--record-golden",
        action="store_true",
        help="write score.musicxml and report.txt of every golden case as they come out now",
    )


@pytest.fixture
def recording(request: pytest.FixtureRequest) -> bool:
    """True when recordings are to be written; never where CI is set."""
    asked = bool(request.config.getoption("--record-golden", default=False))
    if asked and "CI" in os.environ:
        pytest.fail("recordings are made by people, who read the difference; CI is set")
    return asked
