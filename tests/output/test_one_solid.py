"""The same joints through every dialect carve to one solid: arcs or chords, millimetres or inches, no face steps by 0.01 mm."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from manifold3d import Manifold

from camtools.drawer.boards import Piece
from camtools.drawer.drawers import drawers_of
from camtools.job import read_job
from camtools.output.dialects import Dialect, dialect_of, shipped_dialects
from camtools.output.manifest_of import manifest_of
from camtools.output.rs274 import program_file
from camtools.toolpath.programs import programs_of
from camtools.toolpath.workholding import with_zeros
from camtools.verify.carving.carve import BoardWork, Carving, carve, solid_of
from camtools.verify.fit.plane_sections import section
from camtools.verify.reader.interpreter import run
from camtools.verify.reader.motion import Motion

SAMPLE = Path(__file__).parent.parent.parent / "samples" / "first-drawer.toml"
STEP_MM = 0.01
ENDS = {"left side": ("front end", "rear end", "groove"), "front": ("left end",), "back": ("left end",)}  # both joints at the left
APART_MM = 2.7  # between sections, that fall on no face by chance


@cache
def carved(motions: tuple[tuple[Motion, ...], ...], piece: Piece, to_machine: tuple[object, ...]) -> Manifold:
    job, _ = read_job(SAMPLE)
    works = tuple(BoardWork("", own, row) for own, row in zip(to_machine, motions, strict=True))  # type: ignore[arg-type]
    files = [program_file(program, Dialect(), job) for program in programs_of(job, drawers_of(job))]
    tools = {tool.number: tool for tool in manifest_of(job, (), files).tools}
    return solid_of(carve(Carving(piece.size_mm, works, tools)))


@cache
def boards_of(dialect: Dialect) -> dict[str, Manifold]:
    """Return both boards of each joint, carved from the text."""
    job, _ = read_job(SAMPLE)
    programs = programs_of(job, drawers_of(job))
    setups = with_zeros([program.setup for program in programs], dialect.work_offsets)
    boards = {}
    for role, ends in ENDS.items():
        own = [(p, s) for p, s in zip(programs, setups, strict=True) if s.piece.role == role and s.end in ends]
        motions = []
        for program, setup in own:
            text = program_file(replace(program, setup=setup), dialect, job).text
            done = run(text, program.stem, fitted=program.cutter.number)
            assert done.findings == ()
            motions.append(tuple(replace(motion, line=0, blind=False, work_offset="") for motion in done.motions))
        boards[role] = carved(tuple(motions), own[0][0].setup.piece, tuple(setup.to_machine for _, setup in own))
    return boards


def largest_step_mm(one: Manifold, other: Manifold) -> float:
    """Return how far the outlines of two boards' sections stand apart, at most."""
    box = np.array(one.bounding_box())
    worst = 0.0
    for axis, low, high in zip("xz", box[[0, 2]], box[[3, 5]], strict=True):
        for at in np.arange(low + 0.3, min(high, low + 40), APART_MM):
            areas = [section(solid, axis, float(at)).area().boundary for solid in (one, other)]
            worst = max(worst, areas[0].hausdorff_distance(areas[1]))
    return worst


@pytest.mark.parametrize("name", shipped_dialects())
def test_a_joint_is_the_same_solid_through_every_dialect(name: str) -> None:
    plain = boards_of(dialect_of("mm"))
    for role, board in boards_of(dialect_of(name)).items():
        assert largest_step_mm(plain[role], board) < STEP_MM, role


def test_chords_four_times_as_coarse_would_show() -> None:
    coarse = boards_of(Dialect(arcs=False, arc_tolerance_mm=0.04))
    assert largest_step_mm(boards_of(dialect_of("mm"))["left side"], coarse["left side"]) > STEP_MM
