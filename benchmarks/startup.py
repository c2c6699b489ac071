"""Time of ``camtools --help`` beside that of a click program that does nothing."""

from __future__ import annotations

import subprocess
import sys
import time

__all__ = ["EMPTY", "HELP", "seconds_to_run", "startup"]

EMPTY = "import click\n@click.group()\ndef empty() -> None:\n    '''Do nothing.'''\nempty(['--help'])"
HELP = "from camtools.cli import group\ngroup(['--help'])"


def seconds_to_run(code: str) -> float:
    """Return the seconds that a fresh interpreter takes to run ``code``."""
    started = time.perf_counter()
    subprocess.run([sys.executable, "-c", code], check=True, stdout=subprocess.DEVNULL)
    return time.perf_counter() - started


def startup(rounds: int = 15) -> tuple[float, float]:
    """Return the best times in s of help and of the empty program, taken in turns so that both meet the same machine."""
    times = [(seconds_to_run(HELP), seconds_to_run(EMPTY)) for _ in range(rounds)]
    return min(help_s for help_s, _ in times), min(empty_s for _, empty_s in times)
