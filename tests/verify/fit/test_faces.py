"""Gaps that show: boards with slots of known width."""

from __future__ import annotations

from dataclasses import replace

import pytest
from manifold3d import Manifold

from camtools.verify.fit.joint_fit import INSIDE, Ask, gaps_of, measure_joint

ASK = Ask(
    half_blind=False,
    tail_mm=10.0,
    pin_mm=12.0,
    height_mm=40.0,
    flank_mm=0.1,
    tip_mm=0.2,
    lap_mm=4.0,
    proud_mm=0.3,
    pins_proud_mm=0.3,
    raised=False,
)


def box(low, high):
    return Manifold.cube(tuple(b - a for a, b in zip(low, high, strict=True))).translate(low)


def finger_joint(gap=0.1, shoulder=0.0, proud=0.3):
    """A straight finger from z 10 to 30 of the side, in a slot wider by ``gap`` at each flank."""
    tail = box((0, 12 + shoulder, 0), (10, 40, 40)) + box((0, -proud, 10), (10, 12.5 + shoulder, 30))
    pin = box((-proud, 0, 0), (40, 12, 40)) - box((-1, -1, 10 - gap), (10, 13, 30 + gap))
    return tail, pin


def gaps(tail, pin):
    return {gap.face: gap for gap in gaps_of(tail, pin, ASK)}


def test_corner_without_a_pin_board_has_gaps_as_wide_as_its_faces():
    """A front shorter than the drawer is wide leaves none at its other end."""
    found = gaps(finger_joint()[0], Manifold())
    assert found["back face"].area_mm2 == pytest.approx(2 * 10.0 * 10.0 + 0.5 * 40.0, rel=0.05)
    assert found["back face"].excess_mm > 5.0


def test_gaps_of_the_chosen_width_are_within_their_limits():
    found = gaps(*finger_joint())
    assert set(found) == {"side face", "back face", "upper edge", "lower edge", INSIDE}
    assert found["side face"].widest_mm == pytest.approx(0.1, abs=0.002)
    assert found["side face"].area_mm2 == pytest.approx(2 * 0.1 * 12.0, abs=1e-3)
    assert found["back face"].area_mm2 == pytest.approx(2 * 0.1 * 10.0, abs=1e-3)
    assert found["upper edge"].area_mm2 == pytest.approx(0.0, abs=1e-6)
    assert all(gap.excess_mm < 0 for gap in found.values())


def test_wider_gap_is_measured_where_it_is():
    found = gaps(*finger_joint(gap=0.3))
    assert found["side face"].excess_mm == pytest.approx(0.3 - 0.12, abs=0.002)
    assert found["side face"].place[2] == pytest.approx(9.85, abs=0.1) or found["side face"].place[2] == pytest.approx(30.15, abs=0.1)


def test_half_blind_joint_may_gape_by_its_free_depth_at_the_tails_ends_only():
    """Free depth of 0.15 mm at a finger's end is less than chosen; as wide a gap beside it is not: 0.12 mm is the limit there."""

    def found(gap, free):
        tail = box((0, 12, 0), (10, 40, 40)) + box((0, 4, 10), (10, 12.5, 30))
        pin = box((0, 0, 0), (40, 12, 40)) - box((-1, 4 - free, 10 - gap), (10, 13, 30 + gap))
        return {found.face: found for found in gaps_of(tail, pin, replace(ASK, half_blind=True))}["side face"].excess_mm

    assert found(gap=0.1, free=0.15) < 0
    assert found(gap=0.15, free=0.1) == pytest.approx(0.03, abs=0.002)


def test_shoulder_that_stands_off_shows_on_the_edges():
    found = gaps(*finger_joint(shoulder=0.05))
    assert found["upper edge"].widest_mm == pytest.approx(0.05, abs=0.002)
    assert found["upper edge"].excess_mm > 0
    assert found["lower edge"].excess_mm > 0


def test_joint_is_measured_with_its_clearances_shoulders_and_proud_ends():
    measured = measure_joint(*finger_joint(gap=0.1, shoulder=0.05), ASK)
    assert (measured.flank.smallest_mm, measured.flank.largest_mm) == pytest.approx((0.1, 0.1), abs=1e-6)
    assert measured.shoulder.mean_mm == pytest.approx(0.05, abs=1e-6)
    assert measured.tip.mean_mm == pytest.approx(0.3, abs=1e-6)
    assert measured.pins_proud_mm == pytest.approx(0.3, abs=1e-6)
    assert measured.overlap.depth_mm == 0.0


def test_tight_joint_has_a_clearance_below_nothing_and_overlaps():
    measured = measure_joint(*finger_joint(gap=-0.04), ASK)
    assert measured.flank.smallest_mm == pytest.approx(-0.04, abs=1e-6)
    assert measured.overlap.depth_mm == pytest.approx(0.04, abs=1e-3)


def test_joint_without_tails_has_nothing_to_measure():
    measured = measure_joint(box((0, 12, 0), (10, 40, 40)), box((0, 0, 0), (40, 12, 40)), ASK)
    assert measured.flank is None
    assert measured.shoulder.largest_mm == pytest.approx(0.0, abs=1e-6)
