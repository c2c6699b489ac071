"""Shares work among processes, which neither an interrupt nor the script that asked for them can upset."""

from __future__ import annotations

import os
import signal
import sys
import traceback
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager, suppress
from multiprocessing import get_context, resource_tracker
from multiprocessing.connection import Connection, wait
from multiprocessing.process import BaseProcess
from types import ModuleType
from typing import Any, TypeVar, cast

from camtools.wording import told_in, units_told

__all__ = ["Crew", "Watch", "aside"]

Task = TypeVar("Task")
Result = TypeVar("Result")
Watch = Callable[[str, int, int], None]
"""Told, as work goes on: what is done, how many of it, of how many."""


def aside(work: Callable[[Task], Result], task: Task) -> Callable[[], Result]:
    """Start work in a process of its own, which gives way to others; what is returned waits for its result, or raises its fault.

    Nobody waits for it where nobody asks: it ends with this process. With one processor alone, or where no process can be started,
    or where it ends, the work is done here, when it is asked for.
    """
    crew = Crew(os.cpu_count() or 1)
    crew._call(min(crew._wanted, 1))
    with suppress(OSError):
        for pipe in crew._others:
            pipe.send((units_told(), _gently, (work, task)))

    def answer() -> Result:
        answers: list[tuple[Exception | None, Any]] = []
        with crew:
            for pipe in crew._others:
                with suppress(EOFError, OSError):
                    answers.append(pipe.recv())
        for fault, result in answers:
            if fault is not None:
                raise fault
            return cast("Result", result)
        return work(task)

    return answer


def _gently(asked: tuple[Callable[[Task], Result], Task]) -> Result:
    """Do what is asked where others go first, in a process that does nothing else."""
    if hasattr(os, "nice"):
        os.nice(10)
    work, task = asked
    return work(task)


class Crew:
    """Processes that share work; a single one works here. Where processes can not be started, or end, the work is done here too.

    Each has a pipe of its own and nothing in common with the others, so that whichever is stopped at whatever moment, none waits
    for it; and it ends when its pipe does, so that none outlives this process.

    Work is a function of a module that can be imported. The script that is run is not imported again, so it needs no guard.
    """

    def __init__(self, workers: int, watch: Watch | None = None) -> None:
        self._wanted = workers if workers > 1 else 0
        self._watch = watch or (lambda _what, _done, _of: None)
        self._others: dict[Connection, BaseProcess] = {}

    def __enter__(self) -> Crew:
        return self

    def __exit__(self, kind: type[BaseException] | None, *_: object) -> None:
        for process in self._others.values() if kind is not None else ():
            process.terminate()  # nobody waits for what it is at
        for pipe in list(self._others):
            self._dismiss(pipe)

    def map(self, what: str, work: Callable[[Task], Result], tasks: Sequence[Task]) -> list[Result]:
        """Do all tasks and return their results in order."""
        results: dict[int, Result] = {}
        open_tasks = iter(range(len(tasks)))
        at: dict[Connection, int] = {}

        def hand_out(pipe: Connection) -> None:
            index = next(open_tasks, None)
            if index is not None:
                at[pipe] = index
                with suppress(OSError):  # it has ended, which shows when it is listened to
                    pipe.send((units_told(), work, tasks[index]))

        def keep(index: int, result: Result) -> None:
            results[index] = result
            self._watch(what, len(results), len(tasks))

        if len(tasks) > 1:
            self._call(min(self._wanted, len(tasks)))
            for pipe in self._others:
                hand_out(pipe)
        while at:
            for pipe in cast("list[Connection]", wait(list(at))):
                index = at.pop(pipe)
                try:
                    fault, result = pipe.recv()
                except (EOFError, OSError):
                    self._dismiss(pipe)
                    keep(index, work(tasks[index]))
                    continue
                if fault is not None:
                    raise fault
                keep(index, result)
                hand_out(pipe)
        for index in open_tasks:
            keep(index, work(tasks[index]))
        return [results[index] for index in range(len(tasks))]

    def _call(self, number: int) -> None:
        """Start processes until there are so many."""
        context = get_context("spawn")
        while len(self._others) < number:
            pipe, end = context.Pipe()
            process = context.Process(target=_serve, args=(end,), daemon=True)
            try:
                with _sheltered():
                    process.start()
            except OSError:
                self._wanted = 0
                pipe.close()
                return
            finally:
                end.close()
            self._others[pipe] = process

    def _dismiss(self, pipe: Connection) -> None:
        process = self._others.pop(pipe)
        pipe.close()
        process.join()


def _serve(pipe: Connection) -> None:
    """Do what comes through a pipe until that ends."""
    with suppress(EOFError, OSError):
        while True:
            units, work, task = pipe.recv()
            answer: tuple[Exception | None, Any]
            try:
                with told_in(*units):
                    answer = None, work(task)
            except Exception as fault:
                fault.add_note(traceback.format_exc())
                answer = fault, None
            pipe.send(answer)


@contextmanager
def _sheltered() -> Iterator[None]:
    """Start a process in here.

    An interrupt from the keyboard goes to every process of a command, and one that is just starting answers it with a page of
    words. What is blocked here stays blocked in a process that is started now (POSIX, execve), so the first process alone
    answers, a moment later, and dismisses the others.
    """
    script = sys.modules["__main__"]
    blocked = None
    if hasattr(signal, "pthread_sigmask"):
        resource_tracker.ensure_running()  # multiprocessing starts it with the first process, and ends the blocking as it does
        blocked = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    sys.modules["__main__"] = ModuleType("__main__")  # from which a new process learns which script to import
    try:
        yield
    finally:
        sys.modules["__main__"] = script
        if blocked is not None:
            signal.pthread_sigmask(signal.SIG_SETMASK, blocked)
