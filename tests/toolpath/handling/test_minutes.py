"""Handling is counted and told in minutes. Figures are by hand."""

from __future__ import annotations

from camtools.job.job import Handling
from camtools.toolpath.handling.minutes import Handled, Seat, handled


def seat(hold: str, offset: str, height: float | None = 12.0, cutter: int = 1) -> Seat:
    return Seat(hold, offset, height, cutter)


def test_every_board_that_stands_as_it_is_clamped_asks_for_its_zero_and_a_flat_one_only_where_another_thickness_comes() -> None:
    upright = ((seat("upright", "G54", None), seat("upright", "G55", None)), 3)
    thin = ((seat("flat", "G58"), seat("flat", "G59")), 4)
    mixed = ((seat("flat", "G58"), seat("flat", "G59", 20.0)), 2)
    assert handled([upright]) == Handled(setups=3, boards=6, zeros=6, holds=0, cutters=0)
    assert handled([thin, thin]) == Handled(setups=8, boards=16, zeros=2, holds=0, cutters=0)
    assert handled([thin, mixed, thin]) == Handled(setups=10, boards=20, zeros=4, holds=0, cutters=0)
    assert handled([upright, thin]) == Handled(setups=7, boards=14, zeros=8, holds=1, cutters=0)


def test_a_height_stop_saves_all_zeros_but_one_at_each_stop() -> None:
    levelled = ((seat("upright", "G54", 0.0), seat("upright", "G55", 0.0)), 7)
    assert handled([levelled, levelled]).zeros == 2


def test_every_zero_is_set_anew_with_another_cutter() -> None:
    first, second = (((seat("flat", "G58", cutter=cutter),), 1) for cutter in (1, 2))
    assert handled([first, second]) == Handled(setups=2, boards=2, zeros=2, holds=0, cutters=1)


def test_minutes_are_those_of_each_part() -> None:
    each = Handling(setup_min=2.0, board_min=0.5, zero_min=1.0, hold_min=3.0)
    assert Handled(setups=10, boards=20, zeros=6, holds=2, cutters=4).minutes(each, 90.0) == 20 + 10 + 6 + 6 + 6
    assert handled([]).minutes(each, 90.0) == 0
