"""Joints cut with every board flat, carved here with general libraries for plane figures and solids from the very moves: they close."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
import shapely
from ezdxf.math import bulge_to_arc
from manifold3d import CrossSection, Manifold, OpType
from shapely import LineString

from camtools.drawer.boards import Flat, HalfBlind, Piece, Through
from camtools.drawings.ends import ends_of
from camtools.toolpath.moves import Cut, Line
from camtools.toolpath.sockets import sockets_cut
from camtools.toolpath.tails import flat_tails_cut
from tests.joint_specimens import AIR, dovetail, half_blind, straight, through

LONG = 60.0  # of the pieces of board that are looked at
FLAT = Flat(straight(4.0, 2.0), 0.4)
JOINTS = {
    "half-blind": half_blind(pin=9.0, half_pin=6.0),
    "half-blind, another cutter": half_blind(pin=8.0, half_pin=6.0, side=10.0, front=16.0, lap=4.0, cutter=dovetail(9.5, 9.0)),
    "half-blind, no light pass": half_blind(pin=9.0, half_pin=6.0, light=0.0),
    "through": through(pin=9.0),
    "through, flush": through(pin=9.0, proud=0.0, side=14.0, back=10.0),
}


def laid(joint: HalfBlind | Through) -> HalfBlind | Through:
    return replace(joint, flat=FLAT)


def ways(cut: Cut) -> list[tuple[tuple[float, float, float], tuple[float, float, float]]]:
    """The straight motions of a cut that may meet wood."""
    assert all(isinstance(move, Line) for move in cut.moves if move.end[2] < 0)
    return [(a.end, b.end) for a, b in pairwise(cut.moves) if min(a.end[2], b.end[2]) < 0]


def tails_of(joint: HalfBlind | Through) -> Manifold:
    """The side, with its outside face at z = 0 and its end at y = 0, wood at y < 0, as the straight cutter leaves it."""
    cut = flat_tails_cut(joint, FLAT, "left", AIR)
    depth = joint.side_mm + FLAT.below_mm
    cleared = [
        LineString([a[:2], b[:2]]).buffer(FLAT.straight.diameter_mm / 2, quad_segs=90) for a, b in ways(cut) if a[2] == b[2] < 1e-6 - depth
    ]
    wood = shapely.difference(shapely.box(0.0, -LONG, joint.width_mm, 0.0), shapely.union_all(cleared))
    assert wood.geom_type == "Polygon", "no block of waste is left to fly"
    return CrossSection([np.array(wood.exterior.coords)[:-1][:: 1 if wood.exterior.is_ccw else -1]]).extrude(joint.side_mm)


def sockets_of(sockets: HalfBlind, thick: float) -> Manifold:
    """The front or back, outside face at z = 0 and end at y = 0, wood at y < 0, as the dovetail cutter leaves it."""
    cutter, tip = sockets.dovetail, thick - sockets.length_mm - sockets.free_depth_mm
    top = cutter.radius_at(thick - tip + 1.0)
    cone = Manifold.cylinder(thick - tip + 1.0, cutter.diameter_mm / 2, top, 120).translate((0.0, 0.0, tip))
    swept = [
        Manifold.batch_hull([cone.translate((*a[:2], 0.0)), cone.translate((*b[:2], 0.0))])
        for a, b in ways(sockets_cut(sockets, "left", AIR))
        if a[2] == b[2]
    ]
    board = Manifold.cube((sockets.width_mm, LONG, thick)).translate((0.0, -LONG, 0.0))
    return board - Manifold.batch_boolean(swept, OpType.Add)


def joined(joint: HalfBlind | Through) -> tuple[Manifold, Manifold]:
    """Both boards in one frame: x across the joint, y from the side's outside face inwards, z from the pin board's outside face inwards."""
    half = isinstance(joint, HalfBlind)
    sockets, thick, ends = (joint, joint.front_mm, joint.lap_mm) if half else (joint.laid, joint.back_mm, -joint.proud_mm)
    proud = 0.0 if half else joint.proud_mm
    pins = sockets_of(sockets, thick).mirror((0.0, 1.0, 0.0)).translate((0.0, -proud, 0.0))
    # Side: its thickness along y, its length along z.
    side = tails_of(joint).transform(((1.0, 0.0, 0.0, 0.0), (0.0, 0.0, 1.0, 0.0), (0.0, -1.0, 0.0, ends)))
    return side, pins


@pytest.mark.parametrize("name", JOINTS)
def test_tails_and_sockets_that_were_cut_flat_close_without_overlap(name):
    joint = laid(JOINTS[name])
    side, pins = joined(joint)
    assert (side ^ pins).volume() < 0.02  # of what a polygon lacks of its circle
    moved = [side.translate(way) for way in ((2.5 * joint.clearance_mm, 0.0, 0.0), (0.0, 0.0, -0.05), (0.0, 0.2, 0.0))]
    assert all((one ^ pins).volume() > 0.05 for one in moved[: 1 if isinstance(joint, Through) else 2])
    assert (moved[2] ^ pins).volume() > 0.5 if isinstance(joint, HalfBlind) else True


@pytest.mark.parametrize("name", JOINTS)
def test_without_either_relief_tails_and_sockets_meet(name, monkeypatch):
    joint = laid(JOINTS[name])
    side, pins = joined(joint)
    monkeypatch.setattr(HalfBlind, "relief_mm", 0.0)
    _, square = joined(joint)
    assert (side ^ square).volume() > 1.0
    assert (side ^ pins).volume() < 0.02


@pytest.mark.parametrize("name", JOINTS)
def test_sheets_draw_what_is_cut(name):
    """The face that lies up: the outline that is drawn of each end against what the cutters clear there, in the plane."""
    joint = laid(JOINTS[name])
    half, depth = isinstance(joint, HalfBlind), joint.side_mm + FLAT.below_mm
    side = Piece("left side", (200.0, joint.width_mm, joint.side_mm), half_blind=joint if half else None, through=None if half else joint)
    deepest = [LineString([a[:2], b[:2]]) for a, b in ways(flat_tails_cut(joint, FLAT, "left", AIR)) if a[2] == b[2] < 1e-6 - depth]
    cleared = shapely.union_all([way.buffer(FLAT.straight.diameter_mm / 2, quad_segs=90) for way in deepest])
    drawn = shapely.union_all([figure(part) for part in ends_of(side, "inside")[0 if half else 1].waste])
    board = shapely.box(0.0, -LONG, joint.width_mm, 0.0)
    assert shapely.symmetric_difference(drawn, cleared.intersection(board)).area < 0.05

    sockets = joint if half else joint.laid
    top = sockets.dovetail.radius_at(sockets.length_mm + sockets.free_depth_mm)
    swept = [LineString([a[:2], b[:2]]) for a, b in ways(sockets_cut(sockets, "left", AIR)) if a[2] == b[2] < 0]
    cleared = shapely.union_all([way.buffer(top, quad_segs=90) for way in swept]).intersection(board)
    thick = joint.front_mm if half else joint.back_mm
    pins = Piece("front" if half else "back", (200.0, joint.width_mm, thick), half_blind=side.half_blind, through=side.through)
    drawn = shapely.union_all([figure(part) for part in ends_of(pins, "inside")[0].waste])
    assert shapely.symmetric_difference(drawn, cleared).area < 0.05


def figure(vertices):
    """A closed figure of places (d, v) with bulges, as the plane figure (v, -d)."""
    points = []
    for (d, v, bulge), (d2, v2, _) in zip(vertices, [*vertices[1:], vertices[0]], strict=True):
        points.append((v, -d))
        if bulge:
            centre, start, end, radius = bulge_to_arc((d, v), (d2, v2), bulge)
            sweep = np.linspace(0.0, (end - start) % math.tau, 60)[1:-1]
            arc = [(centre.y + radius * math.sin(start + turn), -(centre.x + radius * math.cos(start + turn))) for turn in sweep]
            points += arc if bulge > 0 else arc[::-1]
    return shapely.make_valid(shapely.Polygon(points))


@pytest.mark.parametrize(("clearance", "depth"), [(0.07, 15.2), (0.1, 12.5), (0.02, 6.0), (0.0, 10.0)])
def test_half_the_clearance_is_left_at_the_corner_of_a_tail_in_its_socket(clearance, depth):
    """Found by distance in the plane of the socket's mouth, where the cutter is thinnest: from the corner to what the cutter clears."""
    cutter = dovetail()
    radius = cutter.radius_at(depth)
    way = LineString([(-20.0, 0.0), (cutter.relief_mm(clearance, depth), 0.0)])
    corner = shapely.Point(radius - clearance, radius - clearance)
    assert radius - way.distance(corner) == pytest.approx(clearance / 2, abs=1e-9)


def test_a_relief_goes_just_through_the_corner_of_flank_and_shoulder():
    joint = laid(JOINTS["half-blind"])
    cut = flat_tails_cut(joint, FLAT, "left", AIR)
    slope, tail = math.tan(math.radians(14.0)), joint.tails[0]
    corner = shapely.Point(tail.high_mm - joint.length_mm * slope, -joint.length_mm)
    cleared = shapely.union_all([LineString([a[:2], b[:2]]) for a, b in ways(cut) if a[:2] != b[:2]])
    assert cleared.distance(corner) == pytest.approx(2.0, abs=1e-9)
    # Let in by r (1 - sin(38 degrees)) beyond both.
    assert cleared.bounds[1] == pytest.approx(-joint.length_mm + 2.0 * math.sin(math.radians(38.0)), abs=1e-9)
    assert FLAT.notch_mm(14.0) == pytest.approx(2.0 * (1 - 0.6156615), abs=1e-6)


@pytest.mark.parametrize("name", [name for name, joint in JOINTS.items() if joint.light_pass_mm])
def test_at_each_level_the_end_is_scored_before_the_edges(name):
    joint = laid(JOINTS[name])
    off = FLAT.straight.diameter_mm / 2 - joint.light_pass_mm
    levels: dict[float, list[str]] = {}
    for a, b in ways(flat_tails_cut(joint, FLAT, "left", AIR)):
        if a[2] == b[2] and min(a[1], b[1]) < off + 1e-9:
            along_end = a[1] == b[1] == pytest.approx(off)
            along_edge = a[0] == b[0] and any(a[0] == pytest.approx(x) for x in (-off, joint.width_mm + off))
            beside = a[0] == b[0] and not 0.0 < a[0] < joint.width_mm
            if along_end or along_edge or not beside:
                levels.setdefault(round(a[2], 6), []).append("end" if along_end else "edge" if along_edge else "deep")
    assert levels
    for done in levels.values():  # the gap at the far edge comes first
        assert done.index("end") < done.index("edge")
