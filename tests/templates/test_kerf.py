"""Kerf: parts come out of the laser at their true size."""

from __future__ import annotations

import pytest
from shapely import Polygon

from camtools.faults import CannotCut
from camtools.templates.outlines import circle, rectangle
from camtools.templates.plates import Engraving, Plate, drawn_for_kerf, strips_to_measure
from camtools.templates.router_settings import Depth, blocks_of

PLATE = Plate("part", rectangle(0.0, 0.0, 40.0, 20.0), (circle(10.0, 10.0, 5.0),), (((1.0, 1.0), (5.0, 1.0)),), (Engraving("A", 5, 5, 3),))


@pytest.mark.parametrize("kerf", [0.0, 0.1, 0.25, 0.45])
def test_outlines_grow_and_openings_shrink_by_half_a_kerf_on_each_side(kerf: float) -> None:
    drawn = drawn_for_kerf(PLATE, kerf)
    assert drawn.outline.bounds_mm == pytest.approx((-kerf / 2, -kerf / 2, 40.0 + kerf / 2, 20.0 + kerf / 2))
    assert drawn.openings[0].bounds_mm == pytest.approx((7.5 + kerf / 2, 7.5 + kerf / 2, 12.5 - kerf / 2, 12.5 - kerf / 2))
    assert (drawn.lines, drawn.labels) == (PLATE.lines, PLATE.labels)


def test_a_beam_along_the_drawn_lines_leaves_the_true_part() -> None:
    kerf = 0.3
    drawn = drawn_for_kerf(PLATE, kerf)
    sheet = Polygon(drawn.outline.points(1e-4)).difference(Polygon(drawn.openings[0].points(1e-4)))
    beam = sheet.boundary.buffer(kerf / 2, quad_segs=200)
    part = Polygon(PLATE.outline.points(1e-4)).difference(Polygon(PLATE.openings[0].points(1e-4)))
    assert sheet.difference(beam).symmetric_difference(part).area < 0.01


def test_an_opening_smaller_than_the_kerf_is_refused() -> None:
    plate = Plate("label", rectangle(0.0, 0.0, 20.0, 20.0), (circle(10.0, 10.0, 0.2),))
    with pytest.raises(CannotCut, match=r"label: the kerf is too wide for this part; found a kerf of 0\.3 mm"):
        drawn_for_kerf(plate, 0.3)


def test_a_setting_block_is_as_high_whatever_the_kerf() -> None:
    """Feet and bar are moved the same way, so their distance stays."""
    (block,) = blocks_of([Depth(21.0, 12.0, "tails")])
    for kerf in (0.0, 0.2, 0.45):
        ys = sorted({round(y, 9) for _, y, _ in drawn_for_kerf(block, kerf).outline.vertices})
        assert ys[1] - ys[0] == pytest.approx(21.0)


def test_strips_of_the_test_are_all_of_one_width() -> None:
    strips = strips_to_measure()
    assert len(strips) == 10
    assert {strip.outline.bounds_mm[2] - strip.outline.bounds_mm[0] for strip in strips} == {12.0}
