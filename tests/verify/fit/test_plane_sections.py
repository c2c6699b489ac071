"""Sections of solids, and the widest place of an area, against shapely and figures known by construction."""

from __future__ import annotations

import math

import pytest
import shapely
import shapely.affinity
from hypothesis import given, settings
from hypothesis import strategies as st
from manifold3d import Manifold

from camtools.verify.fit.plane_sections import section, widest


def box(low, high):
    return Manifold.cube(tuple(b - a for a, b in zip(low, high, strict=True))).translate(low)


HOLLOW = box((0, 0, 0), (10, 20, 30)) - box((2, 3, 4), (8, 17, 26)) + box((4, 6, 8), (6, 10, 20))


@pytest.mark.parametrize(
    ("axis", "place", "area", "bounds"),
    [
        ("x", 5.0, 20 * 30 - 14 * 22 + 4 * 12, (0, 0, 20, 30)),  # an island in a hole
        ("y", 5.0, 10 * 30 - 6 * 22, (0, 0, 10, 30)),
        ("z", 2.0, 10 * 20, (0, 0, 10, 20)),
        ("z", 40.0, 0, None),
    ],
)
def test_area_of_a_section_leaves_holes_open(axis, place, area, bounds):
    found = section(HOLLOW, axis, place).area()
    assert found.area == pytest.approx(area, abs=1e-6)
    if bounds:
        assert found.bounds == pytest.approx(bounds, abs=1e-6)


def test_runs_are_the_wood_along_a_line():
    cut = section(HOLLOW, "x", 5.0)  # y to the right, z up
    assert [(run.low, run.high) for run in cut.runs(1, 8.0)] == [pytest.approx(pair) for pair in ((0, 4), (8, 20), (26, 30))]
    assert [(run.low, run.high) for run in cut.runs(0, 2.0)] == [pytest.approx((0, 20))]
    assert cut.runs(0, 35.0) == []


@settings(deadline=None, max_examples=40)
@given(width=st.floats(0.02, 5.0), length=st.floats(5.0, 60.0), turn=st.floats(0.0, 180.0))
def test_widest_place_of_a_strip_is_its_width_however_it_lies(width, length, turn):
    strip = shapely.affinity.rotate(shapely.box(0, 0, length, width), turn)
    assert widest(strip)[0] == pytest.approx(width, abs=0.002)


def test_widest_place_of_an_l_lies_in_its_corner():
    """Two arms of width 1: the circle in the corner touches both outer sides and the inner corner, d = 2 (2 - sqrt 2)."""
    figure = shapely.box(0, 0, 10, 1).union(shapely.box(0, 0, 1, 10))
    width, place = widest(figure)
    assert width == pytest.approx(2 * (2 - math.sqrt(2)), rel=0.01)
    assert max(place) < 1.0


def test_nothing_has_no_width():
    assert widest(shapely.Polygon())[0] == 0.0
