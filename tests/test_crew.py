"""Work is shared among processes in order, and nothing that stops it leaves them behind."""

from __future__ import annotations

import math
import multiprocessing
import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import ExitStack
from pathlib import Path

import pytest

from camtools.crew import Crew, aside

TASKS = list(range(1, 40))


@pytest.fixture
def started(tmp_path: Path, house: Path) -> Iterator[Callable[[str], subprocess.Popen[str]]]:
    """Start a script in a group of processes of its own, which is gone when the test is."""
    with ExitStack() as stack:

        def start(text: str) -> subprocess.Popen[str]:
            script = tmp_path / "script.py"
            # A shell has what it starts in the background ignore interrupts, and a process hands that on: the script takes them again.
            script.write_text(f"import signal\nsignal.signal(signal.SIGINT, signal.default_int_handler)\n{text}")
            path = os.pathsep.join([str(house), *filter(None, [os.environ.get("PYTHONPATH")])])
            process = subprocess.Popen(
                [sys.executable, str(script)],
                stdout=subprocess.PIPE,
                stderr=subprocess.PIPE,
                text=True,
                env=os.environ | {"PYTHONPATH": path},
                start_new_session=True,
            )
            stack.enter_context(process)
            stack.callback(_killed, process)
            return process

        yield start


def _killed(process: subprocess.Popen[str]) -> None:
    if process.poll() is None:
        os.killpg(process.pid, signal.SIGKILL)


@pytest.mark.parametrize("workers", [1, 2])
def test_results_come_in_the_order_of_the_tasks_and_are_told_of(workers: int) -> None:
    told: list[tuple[str, int, int]] = []
    with Crew(workers, lambda *words: told.append(words)) as crew:
        assert crew.map("roots", math.sqrt, TASKS) == [math.sqrt(task) for task in TASKS]
        assert crew.map("squares", math.log2, TASKS) == [math.log2(task) for task in TASKS]
    assert told == [(what, done, len(TASKS)) for what in ("roots", "squares") for done in TASKS]


def test_what_a_task_raises_comes_out_of_the_crew() -> None:
    with Crew(2) as crew, pytest.raises(ValueError, match="domain"):
        crew.map("roots", math.sqrt, [4.0, -4.0, 9.0])


def test_script_without_a_guard_is_run_once(started: Callable[[str], subprocess.Popen[str]]) -> None:
    done = started(
        "import math\nfrom camtools.crew import Crew\nprint('begun')\n"
        "with Crew(2) as crew:\n    print(crew.map('roots', math.sqrt, [4.0, 9.0, 16.0]))\n"
    )
    out, err = done.communicate(timeout=60)
    assert (out, err, done.returncode) == ("begun\n[2.0, 3.0, 4.0]\n", "", 0)


@pytest.mark.skipif(os.name != "posix", reason="sends a signal to a group of processes")
@pytest.mark.parametrize("wait", [0.0, 0.02, 0.1, 0.5], ids=["handing out", "starting", "importing", "working"])
def test_interrupt_ends_the_crew_without_a_word_from_the_others(started: Callable[[str], subprocess.Popen[str]], wait: float) -> None:
    begun = started(
        "import time\nfrom camtools.crew import Crew\n"
        "try:\n    with Crew(2) as crew:\n        print('begun', flush=True)\n        crew.map('sleep', time.sleep, [0.25] * 400)\n"
        "except KeyboardInterrupt:\n    print('stopped')\n"
    )
    assert begun.stdout
    assert begun.stdout.readline() == "begun\n"
    time.sleep(wait)
    os.killpg(begun.pid, signal.SIGINT)
    out, err = begun.communicate(timeout=60)
    assert (out, err, begun.returncode) == ("stopped\n", "", 0)


def test_work_goes_on_without_a_process_that_ended() -> None:
    def end_one(_what: str, done: int, _of: int) -> None:
        if done == 2:
            multiprocessing.active_children()[0].kill()

    with Crew(2, end_one) as crew:
        assert crew.map("roots", math.sqrt, TASKS) == [math.sqrt(task) for task in TASKS]
        assert crew.map("roots", math.sqrt, TASKS) == [math.sqrt(task) for task in TASKS]


def test_no_process_outlives_the_one_that_started_it(started: Callable[[str], subprocess.Popen[str]]) -> None:
    begun = started(
        "import time\nfrom camtools.crew import Crew\n"
        "with Crew(3, lambda *_: print('told', flush=True)) as crew:\n    crew.map('sleep', time.sleep, [0.1] * 400)\n"
    )
    assert begun.stdout
    assert begun.stdout.readline() == "told\n"
    begun.kill()
    begun.communicate(timeout=20)  # ends when nobody holds its output any longer


@pytest.mark.parametrize("processors", [1, 2])
def test_what_is_done_aside_gives_its_result_or_raises_its_fault(monkeypatch: pytest.MonkeyPatch, processors: int) -> None:
    monkeypatch.setattr(os, "cpu_count", lambda: processors)
    assert (aside(_process, 7)() == (7, os.getpid())) == (processors == 1)
    with pytest.raises(ValueError, match="domain"):
        aside(math.sqrt, -4.0)()
    with pytest.raises(FileNotFoundError):
        aside(os.stat, "nowhere")()


def _process(task: int) -> tuple[int, int]:
    return task, os.getpid()


@pytest.mark.skipif(not hasattr(os, "nice"), reason="this system has no such number")
def test_work_aside_gives_way_to_others(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(os, "cpu_count", lambda: 2)
    assert aside(os.nice, 0)() == min(19, os.nice(0) + 10)


def test_work_aside_is_done_here_where_its_process_ended(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(os, "cpu_count", lambda: 2)
    root = aside(math.sqrt, 4.0)
    for process in multiprocessing.active_children():
        process.kill()
        process.join()
    assert root() == 2.0


def test_work_aside_that_nobody_waits_for_ends_with_the_process(started: Callable[[str], subprocess.Popen[str]]) -> None:
    process = started("import time\nfrom camtools.crew import aside\naside(time.sleep, 600)\nprint('done')")
    assert process.communicate(timeout=60)[0] == "done\n"
