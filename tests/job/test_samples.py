"""The samples: read, worked out and programmed, and judged by the conditions of docs/joinery.md sections 5 to 8."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from camtools.drawer.boards import Drawer
from camtools.drawer.drawers import drawers_of
from camtools.job import read_job
from camtools.toolpath.programs import programs_of

SAMPLES = Path(__file__).parent.parent.parent / "samples"
PATHS = sorted(SAMPLES.glob("*.toml"))


@pytest.mark.parametrize("path", PATHS, ids=lambda path: path.stem)
def test_a_sample_comes_to_drawers_and_programs(path: Path) -> None:
    job, _ = read_job(path)
    drawers = drawers_of(job)
    assert len(drawers) == len(job.drawers)
    assert programs_of(job, drawers)
    for drawer in drawers:
        _judge(drawer)


def _judge(drawer: Drawer) -> None:
    joint, through, groove = drawer.left.piece.half_blind, drawer.left.piece.through, drawer.left.piece.groove
    assert joint is not None
    assert through is not None
    assert groove is not None
    slope = math.tan(math.radians(joint.dovetail.angle_deg))
    length, diameter = joint.length_mm, joint.dovetail.diameter_mm
    assert joint.dovetail.cutting_length_mm >= max(length + joint.free_depth_mm, through.length_mm)
    assert through.straight.cutting_length_mm >= through.side_mm + through.proud_mm
    shorter = min(length, through.back_mm)
    for low, high in zip(joint.tails, joint.tails[1:], strict=False):
        assert high.low_mm - low.high_mm >= diameter - 2 * shorter * slope - 1e-6  # the cutter passes between the tails
    for tail in joint.tails:
        assert tail.width_mm + 2 * joint.clearance_mm + 2 * joint.free_depth_mm * slope >= diameter - 1e-6  # and into the sockets
    lowest = joint.tails[0]
    assert lowest.low_mm + length * slope < groove.edge_mm
    assert groove.edge_mm + groove.width_mm < lowest.high_mm - length * slope
    assert lowest.low_mm >= 3  # a thinner half pin splits: docs/sources.md section 3


def test_the_first_job_file_is_about_ten_lines_long() -> None:
    lines = (SAMPLES / "first-drawer.toml").read_text(encoding="utf-8").splitlines()
    assert len(lines) <= 10


def test_the_specimen_chest_has_seven_drawers_of_three_widths_and_three_heights() -> None:
    job, _ = read_job(SAMPLES / "specimen-chest.toml")
    openings = [drawer.opening_mm for drawer in job.drawers if drawer.opening_mm]
    assert sum(drawer.count for drawer in job.drawers) == 7
    assert len({width for width, _, _ in openings}) == 3
    assert len({height for _, height, _ in openings}) == 3


def test_the_inch_cabinet_is_all_in_inches_with_other_stock_other_backs_and_other_fronts() -> None:
    job, _ = read_job(SAMPLES / "inch-cabinet.toml")
    thick = job.drawers[0].stock
    assert (thick.front_mm, thick.side_mm, thick.bottom_mm) == (19.05, 12.7, 9.525)
    assert {drawer.fit.back for drawer in job.drawers} == {"raised", "full"}
    assert {drawer.fit.front for drawer in job.drawers} == {"inset", "overlay"}
    assert {drawer.stock.bottom_kind for drawer in job.drawers} == {"solid", "plywood"}
    assert job.machine.postprocessor == "changer"
