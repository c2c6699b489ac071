"""Libraries by other hands, against which the main work is held: those of the extra `outside`."""

from __future__ import annotations

import os
import warnings
from importlib import import_module
from types import ModuleType

import pytest

__all__ = ["outside"]


def outside(name: str) -> ModuleType:
    """Import a library of the extra; the tests of the module that asks are left out where it is missing, unless it is required."""
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # their warnings are no affair of ours
            return import_module(name)
    except ImportError:
        if os.environ.get("CAMTOOLS_OUTSIDE") == "required":
            raise
        pytest.skip(f"there is no {name}: it comes with the extra `outside`, which `.ci/run` installs", allow_module_level=True)
