"""``python -m tests.flat_trials [COUNT [FIRST]]``: random drawers on a machine that holds boards flat only are refused, or pass the check.

It runs by hand; `tests/sabotage/test_flat_joints.py` has a few that once did neither.
"""

from __future__ import annotations

import random
import sys
import tempfile
from pathlib import Path

from camtools.faults import CannotCut
from camtools.job import parse_job
from camtools.output.dialects import dialect_of
from camtools.output.folder import write_packet
from camtools.output.sections import files_of, work_of
from camtools.verify.checking import check
from camtools.verify.report import Report

__all__ = ["tried"]

_DOVETAILS = (
    (12.7, 14, 16), (12.7, 8, 20), (9.5, 9, 14), (9.5, 14, 12), (8, 7, 14), (16, 14, 22), (14, 10, 22), (6.35, 7, 12), (20, 7, 26),
)  # fmt: skip


def _job(seed: int) -> str:
    def one(*values: object) -> object:
        return pick.choice(values)

    pick = random.Random(seed)
    diameter, angle, edges = pick.choice(_DOVETAILS)
    front = pick.choice([14, 16, 18, 20, 22])
    return f"""
title = "Trial {seed}"
stock = {{ front = {front}, side = {one(10, 12, 14, 16)}, back = {one(8, 10, 12, 14)}, bottom = {one(4, 5, 6.4)} }}
machine = {{ holds = ["flat"], travel = [750, 1250, 95] }}
groove = {{ cutter = 3, ends = "{one("stopped", "hidden")}" }}
fit = {{ back = "{one("full", "full", "raised")}" }}
drawers = [{{ name = "Seeds", outside = [{pick.randint(120, 300)}, {pick.randint(40, 160)}, {pick.randint(110, 300)}] }}]
cutters = [
  {{ kind = "dovetail", diameter = {diameter}, angle = {angle}, cutting_length = {edges} }},
  {{ kind = "straight", diameter = {one(2, 3, 4, 5, 6, 6.35, 8)}, cutting_length = 20 }},
  {{ kind = "straight", diameter = 3, cutting_length = 12 }},
]
[joints]
straight = 2
clearance = {one(0, 0.05, 0.07, 0.1, 0.15)}
proud = {one(0, 0.3, 0.5)}
lap = {pick.uniform(2.5, front / 2.5):.1f}
light_pass = {one(0, 0.5, 0.8)}
rough = {one("true", "false")}
style = "{one("standard", "even", "spaced", "swelling")}"
"""


def tried(seed: int) -> Report | None:
    """Return what the check says of the packet of a random job; None where the job is refused."""
    try:
        job, _ = parse_job(_job(seed), "a job")
        work = work_of(job, dialect_of("mm"))
    except CannotCut:
        return None
    with tempfile.TemporaryDirectory() as folder:
        return check(write_packet(Path(folder) / "packet", files_of(work, without=("pictures", "templates", "drawings"))), jobs=1)


def main(count: int = 200, first: int = 0) -> int:
    """Print what is found in packets, and how many are refused; return how many packets fail."""
    refused = failed = 0
    for seed in range(first, first + count):
        report = tried(seed)
        refused += report is None
        if report is not None and report.findings:
            failed += 1
            print(
                seed,
                *(f"{finding.code} {finding.file}:{finding.line} {finding.text}" for finding in report.findings),
                sep="\n  ",
                flush=True,
            )
    print(f"{count} jobs, {refused} refused, {failed} failed")
    return failed


if __name__ == "__main__":
    sys.exit(min(1, main(*map(int, sys.argv[1:]))))
