"""Reads a job file for a command, with the words that later layers give their meaning to, and tells how it may be mended."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import click

from camtools.drawer.styles import STYLES
from camtools.faults import CannotCut, JobFault, SheetFault
from camtools.job import Default, read_job
from camtools.job.bench.companions import bench_beside
from camtools.job.job import Job
from camtools.job.jobfile import content_with, placed, text_of
from camtools.output.dialects import shipped_dialects
from camtools.wording import told_in

__all__ = ["read_job_file", "told_how_to_mend"]


def read_job_file(path: Path, templates: Mapping[str, Any] | None = None, *, boards: bool = True) -> tuple[Job, tuple[Default, ...]]:
    """Read a job file, so that an unknown style or dialect is told of with its other faults. Otherwise as ``read_job``.

    The rest of the command tells lengths in the job's units.
    """
    job, defaults = read_job(path, styles=STYLES, postprocessors=shipped_dialects(), templates=templates, boards=boards)
    click.get_current_context().with_resource(told_in(job.units))
    return job, defaults


@contextmanager
def told_how_to_mend(
    path: Path, templates: Mapping[str, Any] | None = None, *, programs: bool = True, joints: bool = False
) -> Iterator[None]:
    """Give every fault of a job file a remedy that was tried, and its line.

    Parameters
    ----------
    path, templates
        As for ``read_job_file``.
    programs
        Whether programs are to be made as well.
    joints
        Whether they are those of trial joints.
    """
    try:
        yield
    except SheetFault:
        raise
    except (JobFault, CannotCut) as error:
        try:
            text = text_of(path)
            content = content_with(text, str(path), templates)
            bench = bench_beside(path, content)
        except JobFault:
            raise error from None
        if type(error) is CannotCut and any(fault.remedy and not fault.ways for fault in error.faults):
            raise CannotCut(*placed(error.faults, str(path), text, templates or ())) from None  # boards as measured, that no key mends
        from camtools.mending import Trials, mended  # needed by none but those who are refused

        found = mended(error, content, Trials(path.parent, programs=programs, joints=joints, bench=bench))
        if found is error:
            raise  # of something else than the job file
        told = type(found)(*placed(found.faults, str(path), text, templates or ()))
        told.together = found.together
        raise told from None
