"""A board through every dialect, its groove and its ends in settings, carves to one solid: no step over 0.01 mm.

Sections of the carved solids are compared by plane geometry of another library (shapely): their Hausdorff distance is the largest step.
"""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest
import shapely

from camtools.drawer.drawers import drawers_of
from camtools.output.dialects import dialect_of, shipped_dialects
from camtools.output.manifest_of import manifest_of
from camtools.output.rs274 import program_file
from camtools.toolpath.programs import programs_of
from camtools.toolpath.workholding import with_zeros
from camtools.verify.carving.carve import BoardWork, Carving, carve, solid_of
from camtools.verify.fit.plane_sections import slice_of
from camtools.verify.reader.interpreter import run
from tests.specimens import drawer, job_of

JOB = job_of(drawer(200.0, 150.0, 250.0))
STEP_MM = 0.01


@cache
def sections(dialect_name: str, travel_x_mm: float, role: str):
    """Return sections of a board, carved from its programs as they are written for a machine with this travel."""
    dialect = dialect_of(dialect_name)
    job = replace(JOB, machine=replace(JOB.machine, travel_mm=(travel_x_mm, 900.0, 120.0)))
    drawers = drawers_of(job)
    programs = programs_of(job, drawers)
    setups = with_zeros([program.setup for program in programs], dialect.work_offsets)
    files = [program_file(replace(p, setup=s), dialect, job) for p, s in zip(programs, setups, strict=True) if p.setup.piece.role == role]
    tools = {tool.number: tool for tool in manifest_of(job, drawers, files).tools}
    works = []
    for file in files:
        made = run(file.text, file.name, tools=[*tools], fitted=file.program.cutter.number, top_mm=100.0)
        assert not [finding for finding in made.findings if finding.severity == "error"]
        works.append(BoardWork(file.name, file.program.setup.to_machine, made.motions))
    size = files[0].program.setup.piece.size_mm
    solid = solid_of(carve(Carving(size, tuple(works), tools)))
    along = [slice_of(solid, "x", u) for u in np.linspace(0.5, size[0] - 0.5, 60)]
    flat = [slice_of(solid, "z", w) for w in (size[2] - 1.0, size[2] - JOB.drawers[0].groove.depth_mm + 0.05, 1.0)]
    return len(files), [region(cut) for cut in (*along, *flat)]


def region(cut):
    contours = [shapely.Polygon(contour) for contour in cut.to_polygons() if len(contour) > 2]
    found = shapely.Polygon()
    for polygon in contours:  # outlines and holes alike
        found = found.symmetric_difference(polygon.buffer(0))
    return found


@pytest.mark.parametrize(
    ("dialect", "role"), [*((name, "left side") for name in shipped_dialects()), ("inch", "front"), ("short-lines", "back")]
)
def test_board_is_one_solid_through_every_dialect_and_in_settings(dialect, role):
    whole, before = sections("mm", 600.0, role)
    parts, after = sections(dialect, 130.0, role)
    assert parts == whole + 3  # groove and both ends, each in two settings
    steps = [shapely.hausdorff_distance(one, other) for one, other in zip(before, after, strict=True)]
    assert max(steps) < STEP_MM
