"""One stage of the way from a job file to a judged packet, timed in a process of its own.

``python -m benchmarks.stage STAGE JOB FOLDER`` prints what ``Measured`` holds, as JSON. What goes before the stage is done first and
not timed; the peak of memory is that of the whole process, libraries included.
"""

from __future__ import annotations

import json
import resource
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import asdict, dataclass, replace
from pathlib import Path

from camtools.drawer import drawers_of
from camtools.job import read_job
from camtools.output.dialects import dialect_of
from camtools.output.folder import write_packet
from camtools.output.packet import SECTIONS, Work, work_of
from camtools.output.rs274 import program_files
from camtools.toolpath.programs import programs_of

__all__ = ["STAGES", "Measured", "measure"]

PLAIN = ("programs", "lists")  # sections of the packet that draw nothing
PICTURED_PROGRAMS = 60  # pictures are timed on as many programs, evenly picked, and reckoned for the rest


@dataclass(frozen=True, slots=True)
class Measured:
    """What a stage took: time, the process's peak of memory, what it made, and of how many things it was reckoned from a part."""

    seconds: float
    peak_mib: float
    made: int
    of: int


class Clock:
    """Seconds of what was done in ``running`` blocks."""

    def __init__(self) -> None:
        self.seconds = 0.0

    @contextmanager
    def running(self) -> Iterator[None]:
        started = time.perf_counter()
        yield
        self.seconds += time.perf_counter() - started


def _read(job: Path, folder: Path, clock: Clock) -> tuple[int, int]:
    with clock.running():
        piece, _ = read_job(job)
    return len(piece.drawers), len(piece.drawers)


def _plan(job: Path, folder: Path, clock: Clock) -> tuple[int, int]:
    piece, _ = read_job(job)
    with clock.running():
        drawers = drawers_of(piece)
    return len(drawers), len(drawers)


def _toolpaths(job: Path, folder: Path, clock: Clock) -> tuple[int, int]:
    piece, _ = read_job(job)
    drawers = drawers_of(piece)
    with clock.running():
        programs = programs_of(piece, drawers)
    return len(programs), len(programs)


def _writing(job: Path, folder: Path, clock: Clock) -> tuple[int, int]:
    piece, _ = read_job(job)
    drawers = drawers_of(piece)
    programs = programs_of(piece, drawers)
    dialect = dialect_of(piece.machine.postprocessor)
    with clock.running():
        texts = tuple(file for program in programs for file in program_files(program, dialect, piece))
        work = Work(piece, drawers, programs, texts)
        write_packet(folder / "packet", {name: content for section in PLAIN for name, content in SECTIONS[section](work)})
    return len(texts), len(texts)


def _pictures(job: Path, folder: Path, clock: Clock) -> tuple[int, int]:
    piece, _ = read_job(job)
    work = work_of(piece, dialect_of(piece.machine.postprocessor))
    every = max(1, len(work.programs) // PICTURED_PROGRAMS)
    part = replace(work, programs=work.programs[::every])
    with clock.running():
        for section in SECTIONS.keys() - set(PLAIN):
            for _ in SECTIONS[section](part):
                pass
    return len(part.programs), len(work.programs)


STAGES: dict[str, Callable[[Path, Path, Clock], tuple[int, int]]] = {
    "read": _read,
    "plan": _plan,
    "toolpaths": _toolpaths,
    "writing": _writing,
    "pictures": _pictures,
}


def measure(stage: str, job: Path, folder: Path) -> Measured:
    """Run a stage in a fresh process and return what it took."""
    run = subprocess.run(
        [sys.executable, "-m", "benchmarks.stage", stage, str(job), str(folder)], check=True, stdout=subprocess.PIPE, text=True
    )
    return Measured(**json.loads(run.stdout.splitlines()[-1]))


def _main(stage: str, job: Path, folder: Path) -> None:
    clock = Clock()
    made, of = STAGES[stage](job, folder, clock)
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    peak_mib = peak / 1024 / (1024 if sys.platform == "darwin" else 1)  # KiB, but bytes on macOS
    print(json.dumps(asdict(Measured(clock.seconds, peak_mib, made, of))))


if __name__ == "__main__":
    _main(sys.argv[1], Path(sys.argv[2]), Path(sys.argv[3]))
