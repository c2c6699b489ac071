"""Laser kerf against published figures (docs/sources.md section 10; kinds of source named in each)."""

from __future__ import annotations

import pytest

from camtools.templates.outlines import circle, rectangle
from camtools.templates.plates import Plate, drawn_for_kerf
from tests.specimens import template_wish


def test_part_smaller_and_hole_larger_by_a_kerf_unless_drawn_for_it() -> None:
    """Trade and a university workshop: draw outlines half a kerf out, holes half a kerf in, on each side."""
    kerf = 0.2
    drawn = drawn_for_kerf(Plate("part", rectangle(0, 0, 50, 30), (circle(25, 15, 8),)), kerf)
    x0, _, x1, _ = drawn.outline.bounds_mm
    h0, _, h1, _ = drawn.openings[0].bounds_mm
    assert x1 - x0 - kerf == pytest.approx(50.0)
    assert h1 - h0 + kerf == pytest.approx(8.0)


def test_the_default_kerf_is_the_one_seen_for_six_millimetre_birch_plywood() -> None:
    """A laser shop's table: birch plywood 1.6 mm 0.15, 3 mm 0.20, 6 mm 0.25."""
    wishes = template_wish()
    assert (wishes.comb_mm, wishes.kerf_mm) == (6.0, 0.25)
