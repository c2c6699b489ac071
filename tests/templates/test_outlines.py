"""Outlines of lines and arcs against plane geometry of a general library (shapely)."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import Polygon, affinity

from camtools.templates.outlines import Corner, Outline, circle, rectangle
from camtools.templates.spacers import spacer

SPECIMENS = {
    "square": rectangle(0.0, 0.0, 10.0, 10.0),
    "rounded": Outline(((0, 0, 2), (40, 0, 3), (40, 20, 0), (0, 20, 5))),
    "slotted": Outline(((0, 0, 0), (50, 0, 3), (50, 20, 3), (30, 20, 0), (30, 8, 2), (20, 8, 2), (20, 20, 1), (0, 20, 4))),
    "circle": circle(5.0, -3.0, 12.0),
    "pointed arcs": spacer(4.0, 5.0).outline,
}
SQUARE = ((0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (1.0, 1.0, 0.0), (0.0, 1.0, 0.0))


def polygon(outline: Outline) -> Polygon:
    return Polygon(outline.points(1e-5))


@pytest.mark.parametrize("outline", SPECIMENS.values(), ids=SPECIMENS.keys())
def test_bounds_are_those_of_the_same_polygon(outline: Outline) -> None:
    assert polygon(outline).is_valid
    assert outline.bounds_mm == pytest.approx(polygon(outline).bounds, abs=1e-4)


@pytest.mark.parametrize("outline", SPECIMENS.values(), ids=SPECIMENS.keys())
@pytest.mark.parametrize("distance", [-0.3, -0.1, 0.05, 0.125, 1.0])
def test_growing_keeps_corners_sharp_as_a_mitred_buffer_does(outline: Outline, distance: float) -> None:
    if outline is SPECIMENS["pointed arcs"]:
        distance = abs(distance)  # it is only ever cut out
    wanted = polygon(outline).buffer(distance, join_style="mitre", quad_segs=400)
    assert polygon(outline.grown(distance)).symmetric_difference(wanted).area < 2e-3 * (1 + abs(distance))


@pytest.mark.parametrize("outline", SPECIMENS.values(), ids=SPECIMENS.keys())
def test_moving_and_turning_keep_the_shape(outline: Outline) -> None:
    there = affinity.translate(affinity.rotate(polygon(outline), 90, origin=(0, 0)), 3.0, -7.0)
    assert polygon(outline.quarter_turned().moved(3.0, -7.0)).symmetric_difference(there).area < 1e-6


@given(st.floats(1.0, 50.0), st.floats(0.001, 3.0))
def test_a_circle_grows_to_a_circle(diameter: float, distance: float) -> None:
    grown = circle(2.0, 1.0, diameter).grown(distance).points()
    assert [math.dist(point, (2.0, 1.0)) for point in grown] == pytest.approx([diameter / 2 + distance] * len(grown))


def test_a_fillet_touches_both_its_sides() -> None:
    """The area that a fillet takes off a right angle is (1 - pi/4) r2."""
    sharp, soft = rectangle(0.0, 0.0, 10.0, 10.0), Outline(((0, 0, 3), (10, 0, 0), (10, 10, 0), (0, 10, 0)))
    assert polygon(sharp).area - polygon(soft).area == pytest.approx((1 - math.pi / 4) * 9.0, abs=1e-4)


def test_a_fillet_without_room_is_refused() -> None:
    with pytest.raises(ValueError, match=r"no room for the corner radii 6\.000 mm and 5\.000 mm"):
        Outline(((0, 0, 6), (10, 0, 5), (10, 10, 0), (0, 10, 0)))


def test_an_arc_can_not_shrink_away() -> None:
    with pytest.raises(ValueError, match=r"radius 3\.000 mm can not be moved by 3\.500"):
        circle(0.0, 0.0, 6.0).grown(-3.5)


def test_a_side_can_not_turn_round() -> None:
    with pytest.raises(ValueError, match="too short"):
        rectangle(0.0, 0.0, 10.0, 1.0).grown(-0.6)


@pytest.mark.parametrize("corners", [(), SQUARE[:2], (*SQUARE[:3], (0.0, math.nan, 0.0)), SQUARE[::-1], (SQUARE[0], *SQUARE)], ids=str)
def test_what_is_no_outline_is_refused(corners: tuple[Corner, ...]) -> None:
    with pytest.raises(ValueError, match="an outline"):
        Outline(corners)
