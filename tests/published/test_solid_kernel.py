"""Carved boards against exact solids of an open kernel for solid modelling, by other hands (Open CASCADE, by its Python wheel)."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
import pytest
from manifold3d import Manifold, Mesh64

from camtools.drawer import drawers_of
from camtools.drawer.boards import Drawer
from camtools.job.job import Job
from camtools.output.dialects import dialect_of
from camtools.output.manifest import Manifest, ToolEntry
from camtools.output.sections import files_of, work_of
from camtools.verify.carving.carve import BoardWork, Carved, Carving, carve, solid_of
from camtools.verify.reader.interpreter import run
from camtools.verify.reader.motion import Motion
from tests.published import exact_solids as exact
from tests.specimens import GROOVE, JOBS, JOINT

ROUNDED_MM = 1.5e-4  # what four decimals of X, Y, I and J may move a wall by
PARTS = ("front", "back", "left", "right")
NAMES = {
    "one drawer": JOBS["one drawer"],
    "thin wood": JOBS["thin wood"],
    "raised back, solid bottom": JOBS["raised back, solid bottom"],
    "hidden groove, roughed first": replace(
        JOBS["hidden groove"],
        drawers=tuple(
            replace(wish, joint=replace(JOINT, rough=True), groove=replace(GROOVE, ends="hidden")) for wish in JOBS["hidden groove"].drawers
        ),
    ),
}


@dataclass(frozen=True, slots=True)
class Case:
    """A drawer as laid out, and its boards as carved from the written programs."""

    drawer: Drawer
    carved: dict[str, Carved]


def _case(job: Job) -> Case:
    files = files_of(work_of(job, dialect_of("mm")), without=("pictures", "drawings", "templates"))
    manifest = Manifest.model_validate_json(files["manifest.json"])
    tools = {tool.number: tool for tool in manifest.tools}
    carved = {}
    for board in manifest.boards:
        cuts = [program for program in manifest.programs if program.board == board.id and program.kind == "cut"]
        works = tuple(BoardWork(p.file, p.to_machine, run(files[p.file].decode(), p.file, tools=tools).motions) for p in cuts)
        carved[board.id] = carve(Carving(board.size, works, tools))
    (drawer,) = drawers_of(job)
    return Case(drawer, carved)


@pytest.fixture(scope="module", params=NAMES)
def case(request: pytest.FixtureRequest) -> Case:
    return _case(NAMES[request.param])


def _judge(carved: Carved, solid: exact.Solid) -> None:
    """Compare volumes, what is in one alone, and the distance of both surfaces with the bound that carving states for itself."""
    bound = carved.bound_mm + ROUNDED_MM
    assert bound < 0.0022
    corners, faces = exact.triangles(solid)
    box = carved.corners.min(axis=0), carved.corners.max(axis=0)
    cut = _area_inside(corners, faces, *box)
    mine, other = solid_of(carved), Manifold(_joined(corners, faces))
    assert other.volume() == pytest.approx(exact.volume(solid), abs=exact.DEFLECTION_MM * cut)
    assert mine.volume() == pytest.approx(exact.volume(solid), abs=bound * cut)
    assert (mine - other).volume() + (other - mine).volume() < (bound + exact.DEFLECTION_MM) * cut
    assert exact.furthest_mm(carved.corners, corners, faces) < bound + exact.DEFLECTION_MM
    assert exact.furthest_mm(corners, carved.corners, carved.triangles.astype(np.int64)) < bound


def _area_inside(corners: np.ndarray, faces: np.ndarray, low: np.ndarray, high: np.ndarray) -> float:
    """Area of what was cut: of the triangles that lie on no face of the blank."""
    on = np.concatenate([np.abs(corners - low) < 1e-6, np.abs(corners - high) < 1e-6], axis=1)
    own = faces[~on[faces].all(axis=1).any(axis=1)]
    a, b, c = (corners[own[:, i]] for i in range(3))
    return float(np.linalg.norm(np.cross(b - a, c - a), axis=1).sum() / 2)


def _joined(corners: np.ndarray, faces: np.ndarray) -> Mesh64:
    """Join corners that faces share, so that the triangles close."""
    _, first, place = np.unique(np.round(corners, 7), axis=0, return_index=True, return_inverse=True)
    joined = place.reshape(-1)[faces]
    whole = (joined[:, 0] != joined[:, 1]) & (joined[:, 1] != joined[:, 2]) & (joined[:, 2] != joined[:, 0])
    return Mesh64(corners[first], joined[whole].astype(np.uint64))


@pytest.mark.parametrize("part", PARTS)
def test_boards_carved_from_programs_are_the_exact_ones(case: Case, part: str) -> None:
    """docs/joinery.md sections 5, 6 and 8: tails and sockets of planes and cones, trapezoids, slots with round corners."""
    board = getattr(case.drawer, part)
    _judge(case.carved[board.id], exact.board(board.piece))


def test_exact_boards_go_together_with_the_chosen_clearances(case: Case) -> None:
    """docs/joinery.md sections 2, 5 and 6: nothing overlaps; along the joint flanks stand c apart, so c cos(a) at right angles."""
    drawer = case.drawer
    solids = {part: exact.placed(exact.board(getattr(drawer, part).piece), getattr(drawer, part).to_drawer) for part in PARTS}
    for side in ("left", "right"):
        for other in ("front", "back"):
            assert exact.volume(exact.common(solids[side], solids[other])) == pytest.approx(0.0, abs=1e-6)
    blind, through = drawer.left.piece.half_blind, drawer.left.piece.through
    assert blind is not None
    assert through is not None
    slope, leaning = (f(math.radians(blind.dovetail.angle_deg)) for f in (math.tan, math.cos))
    tail, lap = blind.tails[-1], blind.lap_mm

    def to(part: str, u: float, v: float, w: float) -> float:
        return exact.distance(solids[part], (w, u + lap, v))

    h = blind.front_mm - lap
    flank = tail.high_mm - 0.4 * h * slope
    assert to("front", 0.4 * h, flank, 1.0) == pytest.approx(blind.clearance_mm * leaning, abs=1e-6)
    assert to("front", 0.0, tail.middle_mm, 2.0) == pytest.approx(blind.free_depth_mm, abs=1e-6)
    assert to("front", h, tail.high_mm + 1.0, 2.0) == pytest.approx(0.0, abs=1e-6)  # the shoulder closes
    assert to("front", h, tail.middle_mm, blind.side_mm) == pytest.approx(blind.clearance_mm, abs=1e-6)
    middle, length = through.tails[-1], drawer.left.piece.size_mm[0]
    at = length - through.proud_mm - 0.4 * through.back_mm
    flank = middle.high_mm - 0.4 * through.back_mm * slope
    assert to("back", at, flank, through.side_mm / 2) == pytest.approx(through.clearance_mm * leaning, abs=1e-6)
    assert to("back", length - through.length_mm, middle.high_mm + 1.0, 2.0) == pytest.approx(0.0, abs=1e-6)


FLAT = ((1.0, 0.0, 0.0, 0.0), (0.0, 1.0, 0.0, 0.0), (0.0, 0.0, 1.0, -20.0))
BLANK = (100.0, 60.0, 20.0)
DOVETAIL = ToolEntry(number=1, kind="dovetail", diameter=12.7, half_angle=14.0, cutting_length=12.0, shank=5.0)
STRAIGHT = ToolEntry(number=2, kind="straight", diameter=6.0, half_angle=0.0, cutting_length=22.0, shank=6.0)


def _swept(cutter: ToolEntry, depth: float, motion: Motion) -> Carved:
    return carve(Carving(BLANK, (BoardWork("p.ngc", FLAT, (motion,)),), {cutter.number: cutter}))


def _motion(kind: str, start: exact.Point, end: exact.Point, centre: exact.Flat | None, sweep: float, tool: int) -> Motion:
    return Motion(kind, 1, start, end, centre, sweep, 1000.0, 18000.0, tool, "G54")


@pytest.mark.parametrize("cutter", [DOVETAIL, STRAIGHT], ids=["dovetail", "straight"])
def test_a_slot_that_ends_in_wood_is_the_exact_cone_and_trapezoid(cutter: ToolEntry) -> None:
    depth, wide = 9.0, cutter.diameter / 2
    narrow = wide - depth * math.tan(math.radians(cutter.half_angle))
    carved = _swept(cutter, depth, _motion("feed", (50.0, -20.0, -depth), (50.0, 33.0, -depth), None, 0.0, cutter.number))
    section = [(50 - wide, 0.0), (50 + wide, 0.0), (50 + narrow, depth), (50 - narrow, depth)]
    slot = exact.between([(section, {}, lambda flat, y=y: (flat[0], y, 20.0 - depth + flat[1])) for y in (-20.0, 33.0)])
    end = exact.cone((50.0, 33.0, 20.0 - depth), wide, narrow, depth)
    _judge(carved, exact.less(exact.box((0.0, 0.0, 0.0), BLANK), slot, end))


@pytest.mark.parametrize("sweep", [90.0, -90.0, 200.0, -37.0])
@pytest.mark.parametrize("cutter", [DOVETAIL, STRAIGHT], ids=["dovetail", "straight"])
def test_an_arc_is_the_exact_ring(cutter: ToolEntry, sweep: float) -> None:
    depth, radius, centre = 8.0, 14.0, (52.0, 28.0)
    places = [
        (centre[0] + radius * math.cos(math.radians(angle)), centre[1] + radius * math.sin(math.radians(angle)))
        for angle in (25.0, 25.0 + sweep)
    ]
    carved = _swept(cutter, depth, _motion("arc", (*places[0], -depth), (*places[1], -depth), centre, sweep, cutter.number))
    wide = cutter.diameter / 2
    narrow = wide - depth * math.tan(math.radians(cutter.half_angle))
    ring = exact.ring((*places[0], 20.0 - depth), centre, sweep, wide, narrow, depth)
    _judge(carved, exact.less(exact.box((0.0, 0.0, 0.0), BLANK), ring))
