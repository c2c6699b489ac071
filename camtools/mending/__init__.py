"""Mends a job file on trial: what is told to help was tried, by working the job again as ``camtools plan`` does."""

from camtools.mending.remedies import mended
from camtools.mending.trials import Trials

__all__ = ["Trials", "mended"]
