"""What every test may use, and which tests are left out where a browser is missing."""

from __future__ import annotations

import os
import pickle
from collections.abc import Callable, Iterator, Sequence
from hashlib import sha256
from pathlib import Path
from typing import Any, ClassVar

import pytest
from hypothesis import settings

from benchmarks.opening import browser_missing
from camtools.crew import Crew, Watch
from camtools.verify import checking
from camtools.wording import units_told

# A busy machine is no failure. Where a change is judged, the same examples are tried on every run.
settings.register_profile("house", deadline=None, derandomize=os.environ.get("CI") == "true")
settings.load_profile("house")

HOUSE = Path(__file__).parent.parent
MOST_KEPT = 600  # results of steps of checks


@pytest.fixture(scope="session")
def house() -> Path:
    """Return the folder of the checkout."""
    return HOUSE


@pytest.fixture(scope="session")
def samples(house: Path) -> Path:
    """Return the folder of sample job files."""
    return house / "samples"


class OnceOnly(Crew):
    """A crew that works alone, and does no work twice: tests spoil a line of a packet, and most of the rest is the same to the last bit."""

    made: ClassVar[dict[bytes, Any]] = {}

    def __init__(self, workers: int, watch: Watch | None = None) -> None:
        super().__init__(workers, watch)
        self._alone = workers == 1

    def map(self, what: str, work: Callable[[Any], Any], tasks: Sequence[Any]) -> list[Any]:
        def once(task: Any) -> Any:
            key = sha256(pickle.dumps((work.__module__, work.__qualname__, units_told(), task))).digest()
            if key not in self.made and len(self.made) == MOST_KEPT:
                del self.made[next(iter(self.made))]  # what was not asked for longest
            self.made[key] = self.made.pop(key) if key in self.made else work(task)
            return self.made[key]

        return super().map(what, once if self._alone else work, tasks)


@pytest.fixture(scope="session", autouse=True)
def _check_alone_and_once() -> Iterator[None]:
    """Let a check that is not told how many processes it may start work alone: tests that run side by side keep the processors busy."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(checking, "Crew", OnceOnly)
        patch.setattr(os, "cpu_count", lambda: 1)
        yield


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    missing = browser_missing()
    if not missing or os.environ.get("CAMTOOLS_BROWSER") == "required":
        return
    for item in items:
        if item.get_closest_marker("browser"):
            item.add_marker(pytest.mark.skip(reason=f"{missing}; `.ci/run` installs it"))
