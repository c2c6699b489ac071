"""Pushing boards home: what is free at home may be blocked on the way."""

from __future__ import annotations

import pytest
from manifold3d import Manifold

from camtools.verify.fit.plane_sections import blocked_by, depths_between


def box(low, high):
    size = tuple(b - a for a, b in zip(low, high, strict=True))
    return Manifold.cube(size).translate(low)


DEPTHS = depths_between(0.0, 10.0)
PEG = box((0, 0, 0), (10, 4, 4))


def test_peg_in_a_through_slot_is_free():
    wall = box((0, -5, -5), (10, 9, 9)) - box((-1, 0, 0), (11, 4, 4))
    assert blocked_by(PEG, wall, "x", DEPTHS).width_mm == 0.0


def test_hook_behind_a_lip_is_blocked_by_the_lips_width():
    """A peg that is thicker at its inner end than the mouth it has to pass."""
    hook = box((0, 0, 0), (6, 4, 4)) + box((5.9, -1.5, 0), (10, 4, 4))
    wall = box((0, -5, -5), (10, 9, 9)) - box((-1, 0, 0), (11, 4, 4)) - box((5.9, -1.5, 0), (11, 4, 4))
    assert (hook ^ wall).volume() == pytest.approx(0.0, abs=1e-9)
    blocked = blocked_by(hook, wall, "x", DEPTHS)
    assert blocked.width_mm == pytest.approx(1.5, abs=0.01)
    assert blocked.place[1] == pytest.approx(-0.75, abs=0.01)


def test_peg_that_is_thinner_further_in_is_free():
    peg = box((0, 0, 0), (10, 4, 4)) - box((5, 0, 0), (10, 2, 4))
    wall = box((0, -5, -5), (10, 9, 9)) - peg
    assert blocked_by(peg, wall, "x", DEPTHS).width_mm == 0.0


def test_overlap_of_less_than_a_hundredth_is_no_obstacle():
    wall = box((0, -5, -5), (10, 9, 9)) - box((-1, 0.008, 0), (11, 4, 4))
    assert blocked_by(PEG, wall, "x", DEPTHS).width_mm == 0.0
    wall = box((0, -5, -5), (10, 9, 9)) - box((-1, 0.013, 0), (11, 4, 4))
    assert blocked_by(PEG, wall, "x", DEPTHS).width_mm == pytest.approx(0.013, abs=0.002)
