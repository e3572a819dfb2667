"""Switches for the whole test run."""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings

# No test may depend on how fast a machine is, nor a change be refused for another's bad luck: the
# same examples are drawn each time, unless someone goes looking for others.
settings.register_profile(
    "steady",
    deadline=None,
    derandomize="EXPLORE" not in os.environ,
    suppress_health_check=list(HealthCheck),
)
settings.load_profile("steady")

GOLDEN = Path(__file__).parent / "golden"


def pytest_addoption(parser):
    parser.addoption(
        "--refresh-golden",
        action="store_true",
        help="write the golden files anew instead of comparing with them",
    )


@pytest.fixture
def golden(request):
    """Compare text with a golden file, or write it anew under --refresh-golden."""

    def compare(name: str, text: str) -> None:
        path = GOLDEN / name
        if request.config.getoption("--refresh-golden"):
            path.parent.mkdir(exist_ok=True)
            path.write_text(text, encoding="utf-8", newline="\n")
        assert path.exists(), f"no golden file {name}; write it with --refresh-golden"
        assert text == path.read_text(encoding="utf-8"), (
            f"{name} differs; look at the drawing, then refresh with --refresh-golden"
        )

    return compare
