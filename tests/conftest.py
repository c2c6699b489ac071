"""What every test may use, and which tests are left out where a browser is missing."""

from __future__ import annotations

import os
import pickle
from collections.abc import Iterator
from hashlib import sha256
from pathlib import Path

import pytest
from hypothesis import settings

from benchmarks.opening import browser_missing
from camtools.verify import checking

# A busy machine is no failure. Where a change is judged, the same examples are tried on every run.
settings.register_profile("house", deadline=None, derandomize=os.environ.get("CI") == "true")
settings.load_profile("house")

HOUSE = Path(__file__).parent.parent
MOST_CARVED = 400  # boards kept at once


@pytest.fixture(scope="session")
def house() -> Path:
    """Return the folder of the checkout."""
    return HOUSE


@pytest.fixture(scope="session")
def samples(house: Path) -> Path:
    """Return the folder of sample job files."""
    return house / "samples"


@pytest.fixture(scope="session", autouse=True)
def _carve_equal_boards_once() -> Iterator[None]:
    """Keep what a check carves: tests spoil one board of a packet, and the others are the same to the last bit."""
    carve = checking.carve
    carved: dict[bytes, object] = {}

    def remembered(*arguments: object, **options: object) -> object:
        key = sha256(pickle.dumps((arguments, options))).digest()
        if key not in carved:
            made = carve(*arguments, **options)
            if len(carved) == MOST_CARVED:
                del carved[next(iter(carved))]
            carved[key] = made
        return carved[key]

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(checking, "carve", remembered)
        yield


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    missing = browser_missing()
    if not missing or os.environ.get("CAMTOOLS_BROWSER") == "required":
        return
    for item in items:
        if item.get_closest_marker("browser"):
            item.add_marker(pytest.mark.skip(reason=f"{missing}; `.ci/run` installs it"))
