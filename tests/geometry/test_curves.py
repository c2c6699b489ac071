"""Curves of lines and arcs: length and mirror image, worked by hand."""

from __future__ import annotations

import math

import pytest

from camtools.geometry.curves import ArcSegment, LineSegment, length_mm, mirrored

QUARTER = ArcSegment((10.0, 0.0), (0.0, 10.0), (0.0, 0.0), clockwise=False)


def test_an_arc_is_longer_than_its_chord() -> None:
    """A quarter of a circle of 10 mm radius, 5 pi, and a line of 10 mm."""
    assert length_mm((LineSegment((10.0, -10.0), (10.0, 0.0)), QUARTER)) == pytest.approx(10.0 + 5 * math.pi)


def test_a_mirrored_curve_is_run_backwards_and_keeps_its_left() -> None:
    """The wood on the left of a quarter turn counter-clockwise lies at its centre, and so it does in the mirror image."""
    (arc,) = mirrored((QUARTER,))
    assert isinstance(arc, ArcSegment)
    assert (arc.start, arc.end, arc.centre) == ((0.0, 10.0), (-10.0, 0.0), (0.0, 0.0))
    assert arc.sweep_deg == pytest.approx(90.0)
