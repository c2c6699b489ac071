"""Reads a job file for a command, with the words that later layers give their meaning to."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

import click

from camtools.drawer.styles import STYLES
from camtools.job import Default, read_job
from camtools.job.job import Job
from camtools.output.dialects import shipped_dialects
from camtools.wording import told_in

__all__ = ["read_job_file"]


def read_job_file(path: Path, templates: Mapping[str, Any] | None = None) -> tuple[Job, tuple[Default, ...]]:
    """Read a job file, so that an unknown style or dialect is told of with its other faults. Otherwise as ``read_job``.

    The rest of the command tells lengths in the job's units.
    """
    job, defaults = read_job(path, styles=STYLES, postprocessors=shipped_dialects(), templates=templates)
    click.get_current_context().with_resource(told_in(job.units))
    return job, defaults
