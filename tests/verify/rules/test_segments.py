"""Straight pieces: cut from arcs, clipped by height, and measured in plan against what many of their points have."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from camtools.verify.reader.motion import Motion
from camtools.verify.rules.segments import Pieces, board_count, plan_distance

PLACE = st.floats(-50, 50, allow_subnormal=False).map(lambda value: round(value, 3))
POINT = st.tuples(PLACE, PLACE, PLACE)


def moved(start: tuple[float, float, float], end: tuple[float, float, float]) -> Motion:
    return Motion("feed", 1, start, end, None, 0.0, 100.0, 1000.0, 1, "G54")


def pieces(*ways: tuple[tuple[float, float, float], tuple[float, float, float]]) -> Pieces:
    return board_count([moved(*way) for way in ways], 0.01)


@given(POINT, POINT, st.tuples(PLACE, PLACE), st.tuples(PLACE, PLACE))
def test_distance_to_a_box_is_that_of_the_nearest_point(
    start: tuple[float, float, float], end: tuple[float, float, float], one: tuple[float, float], other: tuple[float, float]
) -> None:
    low, high = np.minimum(one, other), np.maximum(one, other)
    points = np.linspace(start[:2], end[:2], 2001)
    nearest = np.linalg.norm(np.maximum(np.maximum(low - points, points - high), 0.0), axis=1).min()
    found = plan_distance(pieces((start, end)), low.tolist(), high.tolist())[0]
    assert nearest - math.dist(start[:2], end[:2]) / 4000 - 1e-9 <= found <= nearest + 1e-9


def test_a_box_without_end_is_met_where_it_is() -> None:
    ways = pieces(((0, 0, 0), (10, 0, 0)), ((0, 5, 0), (0, 5, 0)))
    assert plan_distance(ways, (3.0, -1e300), (1e308, 1e300)).tolist() == [0.0, 3.0]


@given(POINT, POINT, PLACE, PLACE)
def test_a_clipped_piece_lies_on_the_old_one_between_the_heights(
    start: tuple[float, float, float], end: tuple[float, float, float], one: float, other: float
) -> None:
    low, high = min(one, other), max(one, other)
    clipped = pieces((start, end)).between(low, high)
    heights = np.linspace(start[2], end[2], 101)
    assert bool(len(clipped.motion)) >= bool(((heights > low + 1e-9) & (heights < high - 1e-9)).any())
    for new_start, new_end in zip(clipped.start, clipped.end, strict=True):
        line = shapely.LineString([start[:2], end[:2]])
        assert line.distance(shapely.Point(new_start[:2])) < 1e-9
        assert line.distance(shapely.Point(new_end[:2])) < 1e-9
        assert low - 1e-9 <= min(new_start[2], new_end[2]) <= max(new_start[2], new_end[2]) <= high + 1e-9


def test_clipping_at_no_limit_keeps_everything() -> None:
    whole = pieces(((0, 0, 1), (1, 0, 2)), ((0, 0, 1), (1, 0, 1)))
    kept = whole.between(-math.inf, math.inf)
    assert np.array_equal(kept.start, whole.start)
    assert np.array_equal(kept.end, whole.end)


@given(st.floats(0.1, 400), st.floats(-360, 360).filter(lambda turn: abs(turn) > 1), st.floats(0.001, 0.05), PLACE)
def test_board_count_an_arc_stay_within_the_sagitta(radius: float, sweep: float, sagitta: float, rise: float) -> None:
    angle = math.radians(sweep)
    arc = Motion("arc", 3, (radius, 0, 0), (radius * math.cos(angle), radius * math.sin(angle), rise), (0, 0), sweep, 1, 1, 1, "G54")
    cut = board_count([moved((0, 0, 0), (radius, 0, 0)), arc], sagitta)
    own = cut.where(cut.motion == 1)
    assert tuple(own.start[0]) == arc.start
    assert tuple(own.end[-1]) == arc.end
    assert np.array_equal(own.start[1:], own.end[:-1])
    assert np.hypot(*own.start[:, :2].T) == pytest.approx(radius)
    middle = (own.start + own.end) / 2
    assert (radius - np.hypot(*middle[:, :2].T)).max() <= max(sagitta, radius * (1 - math.cos(math.pi / 720))) + 1e-9
    turned = np.unwrap(np.arctan2(own.start[:, 1], own.start[:, 0]))
    assert (np.diff(turned) * math.copysign(1, sweep) > 0).all()
    assert np.diff(own.start[:, 2]) * math.copysign(1, rise) == pytest.approx(abs(rise) / len(own.motion))


def test_no_motions_make_no_pieces() -> None:
    none = board_count([], 0.01)
    assert none.start.shape == none.end.shape == (0, 3)
    assert len(plan_distance(none, (0, 0), (1, 1))) == 0
