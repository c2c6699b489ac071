"""The raster of what is left of a board: how much wood a cutter finds above its tip."""

from __future__ import annotations

import pytest

from camtools.verify.rules.depth_rules import SKIM, Surface

LOW, HIGH = (0.0, -100.0, -20.0), (80.0, 0.0, 0.0)
RADIUS = 3.0


def fresh() -> Surface:
    return Surface(LOW, HIGH)


def test_a_first_pass_finds_its_whole_depth_and_a_second_what_is_left() -> None:
    surface = fresh()
    assert surface.cut((10, -50, -2), (60, -50, -2), RADIUS) == 2
    assert surface.cut((60, -50, -2), (10, -50, -2), RADIUS) == 0
    assert surface.cut((10, -50, -5), (60, -50, -5), RADIUS) == pytest.approx(3)
    assert surface.cut((10, -50, -4), (60, -50, -4), RADIUS) == 0


def test_a_ramp_finds_as_much_as_it_goes_down() -> None:
    """The check lags behind by the radius of the cutter's core, so it never overstates."""
    surface = fresh()
    down = surface.cut((10, -50, 0), (60, -50, -3), RADIUS)
    assert 2.7 <= down <= 3.0
    back = surface.cut((60, -50, -3), (10, -50, -3), RADIUS)
    assert 2.5 <= back <= 3.0
    assert surface.cut((60, -50, -3), (10, -50, -3), RADIUS) == 0


def test_a_plunge_finds_the_wood_below() -> None:
    surface = fresh()
    assert surface.cut((40, -50, 5), (40, -50, -4), RADIUS) == 4
    assert surface.cut((40, -50, 5), (40, -50, -4), RADIUS) == 0
    assert surface.cut((40, -50, -4), (40, -50, 5), RADIUS) == 0


def test_going_up_cuts_what_the_way_down_did() -> None:
    up, down = fresh(), fresh()
    up.cut((60, -50, -3), (10, -50, 0), RADIUS)
    down.cut((10, -50, 0), (60, -50, -3), RADIUS)
    assert up.cut((10, -50, 0), (60, -50, -3), RADIUS) == down.cut((10, -50, 0), (60, -50, -3), RADIUS) == 0


@pytest.mark.parametrize("way", [((-10, -50, -5), (-3.1, -50, -5)), ((10, 3.1, -5), (60, 3.1, -5)), ((10, -50, 0), (60, -50, 1))])
def test_air_holds_no_wood(way: tuple[tuple[float, float, float], tuple[float, float, float]]) -> None:
    assert fresh().cut(*way, RADIUS) == 0


def test_a_narrow_skim_is_no_deep_cut_but_a_wider_one_is() -> None:
    surface = fresh()
    skim = SKIM * surface.cell_mm
    assert surface.cut((-RADIUS + skim - 0.3, -90, -10), (-RADIUS + skim - 0.3, -10, -10), RADIUS) == 0
    assert surface.cut((-RADIUS + 2 * skim + 0.5, -90, -10), (-RADIUS + 2 * skim + 0.5, -10, -10), RADIUS) == 10


def test_slanting_passes_side_by_side_leave_no_false_wood() -> None:
    """Passes one radius apart, on a slant to the raster, each to the same depth and then deeper."""
    surface = fresh()
    for depth in (-2.0, -4.0, -6.0):
        found = [surface.cut((5 + step, -95, depth), (45 + step, -5, depth), RADIUS) for step in range(0, 30, 3)]
        assert max(found) == pytest.approx(2)


def test_an_oversize_board_is_not_judged() -> None:
    surface = Surface((0, 0, -20), (9000, 3000, 0))
    assert not surface.judged
    assert surface.cut((10, 10, -5), (60, 10, -5), RADIUS) == 0
