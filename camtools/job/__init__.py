"""Reads a job file (TOML), converts its lengths and names every fault at once."""

from camtools.job.blanks import Default
from camtools.job.jobfile import parse_job, read_job

__all__ = ["Default", "parse_job", "read_job"]
