"""The half-blind joint, compared with what a disc sweeps out in shapely, level by level."""

import math

import pytest
import shapely
from shapely import LineString, Polygon, box
from shapely.ops import unary_union

from camtools.drawer.boards import HalfBlind
from camtools.geometry.curves import ArcSegment, Curve, LineSegment
from camtools.geometry.half_blind import socket_of, socket_outline, tail_corner_of, tail_outline
from tests.joint_specimens import HALF_BLIND, dovetail

# Arcs become chords of half a degree: on a 20 mm radius they leave 20 (1 - cos 0.25 deg) = 0.0002 mm.
SMOOTH = 180


def points_of(curve: Curve) -> list[tuple[float, float]]:
    points = [curve[0].start]
    for part in curve:
        if isinstance(part, LineSegment):
            points.append(part.end)
            continue
        first = math.atan2(part.start[1] - part.centre[1], part.start[0] - part.centre[0])
        for i in range(1, SMOOTH + 1):
            angle = first + math.radians(part.sweep_deg) * i / SMOOTH
            points.append((part.centre[0] + part.radius_mm * math.cos(angle), part.centre[1] + part.radius_mm * math.sin(angle)))
    return points


@pytest.mark.parametrize("joint", HALF_BLIND.values(), ids=HALF_BLIND)
@pytest.mark.parametrize("share", [0.0, 0.3, 0.7, 1.0])
def test_the_cutter_leaves_the_tail_that_the_outline_says(joint: HalfBlind, share: float) -> None:
    """At every depth the wood left between two centre lines is the tail's outline, within 0.001 mm."""
    depth = share * joint.length_mm
    tail = joint.tails[0]
    corner = tail_corner_of(joint)
    radius = joint.dovetail.radius_at(joint.length_mm - depth)
    low, high = tail.low_mm - corner.offset_mm, tail.high_mm + corner.offset_mm
    touch, turn = joint.side_mm + joint.dovetail.diameter_mm / 2, corner.radius_mm
    line_low = points_of((
        LineSegment((low, -50.0), (low, corner.depth_mm)),
        ArcSegment((low, corner.depth_mm), (low + turn, touch), (low + turn, corner.depth_mm), clockwise=True),
    ))  # fmt: skip
    line_high = points_of((
        LineSegment((high, -50.0), (high, corner.depth_mm)),
        ArcSegment((high, corner.depth_mm), (high - turn, touch), (high - turn, corner.depth_mm), clockwise=False),
    ))  # fmt: skip
    swept = unary_union([LineString(line).buffer(radius, quad_segs=SMOOTH) for line in (line_low, line_high)])
    strip = box(low, 0.0, high, joint.side_mm)
    left = max(shapely.get_parts(strip.difference(swept)), key=lambda part: part.area)
    outline = Polygon(points_of(tail_outline(joint, tail.middle_mm, tail.width_mm, depth)))
    assert left.symmetric_difference(outline).area / outline.length < 0.001


@pytest.mark.parametrize("joint", HALF_BLIND.values(), ids=HALF_BLIND)
@pytest.mark.parametrize("share", [0.0, 0.5, 1.0])
def test_tail_and_socket_lie_one_clearance_apart(joint: HalfBlind, share: float) -> None:
    """With the joint home, flanks and corners of tail and socket are everywhere the chosen clearance apart."""
    tail = joint.tails[-1]
    depth = share * joint.length_mm
    inner = Polygon(points_of(tail_outline(joint, tail.middle_mm, tail.width_mm, depth)))
    # The tip of the tail lies lap from the outside face, so a plane at depth s from it is h - s below the inside face.
    outer = Polygon(points_of(socket_outline(joint, tail.middle_mm, tail.width_mm, joint.length_mm - depth)))
    assert inner.difference(outer).area < 0.001
    flank = LineString([(tail.high_mm - depth * math.tan(math.radians(joint.dovetail.angle_deg)), y) for y in (1.0, 2.0)])
    wall = LineString(points_of(socket_outline(joint, tail.middle_mm, tail.width_mm, joint.length_mm - depth))[-2:])
    assert flank.distance(wall) == pytest.approx(joint.clearance_mm, abs=1e-9)
    corner, socket = tail_corner_of(joint), socket_of(joint, tail.middle_mm, tail.width_mm)
    tail_radius = corner.radius_mm - joint.dovetail.radius_at(joint.length_mm - depth)
    socket_radius = joint.dovetail.radius_at(joint.free_depth_mm + joint.length_mm - (joint.length_mm - depth))
    assert socket_radius - tail_radius == pytest.approx(joint.clearance_mm, abs=1e-9)
    assert corner.depth_mm == pytest.approx(socket.reach_mm, abs=1e-9)


def test_a_socket_meets_the_inside_face_one_clearance_behind_the_side() -> None:
    """The leaning back wall touches the side's inside face, clearance apart, at the front's inside face."""
    joint = HALF_BLIND["ordinary"]
    points = points_of(socket_outline(joint, 50.0, 25.0, 0.0))
    assert max(y for _, y in points) == pytest.approx(joint.side_mm + joint.clearance_mm)


@pytest.mark.parametrize(("angle", "run"), [(9.46, 6.0), (7.13, 8.0)])
def test_slopes_of_the_trade(angle: float, run: float) -> None:
    """A cutter of 9.46 or 7.13 degrees cuts slopes of 1:6 or 1:8 (common practice, no source)."""
    assert 1 / dovetail(angle=angle).slope == pytest.approx(run, abs=0.01)
