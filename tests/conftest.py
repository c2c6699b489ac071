"""What every test may use, and which tests are left out where a browser is missing."""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from hypothesis import settings

from benchmarks.opening import browser_missing

# A busy machine is no failure. Where a change is judged, the same examples are tried on every run.
settings.register_profile("house", deadline=None, derandomize=os.environ.get("CI") == "true")
settings.load_profile("house")

HOUSE = Path(__file__).parent.parent


@pytest.fixture(scope="session")
def house() -> Path:
    """Return the folder of the checkout."""
    return HOUSE


@pytest.fixture(scope="session")
def samples(house: Path) -> Path:
    """Return the folder of sample job files."""
    return house / "samples"


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    missing = browser_missing()
    if not missing or os.environ.get("CAMTOOLS_BROWSER") == "required":
        return
    for item in items:
        if item.get_closest_marker("browser"):
            item.add_marker(pytest.mark.skip(reason=f"{missing}; `.ci/run` installs it"))
