"""Distance pieces: with the fingers they add up to the board, and stand where the tails are."""

from __future__ import annotations

import math
from itertools import accumulate

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import Polygon

from camtools.faults import CannotCut
from camtools.geometry.half_blind import tail_corner_of
from camtools.templates.bushes import Bush
from camtools.templates.combs import tails_comb
from camtools.templates.spacers import Holder, holder_for, shared_gaps, spacer, spacers_of, spacers_off
from tests.joint_specimens import HALF_BLIND, THROUGH, half_blind

JOINTS = {**{f"half-blind {n}": j for n, j in HALF_BLIND.items()}, **{f"through {n}": j for n, j in THROUGH.items()}}


@pytest.mark.parametrize("joint", JOINTS.values(), ids=JOINTS.keys())
def test_fingers_and_pieces_side_by_side_add_up_to_the_board(joint) -> None:
    made = spacers_of(joint, Holder(6.0, 2.0), 12.0, None, "H1")
    across = [made.low_edge_mm]
    for gap in (*made.gaps_mm, made.high_edge_mm):
        across += [made.finger_mm, gap]
    places = list(accumulate(across))
    assert places[-1] == pytest.approx(joint.width_mm, abs=1e-9)
    middles = [place + made.finger_mm / 2 for place in places[::2][: len(joint.tails)]]
    assert middles == pytest.approx([tail.middle_mm for tail in joint.tails])


def test_sixteen_millimetres_over_two_mirrored_gaps_open_each_by_eight() -> None:
    """On the widest drawer six standard tails fall short by 16 mm; two mirrored gaps take it (common practice, no source)."""
    finger, standard, short = 22.0, 9.0, 16.0
    board = 6 * finger + 5 * standard + short
    assert shared_gaps(board, 6, finger, standard, 0.0, (1, 3)) == (9.0, 17.0, 9.0, 17.0, 9.0)
    assert shared_gaps(board, 6, finger, standard, 0.0, (0, 4)) == (17.0, 9.0, 9.0, 9.0, 17.0)


@given(st.integers(2, 9), st.floats(5.0, 30.0), st.floats(1.0, 20.0), st.floats(0.0, 15.0), st.floats(0.0, 60.0))
def test_shared_gaps_are_mirrored_and_fill_the_board(fingers: int, finger: float, standard: float, inset: float, left: float) -> None:
    board = fingers * finger + (fingers - 1) * standard + 2 * inset + left
    gaps = shared_gaps(board, fingers, finger, standard, inset, {0, fingers - 2})
    assert gaps == pytest.approx(gaps[::-1])
    assert 2 * inset + fingers * finger + sum(gaps) == pytest.approx(board)
    assert all(gap >= standard - 1e-9 for gap in gaps)


def test_gaps_that_are_not_mirrored_are_refused() -> None:
    with pytest.raises(CannotCut, match=r"not in mirrored places; found 0, 1; limit pairs i and 4 - i"):
        shared_gaps(300.0, 6, 22.0, 9.0, 0.0, (0, 1))


def test_fingers_wider_than_the_board_are_refused_with_the_gap_that_would_do() -> None:
    with pytest.raises(CannotCut, match=r"177\.00 mm; limit 150\.00 mm; take fewer fingers, or gaps of 3\.60 mm"):
        shared_gaps(150.0, 6, 22.0, 9.0, 0.0, (2,))


def test_fingers_too_wide_for_neighbouring_tails_are_refused() -> None:
    with pytest.raises(CannotCut, match=r"found 40 mm; limit at most 32\.50 mm"):
        spacers_of(half_blind(), Holder(40.0, 2.0), 12.0, None, "H1")


@pytest.mark.parametrize("inset", [0.0, 1.5])
def test_first_and_last_finger_may_stand_flush_or_just_inside_the_edges(inset: float) -> None:
    made = spacers_of(half_blind(width=160.0, count=4), Holder(18.0, 2.0), 12.0, inset, "H1")
    assert (made.low_edge_mm, made.high_edge_mm) == (inset, inset)
    fingers = (len(made.gaps_mm) + 1) * made.finger_mm
    assert 2 * inset + sum(made.gaps_mm) + fingers == pytest.approx(160.0)
    assert made.gaps_mm == pytest.approx(made.gaps_mm[::-1])


def test_the_holder_that_suits_a_tail_is_as_wide_and_as_round_as_the_combs_finger() -> None:
    joint, bush = half_blind(), 12.0
    tail = joint.tails[0].width_mm
    holder = holder_for(joint, tail, bush)
    assert holder.finger_mm == pytest.approx(tails_comb(joint, Bush(bush, 1.0, 6.0), "H1").finger_mm, abs=0.005)
    assert holder.radius_mm == pytest.approx(tail_corner_of(joint).radius_mm - bush / 2, abs=0.005)
    made = spacers_of(joint, holder, bush, None, "H1")
    assert made.tail_mm == pytest.approx(tail, abs=0.01)
    assert abs(made.radius_off_mm) < 0.01


@pytest.mark.parametrize("width", [30.0, 12.0, 8.0, 7.9, 3.0])
def test_front_corners_have_the_fingers_radius(width: float) -> None:
    """Laid beside a finger, front flush, every arc has the finger's own radius and leaves the side along it."""
    radius = 4.0
    piece = spacer(width, radius, "S1").outline
    arcs = [
        math.dist((x0, y0), (x1, y1)) * (1 + bulge**2) / (4 * abs(bulge))
        for (x0, y0, bulge), (x1, y1, _) in zip(piece.vertices, (*piece.vertices[1:], piece.vertices[0]), strict=True)
        if bulge
    ]
    assert arcs == pytest.approx([radius, radius])
    # At the shoulder the arc's centre is level with it, a radius inside the piece: it meets the side without a corner.
    shape, (x, y, _) = Polygon(piece.points(1e-4)), piece.vertices[0]
    assert x == 0.0
    centre = (radius, y)
    assert all(math.dist(p, centre) >= radius - 1e-3 or p[0] > width / 2 + 1e-6 or p[1] > y - 1e-9 for p in shape.exterior.coords)
    assert piece.bounds_mm == pytest.approx((0.0, 0.0, width, 45.0))


def test_pieces_serve_one_joint_at_a_time() -> None:
    sets = [spacers_of(half_blind(width=w, count=n), Holder(10.0, 2.0), 12.0, None, "H") for w, n in ((100.0, 3), (100.0, 3), (160.0, 5))]
    off = spacers_off(sets)
    assert list(off) == sorted(off)
    for made in sets:
        widths = [round(width, 2) for width in made.pieces_mm]
        assert all(widths.count(width) <= off[width] for width in widths)
    assert sum(off.values()) < sum(len(made.pieces_mm) for made in sets)
