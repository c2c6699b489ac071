"""Combs for every kind of joint: their edges lie half a bush beside the toolpaths' own centre lines."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
from shapely import LineString, Polygon, box

from camtools.drawer.boards import HalfBlind, Through
from camtools.faults import CannotCut
from camtools.job.job import Cutter
from camtools.templates.bushes import Bush, bush_for
from camtools.templates.combs import Comb, pins_comb, sockets_comb, tails_comb
from camtools.templates.outlines import Outline
from camtools.toolpath.moves import Arc, Cut
from camtools.toolpath.pins import pins_cut
from camtools.toolpath.sockets import sockets_cut
from camtools.toolpath.tails import tails_cut
from tests.joint_specimens import AIR, HALF_BLIND, THROUGH, dovetail, half_blind, straight, through
from tests.specimens import template_wish

SMALL = Bush(8.5, 0.5, 6.0)


def bush_round(cutter: Cutter, depth: float) -> Bush:
    """Return the smallest bush that a cutter turns in."""
    return Bush(round(SMALL.needed_bore_mm(cutter, depth) + 1.0, 2) + 0.01, 0.5, 6.0)


def made(kind: str, joint: HalfBlind | Through) -> tuple[Comb, list[tuple[float, float]], float]:
    """Return a comb, points of the machine's own toolpath below the surface in the comb's frame, and the wood's depth there."""
    if kind == "sockets":
        assert isinstance(joint, HalfBlind)
        comb = sockets_comb(joint, bush_round(joint.dovetail, joint.length_mm + joint.free_depth_mm), "sockets")
        return comb, points(sockets_cut(joint, "left", AIR), lambda x, y: (x, -y)), joint.side_mm
    if kind == "tails":
        comb = tails_comb(joint, bush_round(joint.dovetail, joint.length_mm), "tails")
        return comb, points(tails_cut(joint, "left", AIR), lambda x, y: (x, y + joint.side_mm)), joint.side_mm
    assert isinstance(joint, Through)
    comb = pins_comb(joint, bush_round(joint.straight, joint.side_mm + joint.proud_mm), "pins")
    return comb, points(pins_cut(joint, "left", AIR), lambda x, y: (x, y + joint.back_mm)), joint.back_mm


def points(cut: Cut, place) -> list[tuple[float, float]]:
    found, at = [], (0.0, 0.0, 10.0)
    for move in cut.moves:
        if move.end[2] < 0 and at[2] < 0:
            if isinstance(move, Arc):
                found += [place(*p) for p in arc_points(at, move)]
            else:
                found += [place(at[0] + (move.end[0] - at[0]) * i / 40, at[1] + (move.end[1] - at[1]) * i / 40) for i in range(41)]
        at = move.end
    return found


def arc_points(at: tuple[float, float, float], arc: Arc) -> list[tuple[float, float]]:
    (cx, cy), radius = arc.centre, math.dist(at[:2], arc.centre)
    first, last = math.atan2(at[1] - cy, at[0] - cx), math.atan2(arc.end[1] - cy, arc.end[0] - cx)
    turn = (last - first) % (2 * math.pi)
    turn = turn - 2 * math.pi if arc.clockwise else turn
    return [(cx + radius * math.cos(first + turn * i / 40), cy + radius * math.sin(first + turn * i / 40)) for i in range(41)]


CASES = [("tails", name, joint) for name, joint in (*HALF_BLIND.items(), *THROUGH.items())]
CASES += [("sockets", name, joint) for name, joint in HALF_BLIND.items()] + [("pins", name, joint) for name, joint in THROUGH.items()]


@pytest.mark.parametrize(("kind", "name", "joint"), CASES, ids=[f"{kind} {name}" for kind, name, _ in CASES])
def test_the_bush_may_go_just_where_the_machines_centre_line_goes(kind: str, name: str, joint: HalfBlind | Through) -> None:
    comb, path, thick = made(kind, joint)
    blocked = Polygon(comb.plate.outline.points(1e-4)).buffer(comb.bush_mm / 2, quad_segs=256)
    in_wood = [(x, y) for x, y in path if y >= 0.0]
    core = blocked.buffer(-0.002)
    assert not any(core.contains(box(x, y, x, y).centroid) for x, y in in_wood)
    # Half-way through the wood every lane is as wide as the toolpath's own outermost lines.
    y = thick / 2
    lanes = LineString([(0.0, y), (joint.width_mm, y)]).difference(blocked)
    ends = [x for lane in getattr(lanes, "geoms", (lanes,)) if not lane.is_empty for x in (lane.bounds[0], lane.bounds[2])]
    walls = [x for x in ends if 0.001 < x < joint.width_mm - 0.001]
    crossings = [
        x0 + (x1 - x0) * (y - y0) / (y1 - y0) for (x0, y0), (x1, y1) in pairwise(path) if min(y0, y1) <= y <= max(y0, y1) and y0 != y1
    ]
    for wall in walls:
        assert min(abs(wall - x) for x in crossings) < 0.002, (name, wall)


def concave_radii(outline: Outline) -> list[float]:
    """Radii of the arcs that turn inwards; an outline runs counter-clockwise."""
    found = []
    for (x0, y0, bulge), (x1, y1, _) in zip(outline.vertices, (*outline.vertices[1:], outline.vertices[0]), strict=True):
        if bulge < 0:
            found.append(math.dist((x0, y0), (x1, y1)) * (1 + bulge**2) / (4 * abs(bulge)))
    return found


@pytest.mark.parametrize("bush", [10.0, 11.11, 12.0])
def test_inside_corners_are_never_tighter_than_the_bush(bush: float) -> None:
    size = Bush(bush, 0.5, 6.0)
    combs = (tails_comb(half_blind(), size, "a"), sockets_comb(half_blind(), size, "b"), tails_comb(through(), size, "c"))
    for comb in combs:
        radii = concave_radii(comb.plate.outline)
        assert radii
        assert min(radii) >= bush / 2 - 1e-9


def test_a_bush_too_large_for_the_rounded_tails_is_refused_with_the_largest_that_works() -> None:
    with pytest.raises(CannotCut, match=r"a bush of 20 mm; limit at most 17\.\d\d mm"):
        tails_comb(half_blind(count=2), Bush(20.0, 1.0, 6.0), "H1 tails")


def test_a_bush_at_that_limit_works() -> None:
    with pytest.raises(CannotCut) as refused:
        tails_comb(half_blind(width=140.0, count=2), Bush(20.0, 1.0, 6.0), "H1 tails")
    limit = float(str(refused.value).split("at most ")[1].split(" mm")[0])
    assert tails_comb(half_blind(width=140.0, count=2), Bush(limit - 0.01, 1.0, 6.0), "H1 tails").finger_mm > 3.0
    with pytest.raises(CannotCut):
        tails_comb(half_blind(width=140.0, count=2), Bush(limit + 0.01, 1.0, 6.0), "H1 tails")


def test_a_finger_too_thin_is_refused_with_numbers() -> None:
    with pytest.raises(CannotCut, match=r"H1 sockets: a finger of the comb is too thin; found .* mm; limit at least 3 mm"):
        sockets_comb(half_blind(pin=7.5), Bush(17.0, 1.0, 6.0), "H1 sockets")


def test_a_bush_that_the_cutter_does_not_turn_in_is_refused_with_the_bore_it_needs() -> None:
    with pytest.raises(CannotCut, match=r"bore 6\.5 mm; limit a bore of at least"):
        pins_comb(through(plain=straight(6.0)), Bush(8.5, 1.0, 6.0), "T1 pins")


def test_a_cutter_too_thick_for_a_socket_is_refused_by_the_comb_as_by_the_toolpath() -> None:
    joint = through(count=4, pin=8.0, plain=straight(13.5))
    with pytest.raises(CannotCut) as by_comb:
        pins_comb(joint, Bush(20.0, 1.0, 6.0), "T1 pins")
    with pytest.raises(CannotCut) as by_path:
        pins_cut(joint, "left", AIR)
    assert "too thick for the narrow end" in str(by_comb.value)
    assert "too thick for the narrow end" in str(by_path.value)


def test_the_smallest_common_bush_that_clears_every_depth_is_taken() -> None:
    """Shank 6.35 mm with 1 mm of room on each side and a 1 mm wall: 10.35 mm at least, so 7/16 in."""
    cutter = dovetail()
    assert bush_for(cutter, [24.0], template_wish()).diameter_mm == 11.11
    assert bush_for(cutter, [24.0], template_wish(bushes=[30.0, 10.0, 17.0])).diameter_mm == 17.0
    assert bush_for(cutter, [24.0], template_wish(bushes=[8.0, 10.0])).diameter_mm == 10.0  # and is refused by the comb


def test_screw_holes_lie_in_the_spine_and_engraving_on_the_comb() -> None:
    comb = tails_comb(half_blind(), Bush(9.5, 0.5, 6.0), "H1 tails")
    plate = Polygon(comb.plate.outline.points())
    assert len(comb.plate.openings) >= 2
    for hole in comb.plate.openings:
        assert plate.buffer(-3.0).contains(Polygon(hole.points()))
    for line in comb.plate.lines:
        assert plate.contains(LineString(line))
