"""Grooves and bottoms of plain boxes with grooves of known place."""

from __future__ import annotations

import pytest
from manifold3d import Manifold

from camtools.verify.fit.bottom_fit import measure_bottom, open_face_mm2
from camtools.verify.fit.judge import season_faults

OUTSIDE = (100.0, 80.0, 40.0)


def box(low, high):
    return Manifold.cube(tuple(b - a for a, b in zip(low, high, strict=True))).translate(low)


def drawer(left_groove=(8.0, 12.0), depth=4.0):
    """Four boards 10 mm thick, butted, with a groove all round from inside corner to inside corner."""
    low, high = left_groove
    return {
        "front": box((0, 0, 0), (100, 10, 40)) - box((10, 10 - 4, 8), (90, 11, 12)),
        "back": box((0, 70, 0), (100, 80, 40)) - box((10, 69, 8), (90, 74, 12)),
        "left": box((0, 10, 0), (10, 70, 40)) - box((10 - depth, 10, low), (11, 70, high)),
        "right": box((90, 10, 0), (100, 70, 40)) - box((89, 10, 8), (94, 70, 12)),
    }


PANEL = box((6.5, 10.5, 8.05), (93.5, 69.5, 11.95))


def test_grooves_are_measured_on_all_four_boards():
    found = measure_bottom(drawer(), PANEL, OUTSIDE, raised=False)
    assert found.thickness_mm == pytest.approx(3.9)
    for side in found.sides:
        groove = side.groove
        assert (groove.low_mm, groove.high_mm, groove.depth_mm) == pytest.approx((8.0, 12.0, 4.0))
        assert (groove.below_mm, groove.behind_mm, groove.slant_mm) == pytest.approx((8.0, 6.0, 0.0), abs=1e-9)
        assert side.overlap.depth_mm == 0.0
    ends = {side.part: (side.groove.start_mm, side.groove.end_mm) for side in found.sides}
    assert ends == {"front": (10.0, 90.0), "back": (10.0, 90.0), "left": (10.0, 70.0), "right": (10.0, 70.0)}


def test_bottom_is_held_where_it_reaches_into_a_groove():
    found = {side.part: side for side in measure_bottom(drawer(), PANEL, OUTSIDE, raised=False).sides}
    assert found["left"].engaged_mm == pytest.approx(3.5)
    assert found["left"].held_mm2 == pytest.approx(3.5 * 59.0)
    assert found["front"].engaged_mm == pytest.approx(-0.5)
    assert found["front"].held_mm2 == pytest.approx(0.0)


def test_board_without_a_groove_at_the_bottoms_height_has_none_and_overlaps():
    found = {side.part: side for side in measure_bottom(drawer(left_groove=(20.0, 24.0)), PANEL, OUTSIDE, raised=False).sides}
    assert found["left"].groove is None
    assert found["left"].overlap.depth_mm == pytest.approx(3.5, abs=0.3)


def test_side_is_blocked_by_a_bottom_that_its_groove_does_not_take():
    way = dict(measure_bottom(drawer(depth=2.0), PANEL, OUTSIDE, raised=False).blocked)
    assert way["left"].width_mm == pytest.approx(3.9, abs=0.01)
    assert way["right"].width_mm == 0.0


def test_bottom_under_a_raised_back_slides_in_unless_the_back_comes_down_to_it():
    boards = drawer()
    boards["back"] = box((10, 70, 12.5), (90, 80, 40))
    boards["left"] = box((0, 10, 0), (10, 80, 40)) - box((6, 10, 8), (11, 81, 12))
    boards["right"] = box((90, 10, 0), (100, 80, 40)) - box((89, 10, 8), (94, 81, 12))
    panel = box((6.5, 10.5, 8.05), (93.5, 79.0, 11.95))
    assert dict(measure_bottom(boards, panel, OUTSIDE, raised=True).blocked)["bottom"].width_mm == 0.0
    boards["back"] = box((10, 70, 11.0), (90, 80, 40))
    blocked = dict(measure_bottom(boards, panel, OUTSIDE, raised=True).blocked)["bottom"]
    assert blocked.width_mm == pytest.approx(0.95, abs=0.01)
    assert blocked.place[1] > 69.0


def test_hole_in_an_outside_face_is_found_and_a_groove_behind_it_is_none():
    side = drawer()["left"]
    assert open_face_mm2("left", side, OUTSIDE, 0.0)[0] == 0.0
    area, place = open_face_mm2("left", side - box((-1, 30, 9), (11, 32, 11)), OUTSIDE, 0.0)
    assert area == pytest.approx(4.0, abs=1e-6)
    assert place[1] == pytest.approx(31.0, abs=1.0)


# Tangential coefficients of the Wood Handbook's Table 13-5, a tenth less: of oaks 0.00230 at least, of beech 0.00427 (Hoadley).
@pytest.mark.parametrize(
    ("written", "told"),
    [
        ({"bottom_wood": "oak", "now": 8.0, "dampest": 14.0}, []),  # 64 mm grow by 0.8 mm
        ({"bottom_wood": "European beech", "now": 8.0, "dampest": 14.0}, ["grows by 1.48 mm"]),
        ({"bottom_wood": "European beech", "now": 8.0, "dampest": 14.0, "sawn": "quarter"}, []),
        ({"bottom_wood": "oak", "now": 26.0, "dampest": 26.0, "driest": 4.0}, []),  # and shrink by 2.91 mm
        ({"wood": "European beech", "now": 26.0, "dampest": 26.0, "driest": 4.0}, ["shrinks by 5.41 mm"]),
        ({"bottom_wood": "European beech", "now": 8.0, "dampest": 14.0, "bottom_kind": "plywood"}, []),
        ({"bottom_wood": "oak", "now": 4.0, "climate.dampest": ("86 F", 95.0)}, ["grows by"]),
    ],
)
def test_solid_bottom_must_have_room_to_swell_and_stay_in_its_grooves(written, told):
    panel = box((6.5, 6.5, 8.05), (93.5, 73.5, 11.95))  # 3.5 mm in the grooves of front and back, which are 4 mm deep
    found = measure_bottom(drawer(), panel, OUTSIDE, raised=False)
    texts = [fault.text for fault in season_faults(found, {"bottom_kind": "solid"} | written, 64.0)]
    assert len(texts) == len(told)
    assert all(words in text for words, text in zip(told, texts, strict=True))
