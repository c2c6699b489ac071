"""The whole way, from a job file to drawers carved from its programs, over a grid of sizes and cutters.

The packet is judged from its files alone (`camtools.verify`, which shares nothing with what wrote them). Sizes are invented;
diameters and angles are those sold generally (common practice, no source).
"""

import itertools
import os
from pathlib import Path

import pytest

from camtools.drawer import drawers_of
from camtools.faults import CamtoolsError
from camtools.job import parse_job
from camtools.job.job import Job
from camtools.output.dialects import dialect_of
from camtools.output.folder import write_packet
from camtools.output.sections import SECTIONS, files_of, work_of
from camtools.resources import samples
from camtools.toolpath.programs import programs_of
from camtools.verify.checking import check
from camtools.verify.report import Report

# Diameter and angle of each cutter, and how many of the 27 cells it can cut, so that refusing too much is noticed too.
CUTTERS = {
    (6.35, 7): 6, (6.35, 10): 3, (9.525, 9): 12, (12.7, 8): 27, (12.7, 14): 12,
    (15.875, 7): 27, (15.875, 14): 27, (19.05, 7): 21, (19.05, 14): 27,
}  # fmt: skip
HEIGHTS = [45, 110, 300]
SIDES = [8, 13, 20]
FRONTS = [14, 20, 28]
# Of each cutter three cells are carved, such that any two of cutter, height, side and front meet, and of a cutter that cuts few of
# them a third of those that are low or thin too; GRID=full carves all of them.
FEW = 12
FULL = os.environ.get("GRID") == "full"
OVERLAP_MM, BEYOND_MM = 0.01, 0.02

JOB = """
title = "Grid"
stock = {{ front = {front}, side = {side}, bottom = 4.0 }}
cutters = [
  {{ kind = "dovetail", diameter = {diameter}, angle = {angle}, cutting_length = {length}, shank = 6.35 }},
  {{ kind = "straight", diameter = 4, cutting_length = 26 }},
]
[joints]
rough = {rough}
[[drawers]]
name = "one"
opening = [150, {height}, 140]
"""


def job_for(diameter: float, angle: float, side: int, front: int, height: int) -> Job:
    """Return a job of one drawer of the grid. Raises CamtoolsError where it can not be cut."""
    longest = round((diameter - 2.2) / 2 / {7: 0.1228, 8: 0.1405, 9: 0.1584, 10: 0.1763, 14: 0.2493}[angle], 1)
    length = min(25.0, longest, max(side, front - front // 4) + 1.0)  # no longer than it need be: edges end where the neck is thin
    rough = "true" if height == 110 else "false"
    text = JOB.format(diameter=diameter, angle=angle, length=length, side=side, front=front, height=height, rough=rough)
    job, _ = parse_job(text, "grid")
    programs_of(job, drawers_of(job))
    return job


def judged(job: Job, folder: Path) -> Report:
    """Write a packet without its pictures, and check the files."""
    work = work_of(job, dialect_of("mm"))
    bare = tuple(name for name in SECTIONS if name not in ("programs", "lists"))
    return check(write_packet(folder, files_of(work, without=bare)), jobs=1)


def assert_drawers_fit(report: Report, flank_mm: float, tip_mm: float) -> None:
    """Every joint closes, no gap that shows is wider than chosen, and the check found nothing but a cutter that is bent a good deal."""
    assert {finding.code for finding in report.findings} <= {"cutter-strained"}
    assert report.ok
    for drawer in report.drawers:
        assert len(drawer.joints) == 4
        for joint in drawer.joints:
            assert joint.measured.overlap.depth_mm < OVERLAP_MM
            assert abs(joint.measured.flank.smallest_mm - flank_mm) < 0.005
            assert abs(joint.measured.flank.largest_mm - flank_mm) < 0.005
            assert max(gap.widest_mm for gap in joint.gaps) <= max(flank_mm, tip_mm) + BEYOND_MM


@pytest.mark.parametrize(("diameter", "angle"), CUTTERS)
def test_every_feasible_drawer_of_the_grid_fits(diameter: float, angle: float, tmp_path: Path) -> None:
    """For one cutter, every height, side and front: refused with a reason, or cut so that it goes together."""
    cut, shift = 0, divmod(list(CUTTERS).index((diameter, angle)), 3)
    for (i, side), (j, front), (k, height) in itertools.product(enumerate(SIDES), enumerate(FRONTS), enumerate(HEIGHTS)):
        try:
            job = job_for(diameter, angle, side, front, height)
        except CamtoolsError as refusal:
            told = refusal.faults
        else:
            cut += 1
            few = CUTTERS[diameter, angle] <= FEW and (i + j + k) % 3 == 0 and (height < 300 or side == 8)
            if FULL or few or ((j - i) % 3, (k - i) % 3) == shift:
                joint = job.drawers[0].joint
                report = judged(job, tmp_path / f"{side}-{front}-{height}")
                assert_drawers_fit(report, joint.clearance_mm, joint.free_depth_mm)
            continue
        assert told
        assert all(fault.problem and (fault.limit or fault.remedy) for fault in told)
    assert cut == CUTTERS[diameter, angle]


@pytest.mark.parametrize("path", sorted(samples().glob("*.toml")), ids=lambda path: path.stem)
def test_every_sample_fits(path: Path, tmp_path: Path) -> None:
    """The samples as they ship go together."""
    job, _ = parse_job(path.read_text("utf-8"), str(path))
    report = judged(job, tmp_path / "packet")
    assert report.findings == ()
    assert report.ok
    for drawer in report.drawers:
        for joint in drawer.joints:
            assert joint.measured.overlap.depth_mm < OVERLAP_MM
