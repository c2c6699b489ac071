"""What a maker waits for: whole commands on the samples, with their start-up, processes and disk."""

from __future__ import annotations

import subprocess
import sys
import time
from dataclasses import dataclass
from pathlib import Path

from camtools.resources import samples

__all__ = ["Waited", "suite_seconds", "waited"]

_ROUNDS = 3


@dataclass(frozen=True, slots=True)
class Waited:
    """Seconds of each command, the best of some rounds, and what the packet holds: files and bytes."""

    plan: float
    picture: float  # of a plan that draws one
    check: float
    packet: float
    files: int
    size: int

    @property
    def multiple(self) -> float:
        """The packet's time by that of planning and checking alone."""
        return self.packet / (self.plan + self.check)


def waited(sample: str, folder: Path) -> Waited:
    """Run the commands on a sample; its packet, pictures, page and check included, stands in ``folder`` afterwards."""
    job, packet = samples() / f"{sample}.toml", folder / sample
    commands = {
        "packet": ("packet", job, "-o", packet),
        "plan": ("plan", job),
        "picture": ("plan", job, "--picture", folder / f"{sample}.png"),
        "check": ("check", packet),
    }
    best = {name: min(_seconds("camtools", *arguments) for _ in range(_ROUNDS)) for name, arguments in commands.items()}
    files = [path for path in packet.rglob("*") if path.is_file()]
    return Waited(**best, files=len(files), size=sum(path.stat().st_size for path in files))


def suite_seconds() -> float:
    """Return what ``make test`` takes where it finds its environment set up."""
    return _seconds("pytest", "-q", "-n", "2", "--dist", "worksteal")


def _seconds(module: str, *arguments: str | Path) -> float:
    started = time.perf_counter()
    subprocess.run([sys.executable, "-m", module, *map(str, arguments)], check=True, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    return time.perf_counter() - started
