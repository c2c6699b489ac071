"""The audit before writing: each kind of doubtful line is found, and nothing where all is well."""

from __future__ import annotations

import pytest

from camtools.faults import PacketFault
from camtools.templates.dxf import Shape, faults_in, open_shape, refuse_doubtful, shape_of
from camtools.templates.outlines import circle, rectangle

SQUARE = shape_of(rectangle(0, 0, 10, 10), "cut")
BOW = Shape("cut", ((0, 0, 0), (10, 10, 0), (10, 0, 0), (0, 10, 0)), closed=True)
BAD = {
    "not closed": [Shape("cut", SQUARE.vertices, closed=False)],
    "crosses itself": [BOW],
    "two outlines touch or cross": [SQUARE, shape_of(rectangle(10, 0, 20, 10), "cut")],
    "burned twice": [SQUARE, open_shape([(2, 0), (8, 0)], "engrave")],
    "lie on one another": [SQUARE, open_shape([(2, 5), (8, 5)], "engrave"), open_shape([(8, 5), (2, 5)], "engrave")],
}


@pytest.mark.parametrize(("told", "shapes"), BAD.items(), ids=BAD.keys())
def test_a_doubtful_line_is_found(told: str, shapes: list[Shape]) -> None:
    assert any(told in str(fault) for fault in faults_in("part", shapes))
    with pytest.raises(PacketFault):
        refuse_doubtful("part", shapes)


def test_crossing_arcs_are_found() -> None:
    shapes = [shape_of(circle(0, 0, 10), "cut"), shape_of(circle(8, 0, 10), "cut")]
    assert any("touch or cross" in str(fault) for fault in faults_in("part", shapes))


def test_good_parts_and_empty_files_pass() -> None:
    inside = shape_of(circle(5, 5, 4), "cut")
    far = Shape("cut", ((20, 0, 0), (30, 0, 0.5), (30, 10, 0), (20, 10, 0)), closed=True)
    crossing = [open_shape([(1, 1), (9, 9)], "engrave"), open_shape([(9, 1), (1, 9)], "engrave")]
    assert faults_in("part", [SQUARE, inside, far, *crossing]) == []
    assert faults_in("part", []) == []
