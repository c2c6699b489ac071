"""Set-ups as files: of two boards a text that runs both programs, in the folder ``rounds``; of one board its own program."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from camtools.job.job import Job
from camtools.output.dialects import Dialect
from camtools.output.rs274 import ROUNDS, ProgramFile, round_text
from camtools.toolpath.handling.loadings import Loading

__all__ = ["LoadedFile", "loaded_files"]


@dataclass(frozen=True, slots=True)
class LoadedFile:
    """A set-up, and the file that is run for it."""

    name: str  # relative to the packet
    text: str  # empty where it is the file of the one program
    loading: Loading
    programs: tuple[str, ...]  # files of the programs that it runs
    seconds: float


def loaded_files(loadings: Sequence[Loading], files: Iterable[ProgramFile], dialect: Dialect, job: Job) -> tuple[LoadedFile, ...]:
    """Return each set-up with its file.

    Raises
    ------
    PacketFault
        Where a text can not be written.
    """
    written = {file.program.stem: file for file in files if file.program.kind == "cut"}
    digits = max(2, len(str(len(loadings))))
    found = []
    for place, loading in enumerate(loadings, 1):
        own = [written[program.stem] for program in loading.programs]
        names, seconds = tuple(file.name for file in own), loading.seconds((file.seconds for file in own), job.machine)
        if len(own) == 1:
            found.append(LoadedFile(names[0], "", loading, names, seconds))
            continue
        ends = "-and-".join(program.stem.split("-", 1)[1] for program in loading.programs)
        name = f"{ROUNDS}/{place:0{digits}}-{ends}.{dialect.ending}"
        found.append(LoadedFile(name, round_text(loading.programs, dialect, job), loading, names, seconds))
    return tuple(found)
