"""The raster of what is left of a board: how much wood a cutter finds above its tip."""

from __future__ import annotations

import itertools
import math

import pytest

from camtools.verify.rules.depth_rules import SKIM, Surface

LOW, HIGH = (0.0, -100.0, -20.0), (80.0, 0.0, 0.0)
RADIUS = 3.0


def fresh() -> Surface:
    return Surface(LOW, HIGH)


def test_a_first_pass_finds_its_whole_depth_and_a_second_what_is_left() -> None:
    surface = fresh()
    assert surface.cut((10, -50, -2), (60, -50, -2), RADIUS).depth_mm == 2
    assert surface.cut((60, -50, -2), (10, -50, -2), RADIUS).depth_mm == 0
    assert surface.cut((10, -50, -5), (60, -50, -5), RADIUS).depth_mm == pytest.approx(3)
    assert surface.cut((10, -50, -4), (60, -50, -4), RADIUS).depth_mm == 0


def test_a_ramp_finds_as_much_as_it_goes_down() -> None:
    """The check lags behind by the radius of the cutter's core, so it never overstates."""
    surface = fresh()
    down = surface.cut((10, -50, 0), (60, -50, -3), RADIUS).depth_mm
    assert 2.7 <= down <= 3.0
    back = surface.cut((60, -50, -3), (10, -50, -3), RADIUS).depth_mm
    assert 2.5 <= back <= 3.0
    assert surface.cut((60, -50, -3), (10, -50, -3), RADIUS).depth_mm == 0


def test_a_plunge_finds_the_wood_below() -> None:
    surface = fresh()
    assert surface.cut((40, -50, 5), (40, -50, -4), RADIUS).depth_mm == 4
    assert surface.cut((40, -50, 5), (40, -50, -4), RADIUS).depth_mm == 0
    assert surface.cut((40, -50, -4), (40, -50, 5), RADIUS).depth_mm == 0


def test_going_up_cuts_what_the_way_down_did() -> None:
    up, down = fresh(), fresh()
    up.cut((60, -50, -3), (10, -50, 0), RADIUS)
    down.cut((10, -50, 0), (60, -50, -3), RADIUS)
    assert up.cut((10, -50, 0), (60, -50, -3), RADIUS) == down.cut((10, -50, 0), (60, -50, -3), RADIUS) == (0, 0, 0)


@pytest.mark.parametrize("way", [((-10, -50, -5), (-3.1, -50, -5)), ((10, 3.1, -5), (60, 3.1, -5)), ((10, -50, 0), (60, -50, 1))])
def test_air_holds_no_wood(way: tuple[tuple[float, float, float], tuple[float, float, float]]) -> None:
    assert fresh().cut(*way, RADIUS).depth_mm == 0


@pytest.mark.parametrize("tenths", range(10))
def test_a_skim_along_either_edge_is_one_whatever_the_width_of_the_board(tenths: int) -> None:
    """Cells end where the board does: none has its middle nearer to the edge than half of its size."""
    high = 80 + tenths / 10
    surface = Surface(LOW, (high, *HIGH[1:]))
    for x in (0.5 * SKIM * surface.cell_mm - RADIUS, high - 0.5 * SKIM * surface.cell_mm + RADIUS):
        assert surface.cut((x, -90, -10), (x, -10, -10), RADIUS).depth_mm == 0


def test_a_narrow_skim_is_no_deep_cut_but_a_wider_one_is() -> None:
    surface = fresh()
    skim = SKIM * surface.cell_mm
    assert surface.cut((-RADIUS + skim - 0.3, -90, -10), (-RADIUS + skim - 0.3, -10, -10), RADIUS).depth_mm == 0
    assert surface.cut((-RADIUS + 2 * skim + 0.5, -90, -10), (-RADIUS + 2 * skim + 0.5, -10, -10), RADIUS).depth_mm == 10


@pytest.mark.parametrize("step", [0.05, 0.3, 0.7, 0.8, 1.1, 5.0])
def test_a_slot_is_as_deep_in_however_short_moves(step: float) -> None:
    """It begins in air, and no move of it goes further into wood than a skim is wide."""
    surface, places = fresh(), [-5.0 + step * i for i in range(math.ceil(30.0 / step))]
    assert max(surface.cut((a, -50, -10), (b, -50, -10), RADIUS).depth_mm for a, b in itertools.pairwise(places)) == 10


@pytest.mark.parametrize("step", [0.05, 0.3, 0.7, 5.0])
def test_a_narrow_skim_in_short_moves_is_no_deep_cut(step: float) -> None:
    """Along the edge, away from it, and along it again: 0.3 mm of the edge is gone, at full depth, each time."""
    surface, line = fresh(), -RADIUS + 0.3
    along = [(line, -90.0 + step * i) for i in range(math.ceil(60.0 / step))]
    away = [(line - step * i, along[-1][1]) for i in range(math.ceil(5.0 / step))]
    places = [*along, *away, *reversed(away), *reversed(along)]
    assert max(surface.cut((*a, -10), (*b, -10), RADIUS).depth_mm for a, b in itertools.pairwise(places)) == 0


def test_slanting_passes_side_by_side_leave_no_false_wood() -> None:
    """Passes one radius apart, on a slant to the raster, each to the same depth and then deeper."""
    surface = fresh()
    for depth in (-2.0, -4.0, -6.0):
        found = [surface.cut((5 + step, -95, depth), (45 + step, -5, depth), RADIUS).depth_mm for step in range(0, 30, 3)]
        assert max(found) == pytest.approx(2)


def test_an_oversize_board_is_not_judged() -> None:
    surface = Surface((0, 0, -20), (9000, 3000, 0))
    assert not surface.judged
    assert surface.cut((10, 10, -5), (60, 10, -5), RADIUS).depth_mm == 0


@pytest.mark.parametrize("end", [(60, -50, -4), (44, -16, -4)])
def test_a_slot_has_the_section_of_its_width_and_depth_and_a_pass_beside_it_what_it_takes(end: tuple[float, float, float]) -> None:
    """Along the axes and aslant, on a raster of half a millimetre, within half a millimetre of width on either side."""
    surface, beside = fresh(), 2.0
    start = (10, -50, -4)
    length = math.dist(start, end)
    across = (-(end[1] - start[1]) / length * beside, (end[0] - start[0]) / length * beside, 0.0)
    assert surface.cut(start, end, RADIUS).section_mm2 == pytest.approx(4 * 2 * RADIUS, abs=4 * 1.0)
    moved = [tuple(a + b for a, b in zip(point, across, strict=True)) for point in (start, end)]
    assert surface.cut(*moved, RADIUS).section_mm2 == pytest.approx(4 * beside, abs=4 * 0.5)


@pytest.mark.parametrize("step", [0.1, 0.7, 3.0])
def test_a_slot_has_the_same_section_in_however_short_moves(step: float) -> None:
    surface = fresh()
    surface.cut((10, -50, -4), (20, -50, -4), RADIUS)
    places = [20 + i * step for i in range(round(12 / step) + 1)]
    found = [surface.cut((a, -50, -4), (b, -50, -4), RADIUS).section_mm2 for a, b in itertools.pairwise(places)]
    assert max(found) == pytest.approx(4 * 2 * RADIUS, abs=4 * 2.0)


def test_a_move_that_is_in_wood_for_a_part_only_has_the_section_of_that_part() -> None:
    assert fresh().cut((-60, -50, -4), (6, -50, -4), RADIUS).section_mm2 == pytest.approx(4 * 2 * RADIUS, abs=4 * 1.0)
