"""``pytest tests/project --record`` pastes what the commands of the README now say into it."""

import os

import pytest


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption(
        "--record",
        action="store_true",
        help="paste the real output of its commands into README.md",
    )


@pytest.fixture(scope="session")
def recording(request: pytest.FixtureRequest) -> bool:
    """True when the README is to be written anew; never where CI is set."""
    asked = bool(request.config.getoption("--record", default=False))
    if asked and "CI" in os.environ:
        pytest.fail("the README is recorded by people, who read the difference; CI is set")
    return asked
