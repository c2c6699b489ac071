"""Outlines of lines and arcs against plane geometry of a general library (shapely)."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import Polygon

from camtools.templates.outlines import Outline, circle, rectangle, rounded

SPECIMENS = {
    "square": rectangle(0.0, 0.0, 10.0, 10.0),
    "rounded": rounded([(0, 0, 2), (40, 0, 3), (40, 20, 0), (0, 20, 5)]),
    "slotted": rounded([(0, 0, 0), (50, 0, 3), (50, 20, 3), (30, 20, 0), (30, 8, 2), (20, 8, 2), (20, 20, 1), (0, 20, 4)]),
    "circle": circle(5.0, -3.0, 12.0),
    "pointed arcs": Outline(((0.0, 3.0, 0.2), (2.0, 0.0, 0.2), (4.0, 3.0, 0.0), (4.0, 9.0, 0.0), (0.0, 9.0, 0.0))),
}


def polygon(outline: Outline) -> Polygon:
    return Polygon(outline.points(1e-5))


@pytest.mark.parametrize("outline", SPECIMENS.values(), ids=SPECIMENS.keys())
def test_area_and_bounds_are_those_of_the_same_polygon(outline: Outline) -> None:
    shape = polygon(outline)
    assert shape.is_valid
    assert outline.area_mm2 == pytest.approx(shape.area, abs=1e-3)
    assert outline.bounds_mm == pytest.approx(shape.bounds, abs=1e-4)


@pytest.mark.parametrize("outline", SPECIMENS.values(), ids=SPECIMENS.keys())
@pytest.mark.parametrize("distance", [-0.3, -0.1, 0.05, 0.125, 1.0])
def test_growing_keeps_corners_sharp_as_a_mitred_buffer_does(outline: Outline, distance: float) -> None:
    if distance > 0.5 and any(bulge == 0.2 for _, _, bulge in outline.vertices):
        distance /= 10  # further out the library goes on straight where an arc meets a line, and we along the arc
    wanted = polygon(outline).buffer(distance, join_style="mitre", quad_segs=400)
    assert polygon(outline.grown(distance)).symmetric_difference(wanted).area < 2e-3 * (1 + abs(distance))


@pytest.mark.parametrize("outline", SPECIMENS.values(), ids=SPECIMENS.keys())
def test_turning_and_reversing_keep_the_area_and_its_sign(outline: Outline) -> None:
    area = outline.area_mm2
    assert outline.quarter_turned().area_mm2 == pytest.approx(area)
    assert outline.moved(3.0, -7.0).area_mm2 == pytest.approx(area)
    assert outline.reversed().area_mm2 == pytest.approx(-area)
    assert polygon(outline.reversed()).symmetric_difference(polygon(outline)).area < 1e-6


def test_a_clockwise_outline_grows_outwards_too() -> None:
    back = rectangle(0.0, 0.0, 10.0, 10.0).reversed()
    assert back.grown(1.0).area_mm2 == pytest.approx(-144.0)


@given(st.floats(1.0, 50.0), st.floats(0.001, 3.0))
def test_a_circle_grows_to_a_circle(diameter: float, distance: float) -> None:
    assert circle(0.0, 0.0, diameter).grown(distance).area_mm2 == pytest.approx(math.pi * (diameter / 2 + distance) ** 2)


def test_a_fillet_touches_both_its_sides() -> None:
    """The area that a fillet takes off a right angle is (1 - pi/4) r2."""
    sharp, soft = rectangle(0.0, 0.0, 10.0, 10.0), rounded([(0, 0, 3), (10, 0, 0), (10, 10, 0), (0, 10, 0)])
    assert sharp.area_mm2 - soft.area_mm2 == pytest.approx((1 - math.pi / 4) * 9.0)


def test_a_fillet_without_room_is_refused() -> None:
    with pytest.raises(ValueError, match=r"no room for the corner radii 6\.000 and 5\.000"):
        rounded([(0, 0, 6), (10, 0, 5), (10, 10, 0), (0, 10, 0)])


def test_an_arc_can_not_shrink_away() -> None:
    with pytest.raises(ValueError, match=r"radius 3\.000 mm can not be moved by 3\.500"):
        circle(0.0, 0.0, 6.0).grown(-3.5)


def test_a_side_can_not_turn_round() -> None:
    with pytest.raises(ValueError, match="too short"):
        rectangle(0.0, 0.0, 10.0, 1.0).grown(-0.6)


@pytest.mark.parametrize("vertices", [(), ((0.0, 0.0, 0.0),), ((0.0, 0.0, 0.0), (1.0, 0.0, 0.0)), ((0.0, 0.0, 1.0), (math.nan, 0.0, 1.0))])
def test_what_is_no_outline_is_refused(vertices: tuple[tuple[float, float, float], ...]) -> None:
    with pytest.raises(ValueError, match="an outline needs"):
        Outline(vertices)
