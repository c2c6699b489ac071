"""Files beside a job file that belong to it. A packet keeps each, byte for byte, under a name that is always the same."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from camtools.faults import Fault, JobFault
from camtools.job.bench.answers import Answers, answers_in
from camtools.job.tables import bytes_of, text_in

__all__ = ["COMPANIONS", "Bench", "answers_file", "bench_beside"]


def answers_file(job_file: Path) -> Path:
    """Return where the answers of a job are kept: ``drawers.fit.toml`` beside ``drawers.toml``."""
    return job_file.with_name(f"{job_file.stem}.fit.toml")


def _answers_beside(job_file: Path, _: Mapping[str, Any]) -> Path | None:
    path = answers_file(job_file)
    return path if path.exists() else None


def _sheet_named(job_file: Path, content: Mapping[str, Any]) -> Path | None:
    match content.get("boards"):
        case {"file": str(name)} if name:
            path = job_file.parent / name
            if not path.exists():
                remedy = f"write it with `camtools measure {job_file.name} -o {name}`, and fill in what was measured"
                raise JobFault(Fault(f"{job_file}: boards.file", "there is no such sheet of boards", str(path), remedy=remedy))
            return path
    return None


# Name in the packet -> where the file is, by the job file and its tables; None: the job has none.
COMPANIONS: dict[str, Callable[[Path, Mapping[str, Any]], Path | None]] = {
    "job.fit.toml": _answers_beside,
    "boards.csv": _sheet_named,
}


@dataclass(frozen=True, slots=True)
class Bench:
    """What the companions of a job file say."""

    answers: Answers = field(default_factory=Answers)
    sheet: tuple[bytes, str] | None = None  # of boards as measured: its content, and what faults call it
    files: tuple[tuple[str, bytes], ...] = ()  # by their names in the packet


def bench_beside(job_file: Path, content: Mapping[str, Any]) -> Bench:
    """Read every companion of a job file.

    Parameters
    ----------
    job_file, content
        Where it is, and its tables.

    Raises
    ------
    JobFault
        Where one can not be read or is at fault: with its name, and the line.
    """
    paths = {name: path for name, find in COMPANIONS.items() if (path := find(job_file, content)) is not None}
    files = {name: bytes_of(path) for name, path in paths.items()}

    def read(name: str) -> tuple[str, str, str]:
        return text_in(files[name], str(paths[name])), str(paths[name]), paths[name].name

    return Bench(
        answers=answers_in(*read("job.fit.toml")) if "job.fit.toml" in files else Answers(),
        sheet=(files["boards.csv"], str(paths["boards.csv"])) if "boards.csv" in files else None,
        files=tuple(files.items()),
    )
