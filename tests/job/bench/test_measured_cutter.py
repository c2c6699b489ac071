"""A cutter's shape from widths of slots: exact where they are, as sure as the published law and a library say, and mix-ups told."""

from __future__ import annotations

import math
import random
from dataclasses import replace

import numpy as np
import pytest

from camtools.job.bench.measured_cutter import CutterAsIs, Slots, cutter_as_is, joint_within_mm, likely_of, sampled

DEPTHS = (3.0, 8.0)


def mouths(diameter, angle, depths=DEPTHS):
    """Widths of the mouths of slots: a cone cut off by the board's face."""
    return tuple(diameter - 2 * depth * math.tan(math.radians(angle)) for depth in depths)


def reading(diameter, angle, depths=DEPTHS, caliper=0.02):
    return Slots(depths, mouths(diameter, angle, depths), caliper)


def found(diameter, angle, within=0.0, within_deg=0.0):
    return CutterAsIs(diameter, angle, 0.0, 0.0, within, within_deg)


@pytest.mark.parametrize(("diameter", "angle"), [(12.7, 14.0), (12.55, 13.7), (9.5, 8.0), (6.35, 7.0), (20.0, 20.0)])
@pytest.mark.parametrize("depths", [(3.0, 8.0), (1.0, 12.0), (5.0, 6.0)])
def test_exact_widths_give_the_cutter_back(diameter, angle, depths):
    shape = cutter_as_is(reading(diameter, angle, depths))
    assert (shape.diameter_mm, shape.angle_deg) == pytest.approx((diameter, angle), abs=1e-9)


def test_several_slots_are_fitted_as_numpy_fits_a_line():
    depths = (2.0, 3.5, 6.0, 8.0, 9.0)
    read = tuple(round(width / 0.02) * 0.02 for width in mouths(12.55, 13.7, depths))
    shape = cutter_as_is(Slots(depths, read))
    fall, diameter = np.polyfit(depths, read, 1)
    assert (shape.diameter_mm, shape.angle_deg) == pytest.approx((diameter, math.degrees(math.atan(-fall / 2))), rel=1e-9)
    assert shape.standard_mm < cutter_as_is(Slots(depths[1:4:2], read[1:4:2])).standard_mm


def test_straight_cutter_is_as_wide_as_its_groove():
    """A reading to 0.02 mm has a standard uncertainty of 0.29 steps: JCGM 100:2008 (GUM) F.2.2.1."""
    shape = cutter_as_is(Slots((0.0,), (5.96,)))
    assert (shape.diameter_mm, shape.angle_deg, shape.within_mm, shape.within_deg) == (5.96, 0.0, 0.01, 0.0)
    assert shape.standard_mm == pytest.approx(0.29 * 0.02, rel=5e-3)


@pytest.mark.parametrize("depths", [(3.0, 8.0), (1.0, 12.0), (5.0, 6.0)])
def test_standard_uncertainty_follows_the_published_law(depths):
    """JCGM 100:2008 Eq. (10): the sum of squares of each partial derivative, here by differences, times the input's uncertainty."""
    slots = reading(12.55, 13.7, depths)
    shape, one = cutter_as_is(slots), 0.02 / math.sqrt(12)
    squares = [0.0, 0.0]
    for place in (0, 1):
        moved = [tuple(width + sign * 1e-4 * (at == place) for at, width in enumerate(slots.widths_mm)) for sign in (1, -1)]
        (up, lean_up), (down, lean_down) = (replace(slots, widths_mm=widths).shape for widths in moved)
        squares[0] += ((up - down) / 2e-4 * one) ** 2
        squares[1] += ((math.degrees(math.atan(lean_up)) - math.degrees(math.atan(lean_down))) / 2e-4 * one) ** 2
    assert shape.standard_mm == pytest.approx(math.sqrt(squares[0]), rel=1e-6)
    assert shape.standard_deg == pytest.approx(math.sqrt(squares[1]), rel=1e-6)


@pytest.mark.parametrize("depths", [(3.0, 8.0), (5.0, 6.0)])
def test_standard_uncertainty_is_that_of_a_library_for_it(depths):
    library = pytest.importorskip("uncertainties", reason="needs the extra `outside`")
    umath = pytest.importorskip("uncertainties.umath", reason="needs the extra `outside`")
    slots = reading(12.55, 13.7, depths)
    first, second = (library.ufloat(width, 0.02 / math.sqrt(12)) for width in slots.widths_mm)
    slope = (first - second) / (2 * (depths[1] - depths[0]))
    diameter, angle = first + 2 * depths[0] * slope, umath.degrees(umath.atan(slope))
    shape = cutter_as_is(slots)
    assert (shape.standard_mm, shape.standard_deg) == pytest.approx((diameter.s, angle.s), rel=1e-9)
    assert (shape.diameter_mm, shape.angle_deg) == pytest.approx((diameter.n, angle.n), rel=1e-12)


def trapezoid_95(first, second):
    """Return within what the sum of two evenly spread errors lies 95 times of 100, by its density, a trapezoid."""
    high, low = max(first, second), min(first, second)
    tail = 0.05 / 2  # beyond each side: (high + low - x)^2 / (8 high low), in the sloping part
    x = high + low - math.sqrt(tail * 8 * high * low)
    return x if x >= high - low else 0.95 * high


@pytest.mark.parametrize("depths", [(3.0, 8.0), (5.0, 6.0), (2.0, 14.0)])
def test_draws_agree_with_the_first_order_and_with_their_density(depths):
    slots = reading(12.55, 13.7, depths)
    shape, (often_mm, often_deg) = cutter_as_is(slots), sampled(slots)
    halves = [0.01 * abs(part) for part in slots.parts(0.0)]
    assert often_mm == pytest.approx(trapezoid_95(*halves), rel=0.01)
    assert shape.within_mm == pytest.approx(sum(halves))
    for often, standard, within in ((often_mm, shape.standard_mm, shape.within_mm), (often_deg, shape.standard_deg, shape.within_deg)):
        assert 1.6 * standard < often < 2 * standard  # evenly spread errors have no tails
        assert often < within <= math.sqrt(6) * standard * 1.01 + 1e-12  # the arc tangent bends a little
    assert sampled(slots) == (often_mm, often_deg)  # the same each time


def test_two_hundred_seeds_of_rounding_give_back_the_worn_cutter_within_what_is_stated():
    """Each seed sets the slots' depths a little otherwise, so that their widths round another way."""
    often, joints = 0, []
    for seed in range(200):
        draw = random.Random(seed)
        depths = (3.0 + draw.uniform(0, 0.2), 8.0 + draw.uniform(0, 0.2))
        read = tuple(round(width / 0.02) * 0.02 for width in mouths(12.55, 13.7, depths))
        slots = Slots(depths, read)
        shape = cutter_as_is(slots)
        off_mm, off_deg = abs(shape.diameter_mm - 12.55), abs(shape.angle_deg - 13.7)
        assert off_mm <= shape.within_mm + 1e-9
        assert off_deg <= shape.within_deg + 1e-9
        often += off_mm <= sampled(slots)[0] if seed < 60 else 0
        half = 15.2 / 2
        joint = abs((shape.diameter_mm - 12.55) - 2 * half * (math.tan(math.radians(shape.angle_deg)) - math.tan(math.radians(13.7))))
        assert joint <= joint_within_mm(slots, 15.2) + 1e-9
        joints.append(joint)
    assert often >= 60 * 0.95 - 6  # 95 of 100, give or take what 60 draws allow
    assert 0.009 < max(joints) <= 0.0105


@pytest.mark.parametrize(
    ("marked", "shape", "words", "same"),
    [
        ((12.7, 14.0), found(12.70, 14.05, 0.02, 0.1), "as marked", True),
        ((12.7, 14.0), found(12.55, 14.05, 0.02, 0.1), "narrower by 0.150 mm: resharpened, or both slots are 0.3 mm deeper than set", True),
        ((12.7, 14.0), found(12.55, 13.7, 0.02, 0.1), "worn or resharpened", True),
        ((12.7, 14.0), found(12.95, 14.0, 0.02, 0.1), "no cutter grows, so it runs out of true, or both slots are 0.5 mm shallower", True),
        ((12.7, 14.0), found(13.29, 14.0, 0.02, 0.1), "it is 0.59 mm wider than its mark: it is another cutter", False),
        ((12.7, 14.0), found(12.70, 7.03, 0.02, 0.1), "14° may be the included angle of both flanks", False),
        ((12.7, 7.0), found(12.70, 14.1, 0.02, 0.1), "7° may be half the angle of its flank", False),
        ((12.7, 14.0), found(12.70, 9.0, 0.02, 0.1), "not 14°: it is another cutter, or a width was misread", False),
        ((12.7, 14.0), found(12.01, 14.0, 0.02, 0.1), "it may be one of 12 mm, mixed up with 12.7 mm", False),
        ((12.0, 14.0), found(12.66, 14.0, 0.02, 0.1), "it may be one of 12.7 mm, mixed up with 12 mm", False),
        ((6.0, 0.0), found(6.34, 0.0, 0.01), "it may be one of 6.35 mm, mixed up with 6 mm", False),
        ((6.35, 0.0), found(6.02, 0.0, 0.01), "it may be one of 6 mm, mixed up with 6.35 mm", False),
        ((6.35, 0.0), found(6.20, 0.0, 0.01), "worn or resharpened", True),
        ((12.7, 14.0), found(11.2, 14.0, 0.02, 0.1), "it is 1.5 mm narrower than its mark: it is another cutter", False),
    ],
)
def test_likely_mix_ups_are_told(marked, shape, words, same):
    likely = likely_of(marked, shape)
    assert words in likely.words
    assert likely.same is same


@pytest.mark.parametrize(
    ("slots", "words"),
    [
        (Slots((3.0, 3.0), (11.0, 9.0)), "slots of different depths are needed"),
        (Slots((3.0, 8.0), (9.0, 11.0)), "the deeper slot must have the narrower mouth"),
        (Slots((3.0, 5.0, 8.0), (11.08, 10.2, 8.64)), "the widths do not lie on a line, by 0.0"),
    ],
)
def test_slots_that_no_cutter_leaves_are_refused(slots, words):
    with pytest.raises(ValueError, match=words):
        cutter_as_is(slots)
