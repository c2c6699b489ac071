"""Nesting: nothing is lost, nothing touches, nothing leaves the sheet."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import Polygon, box

from camtools.faults import CannotCut
from camtools.templates.outlines import rectangle
from camtools.templates.plates import APART_MM, Plate, nested


@given(st.lists(st.tuples(st.floats(2.0, 190.0), st.floats(2.0, 90.0)), min_size=1, max_size=30))
def test_parts_keep_their_distance_on_every_sheet(sizes: list[tuple[float, float]]) -> None:
    plates = [Plate(f"{i}", rectangle(5.0, 7.0, 5.0 + w, 7.0 + h)) for i, (w, h) in enumerate(sizes)]
    sheets = nested(plates, (200.0, 100.0))
    assert sorted(plate.name for sheet in sheets for plate in sheet) == sorted(plate.name for plate in plates)
    for sheet in sheets:
        shapes = [Polygon(plate.outline.points()) for plate in sheet]
        assert all(box(0.0, 0.0, 200.0, 100.0).buffer(-APART_MM + 1e-6).contains(shape) for shape in shapes)
        for i, first in enumerate(shapes):
            assert all(first.distance(second) >= APART_MM - 1e-6 for second in shapes[i + 1 :])


def test_a_part_is_turned_where_it_only_fits_so() -> None:
    ((plate,),) = nested([Plate("tall", rectangle(0.0, 0.0, 20.0, 150.0))], (200.0, 100.0))
    assert plate.outline.bounds_mm == pytest.approx((4.0, 4.0, 154.0, 24.0))


def test_a_part_larger_than_the_sheet_is_refused_with_sizes() -> None:
    with pytest.raises(CannotCut, match=r"comb: the part is larger than the sheet; found 300 x 60 mm; limit 192 x 92 mm"):
        nested([Plate("comb", rectangle(0.0, 0.0, 300.0, 60.0))], (200.0, 100.0))


def test_the_same_parts_are_laid_out_alike() -> None:
    plates = [Plate(f"{i}", rectangle(0.0, 0.0, 10.0, 40.0)) for i in range(9)]
    assert nested(plates, (200.0, 100.0)) == nested(plates, (200.0, 100.0))
