"""Depth of overlaps whose largest ball is known by construction."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from manifold3d import Manifold

from camtools.verify.fit.overlap import overlap_of, thickness


def box(size, place=(0.0, 0.0, 0.0)):
    return Manifold.cube(size).translate(place)


@settings(deadline=None, max_examples=30)
@given(depth=st.floats(0.011, 1.5), length=st.floats(3.0, 200.0), height=st.floats(3.0, 40.0), turn=st.floats(0.0, 90.0))
def test_slab_has_its_thickness_however_long_it_is_and_however_it_lies(depth, length, height, turn):
    first = box((length, height, 10.0)).rotate((turn, turn / 2, 0.0))
    second = box((length, height, 10.0), (0.0, 0.0, 10.0 - depth)).rotate((turn, turn / 2, 0.0))
    found = overlap_of(first, second)
    assert found.depth_mm == pytest.approx(depth, rel=1e-3)
    assert found.volume_mm3 == pytest.approx(depth * length * height, rel=1e-6)


def test_overlap_round_a_corner_has_the_thickness_of_its_walls_not_their_extent():
    """An L of 0.05 mm walls: the largest ball sits in the inside of the corner, r = t / (1 + 1 / sqrt 2) at most."""
    inner = box((40.0, 40.0, 10.0))
    outer = box((60.0, 60.0, 10.0), (-10.0, -10.0, 0.0)) - box((49.95, 49.95, 10.0), (-10.0, -10.0, 0.0))
    found = overlap_of(inner, outer)
    assert 0.05 <= found.depth_mm <= 0.05 * 2 / (1 + 1 / math.sqrt(2)) + 1e-6
    assert found.volume_mm3 == pytest.approx(10.0 * (40.0**2 - 39.95**2), rel=1e-6)


def test_wedge_is_measured_at_its_thick_end():
    """A prism over a right triangle: the largest ball has the diameter a + b - c."""
    points = [(0.0, 0.0), (10.0, 0.0), (0.0, 0.2)]
    wedge = Manifold.hull_points(np.array([(x, y, z) for x, y in points for z in (0.0, 20.0)]))
    depth, _ = thickness(wedge)
    assert depth == pytest.approx(10.0 + 0.2 - math.hypot(10.0, 0.2), rel=0.1)


def test_ball_has_its_diameter():
    depth, place = thickness(Manifold.sphere(2.0, 64).translate((5.0, 6.0, 7.0)))
    assert depth == pytest.approx(4.0, rel=0.03)
    assert place == pytest.approx((5.0, 6.0, 7.0), abs=0.05)


def test_small_deep_place_is_found_beside_a_large_shallow_one():
    first = box((100.0, 100.0, 10.0))
    second = box((100.0, 100.0, 10.0), (0.0, 0.0, 9.994)) + box((0.3, 0.3, 1.0), (70.0, 20.0, 9.9))
    found = overlap_of(first, second)
    assert found.depth_mm == pytest.approx(0.1, rel=0.02)
    assert found.place[0] == pytest.approx(70.15, abs=0.15)


def test_small_deep_place_is_found_among_thousands_of_faces():
    """A wavy skin of 0.006 mm over a large area, and one place of 0.05 mm of small faces within it."""
    first = box((100.0, 100.0, 10.0))
    waves = sum(
        (box((0.9, 0.9, 1.0), (i, j, 9.994 - 0.0001 * ((i * j) % 5))) for i in range(0, 100, 4) for j in range(0, 100, 4)), Manifold()
    )
    second = waves + box((100.0, 100.0, 5.0), (0.0, 0.0, 9.996)) + Manifold.cylinder(1.0, 0.2, 0.2, 24).translate((61.3, 33.3, 9.95))
    assert (first ^ second).num_tri() > 3000
    assert len((first ^ second).decompose()) == 1
    found = overlap_of(first, second)
    assert found.depth_mm == pytest.approx(0.05, rel=0.05)
    assert found.place[:2] == pytest.approx((61.3, 33.3), abs=0.3)


def test_touching_solids_do_not_overlap():
    assert overlap_of(box((10.0, 10.0, 10.0)), box((10.0, 10.0, 10.0), (10.0, 0.0, 0.0))).depth_mm == 0.0


def test_slivers_of_rounding_are_left_aside_but_a_hundredth_is_not():
    for depth, expected in ((1e-9, 0.0), (1e-4, 0.0), (0.01, 0.01)):
        found = overlap_of(box((50.0, 12.0, 10.0)), box((50.0, 12.0, 10.0), (0.0, 0.0, 10.0 - depth)))
        assert found.depth_mm == pytest.approx(expected, abs=1e-6)
