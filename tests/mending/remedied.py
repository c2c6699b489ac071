"""Applies remedies to job files and works them again, beside the code that found them."""

from __future__ import annotations

import copy
import re
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from camtools.drawer import drawers_of
from camtools.drawer.styles import STYLES
from camtools.faults import CannotCut, Change, Fault, JobFault
from camtools.job import read_job
from camtools.mending import Trials, mended
from camtools.output.dialects import shipped_dialects
from camtools.output.sections import templates_asked_for
from camtools.toolpath.programs import programs_of
from tests.job.jobs import toml

__all__ = ["after", "faults_of_file", "is_gone", "judged", "mended_of"]


def mended_of(content: dict[str, Any]) -> JobFault | CannotCut:
    """Return the error that a job file is refused with, its remedies found."""
    return mended(JobFault(), content, Trials(Path()))


def judged(content: dict[str, Any]) -> tuple[list[str], int]:
    """Apply every remedy of a refused job by itself, and all together; return what is wrong with them, and how many there are."""
    error = mended_of(content)
    wrong = []
    for fault in error.faults:
        if not fault.changes:
            wrong.append(f"no remedy: {fault}")
        elif not is_gone(fault, after(content, fault.changes)):
            wrong.append(f"does not go: {fault}")
        elif fault.remedy.endswith("the job can be cut") and after(content, fault.changes):
            wrong.append(f"can not be cut then: {fault}")
        for change in fault.changes:  # a speed that is marked on a cutter is never made more
            if change.key.endswith("max_speed") and change.key.startswith("cutters") and change.key not in fault.where:
                wrong.append(f"changes what is marked on a cutter: {fault}")
    if error.together and after(content, error.together):
        wrong.append(f"not all go together: {[str(fault) for fault in error.faults]}")
    return wrong, len(error.faults)


def after(content: dict[str, Any], changes: Sequence[Change], folder: Path | None = None) -> list[Fault]:
    """Return the faults of a job file once it is changed, none where it can be cut."""
    made: Any = copy.deepcopy(content)
    for change in sorted(changes, key=lambda change: change.value is None):
        steps: list[Any] = [
            int(number) - 1 if number else word for word, number in re.findall(r"([^.\[\]]+)(?=[.\[]|$)|\[(\d+)\]", change.key)
        ]
        table = made
        for step in steps[:-1]:
            table = table.setdefault(step, {}) if isinstance(table, dict) else table[step]
        if change.value is None:
            del table[steps[-1]]
        elif isinstance(table, list) and steps[-1] == len(table):
            table.append(change.value)
        else:
            table[steps[-1]] = change.value
    return faults_of_file(made, folder)


def faults_of_file(content: dict[str, Any], folder: Path | None = None) -> list[Fault]:
    """Write a job file, and return the faults that it is refused with."""
    from tempfile import TemporaryDirectory

    with TemporaryDirectory(dir=folder) as place:
        path = Path(place) / "job.toml"
        path.write_text("".join(f"{toml(key)} = {toml(value)}\n" for key, value in content.items()), encoding="utf-8")
        try:
            job, _ = read_job(path, styles=STYLES, postprocessors=shipped_dialects())
            drawers = drawers_of(job)
            programs_of(job, drawers)
            templates_asked_for(job, drawers)
        except (JobFault, CannotCut) as error:
            return list(error.faults)
    return []


def is_gone(fault: Fault, faults: Sequence[Fault]) -> bool:
    """Tell whether none of these is the same as a fault, at its place or at that of any other drawer."""
    return (_key(fault), fault.problem) not in {(_key(other), other.problem) for other in faults}


def _key(fault: Fault) -> str:
    """Return a fault's key without its file, its line and its drawer."""
    return re.sub(r'^(.*job\.toml(, line \d+)?: )?(drawers\[\d+\](\.| ".*", ))?', "", fault.where)
