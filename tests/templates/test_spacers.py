"""Distance pieces: with the guides they add up to the board, and stand where the tails are."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import accumulate

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import Polygon

from camtools.drawer.boards import Tail
from camtools.faults import CannotCut
from camtools.geometry.half_blind import tail_corner_of
from camtools.templates.bushes import Bush
from camtools.templates.combs import tails_comb
from camtools.templates.spacers import Guide, guide_for, spacer, spacers_of, spacers_off
from tests.joint_specimens import HALF_BLIND, THROUGH, half_blind

JOINTS = {**{f"half-blind {n}": j for n, j in HALF_BLIND.items()}, **{f"through {n}": j for n, j in THROUGH.items()}}


@pytest.mark.parametrize("joint", JOINTS.values(), ids=JOINTS.keys())
def test_fingers_and_pieces_side_by_side_add_up_to_the_board(joint) -> None:
    made = spacers_of(joint, Guide(6.0, 2.0, 12.0), None, "H1")
    across = [made.low_edge_mm]
    for gap in (*made.gaps_mm, made.high_edge_mm):
        across += [6.0, gap]
    places = list(accumulate(across))
    assert places[-1] == pytest.approx(joint.width_mm, abs=1e-9)
    middles = [place + 3.0 for place in places[::2][: len(joint.tails)]]
    assert middles == pytest.approx([tail.middle_mm for tail in joint.tails])


def test_sixteen_millimetres_over_two_mirrored_gaps_open_each_by_eight() -> None:
    """On the widest drawer six standard tails fall short by 16 mm; two mirrored gaps take it (common practice, no source)."""
    tails = [Tail(middle, 24.0) for middle in accumulate((12.0, 31.0, 35.0, 31.0, 35.0, 31.0))]
    joint = replace(half_blind(), tails=tuple(tails), width_mm=6 * 22.0 + 5 * 9.0 + 16.0)
    assert spacers_of(joint, Guide(22.0, 2.0, 12.0), 0.0, "H1").gaps_mm == pytest.approx((9.0, 17.0, 9.0, 17.0, 9.0))
    lopsided = replace(joint, tails=(*tails[:-1], replace(tails[-1], middle_mm=tails[-1].middle_mm + 1.0)))
    assert spacers_of(lopsided, Guide(22.0, 2.0, 12.0), 0.0, "H1").gaps_mm == pytest.approx((12.2,) * 5)


@given(st.integers(2, 9), st.floats(5.0, 30.0), st.floats(0.0, 40.0))
def test_guides_inset_share_the_board_or_are_refused_with_its_width(count: int, across: float, inset: float) -> None:
    joint = half_blind(width=40.0 * count, count=count)
    if 2 * inset + count * across > joint.width_mm:
        with pytest.raises(CannotCut, match=rf"H1: .* no room between their insets; found .* mm; limit the board's {joint.width_mm:g} mm"):
            spacers_of(joint, Guide(across, 2.0, 12.0), inset, "H1")
        return
    made = spacers_of(joint, Guide(across, 2.0, 12.0), inset, "H1")
    assert made.gaps_mm == pytest.approx(made.gaps_mm[::-1])
    assert 2 * inset + count * across + sum(made.gaps_mm) == pytest.approx(joint.width_mm)
    assert all(gap >= 0.0 for gap in made.gaps_mm)


def test_guides_too_wide_for_neighbouring_tails_are_refused() -> None:
    with pytest.raises(CannotCut, match=r"found 40 mm; limit at most 32\.5 mm"):
        spacers_of(half_blind(), Guide(40.0, 2.0, 12.0), None, "H1")


@pytest.mark.parametrize("inset", [0.0, 1.5])
def test_first_and_last_finger_may_stand_flush_or_just_inside_the_edges(inset: float) -> None:
    made = spacers_of(half_blind(width=160.0, count=4), Guide(18.0, 2.0, 12.0), inset, "H1")
    assert (made.low_edge_mm, made.high_edge_mm) == (inset, inset)


def test_the_guide_that_suits_a_tail_is_as_wide_and_as_round_as_the_combs_finger() -> None:
    joint, bush = half_blind(), 12.0
    tail = joint.tails[0].width_mm
    guide = guide_for(joint, tail, bush)
    assert guide.width_mm == pytest.approx(tails_comb(joint, Bush(bush, 1.0, 6.0), "H1").finger_mm, abs=0.005)
    assert guide.radius_mm == pytest.approx(tail_corner_of(joint).radius_mm - bush / 2, abs=0.005)
    made = spacers_of(joint, guide, None, "H1")
    assert made.tail_mm == pytest.approx(tail, abs=0.01)
    assert abs(made.radius_off_mm) < 0.01


@pytest.mark.parametrize("width", [30.0, 12.0, 8.0, 7.9, 3.0])
def test_front_corners_have_the_fingers_radius(width: float) -> None:
    """Laid beside a guide, front flush, every arc has the guide's own radius and leaves the side along it."""
    radius = 4.0
    piece = spacer(width, radius).outline
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
    if width < 2 * radius:  # the arcs meet
        assert piece.vertices[1][:2] == pytest.approx((width / 2, 0.0))


def test_pieces_serve_one_joint_at_a_time() -> None:
    sets = [spacers_of(half_blind(width=w, count=n), Guide(10.0, 2.0, 12.0), None, "H") for w, n in ((100.0, 3), (100.0, 3), (160.0, 5))]
    off = spacers_off(sets)
    assert list(off) == sorted(off)
    for made in sets:
        widths = [round(width, 2) for width in made.pieces_mm]
        assert all(widths.count(width) <= off[width] for width in widths)
    assert sum(off.values()) < sum(len(made.pieces_mm) for made in sets)
