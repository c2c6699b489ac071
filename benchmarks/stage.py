"""One stage of the way from a job file to a judged packet, timed in a process of its own.

``python -m benchmarks.stage STAGE PATH FOLDER`` prints what ``Measured`` holds, as JSON; a packet is written into ``FOLDER``.
What goes before the stage is done first and not timed; the peak of memory is that of the whole process, libraries included.
"""

from __future__ import annotations

import json
import os
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
from camtools.job.job import Job
from camtools.output.dialects import Dialect, dialect_of
from camtools.output.folder import write_packet
from camtools.output.rs274 import program_file
from camtools.output.sections import SECTIONS, WorkedJob, files_of, work_of
from camtools.page.facts import read_facts
from camtools.page.index_page import render
from camtools.toolpath.dry import dry_programs_of
from camtools.toolpath.programs import programs_of
from camtools.verify.carving.carve import carve
from camtools.verify.checking import carvings_of, check, check_fully
from camtools.verify.lookups import looked_up
from camtools.verify.packet_files import read_packet
from camtools.verify.reader.interpreter import run

__all__ = ["STAGES", "Measured", "measure"]

DRAWN = tuple(name for name in SECTIONS if name not in ("programs", "lists"))  # sections of the packet that take long to draw
PICTURED = 40  # pictures are timed on about as many programs, and their share of the drawers, evenly picked


@dataclass(frozen=True, slots=True)
class Measured:
    """What a stage took: time, peak of memory, what it made, and of how many things that is a part."""

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
        """Count what is done inside."""
        started = time.perf_counter()
        yield
        self.seconds += time.perf_counter() - started


def _read(path: Path, folder: Path, clock: Clock) -> tuple[int, int]:
    with clock.running():
        job, _ = read_job(path)
    return len(job.drawers), len(job.drawers)


def _plan(path: Path, folder: Path, clock: Clock) -> tuple[int, int]:
    job, _ = read_job(path)
    with clock.running():
        drawers = drawers_of(job)
    return len(drawers), len(drawers)


def _toolpaths(path: Path, folder: Path, clock: Clock) -> tuple[int, int]:
    job, _ = read_job(path)
    drawers = drawers_of(job)
    with clock.running():
        programs = programs_of(job, drawers)
        programs += tuple(dry_programs_of(programs, job.machine))
    return len(programs), len(programs)


def _writing(path: Path, folder: Path, clock: Clock) -> tuple[int, int]:
    job, dialect = _job(path)
    drawers = drawers_of(job)
    programs = programs_of(job, drawers)
    dry = tuple(dry_programs_of(programs, job.machine))
    with clock.running():
        texts = tuple(program_file(program, dialect, job) for program in (*programs, *dry))
        files = files_of(WorkedJob(job, drawers, programs, texts), without=DRAWN)
        write_packet(folder / "packet", files)
    return len(files), len(files)


def _pictures(path: Path, folder: Path, clock: Clock) -> tuple[int, int]:
    work = work_of(*_job(path))
    every = max(1, len(work.programs) // PICTURED)
    part = replace(work, programs=work.programs[::every], drawers=work.drawers[::every])
    with clock.running():
        for section in DRAWN:
            for _ in SECTIONS[section](part):
                pass
    return len(part.programs), len(work.programs)


def _check(packet: Path, folder: Path, clock: Clock) -> tuple[int, int]:
    with clock.running():
        report = check(packet)
    if not report.ok:
        print(*report.errors[:5], sep="\n", file=sys.stderr)
    return len(report.boards), len(report.boards)


def _carve(packet: Path, folder: Path, clock: Clock) -> tuple[int, int]:
    files = read_packet(packet)
    if files.manifest is None:
        raise SystemExit(f"{packet} is no packet")
    index = looked_up(files.manifest, files.limits)
    tools = {tool.number: tool for tool in files.manifest.tools}
    runs = {name: run(text, name, tools=set(tools)) for name, text in files.programs.items()}
    carvings = carvings_of(index, runs)
    with clock.running():
        for carving in carvings.values():
            carve(carving)
    return len(carvings), len(carvings)


def _page(packet: Path, folder: Path, clock: Clock) -> tuple[int, int]:
    checked = check_fully(packet)
    with clock.running():
        page = render(read_facts(packet, checked))
    (packet / "index.html").write_bytes(page)
    return len(checked.report.drawers), len(checked.report.drawers)


def _job(path: Path) -> tuple[Job, Dialect]:
    job, _ = read_job(path)
    return job, dialect_of(job.machine.postprocessor, beside=path.parent)


# The first five read a job file, the others a packet.
STAGES: dict[str, Callable[[Path, Path, Clock], tuple[int, int]]] = {
    "read": _read,
    "plan": _plan,
    "toolpaths": _toolpaths,
    "writing": _writing,
    "pictures": _pictures,
    "check": _check,
    "carve": _carve,
    "page": _page,
}


def measure(stage: str, path: Path, folder: Path) -> Measured:
    """Run a stage in a fresh process and return what it took."""
    run = subprocess.run(
        [sys.executable, "-m", "benchmarks.stage", stage, str(path), str(folder)], check=True, stdout=subprocess.PIPE, text=True
    )
    return Measured(**json.loads(run.stdout.splitlines()[-1]))


def _peak_mib() -> float:
    """Return the peak of this process and, at most, of those that it had run at one time."""
    own = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    largest = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss
    kib = own + largest * (os.cpu_count() or 1)
    return kib / 1024 / (1024 if sys.platform == "darwin" else 1)  # macOS counts bytes


def _main(stage: str, path: Path, folder: Path) -> None:
    clock = Clock()
    made, of = STAGES[stage](path, folder, clock)
    print(json.dumps(asdict(Measured(clock.seconds, _peak_mib(), made, of))))


if __name__ == "__main__":
    _main(sys.argv[1], Path(sys.argv[2]), Path(sys.argv[3]))
