"""Shares work among processes."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from concurrent.futures import ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from multiprocessing import get_context
from typing import TypeVar

__all__ = ["Crew", "Watch"]

Task = TypeVar("Task")
Result = TypeVar("Result")
Watch = Callable[[str, int, int], None]
"""Told, as work goes on: what is done, how many of it, of how many."""


class Crew:
    """Processes that share work; a single one works here. Where processes can not be started the work is done here too."""

    def __init__(self, workers: int, watch: Watch | None) -> None:
        self._workers = workers
        self._watch = watch or (lambda _what, _done, _of: None)
        self._pool = ProcessPoolExecutor(workers, mp_context=get_context("spawn")) if workers > 1 else None

    def __enter__(self) -> Crew:
        return self

    def __exit__(self, *_: object) -> None:
        if self._pool is not None:
            self._pool.shutdown(wait=True, cancel_futures=True)

    def map(self, what: str, work: Callable[[Task], Result], tasks: Sequence[Task]) -> list[Result]:
        """Do all tasks and return their results in order."""
        if self._pool is not None and len(tasks) > 1:
            try:
                return self._watched(what, self._pool.map(work, tasks, chunksize=1 + len(tasks) // (8 * self._workers)), len(tasks))
            except (BrokenProcessPool, OSError):
                self._pool = None
        return self._watched(what, map(work, tasks), len(tasks))

    def _watched(self, what: str, results: Iterable[Result], of: int) -> list[Result]:
        found = []
        for result in results:
            found.append(result)
            self._watch(what, len(found), of)
        return found
