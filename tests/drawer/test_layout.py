from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from camtools.drawer.bounds import Bounds, Least, bounds_of
from camtools.drawer.division import Measures
from camtools.drawer.layout import Laid, broken_by, counts, divisions, lay_out, measures_for, proportion
from camtools.drawer.styles import STYLES
from tests.specimens import JOINT, drawer, job_of

WISH = drawer()
BOUNDS = bounds_of(job_of(WISH), WISH)


def _laid(width: float, style: str, **asked: object) -> Laid:
    joint = replace(JOINT, style=style, **asked)  # type: ignore[arg-type]
    laid = lay_out(width, STYLES[style], joint, measures_for([width], STYLES[style], joint, BOUNDS), BOUNDS)
    assert isinstance(laid, Laid), laid
    return laid


@pytest.mark.parametrize(("width", "count"), [(50, 1), (75, 2), (100, 3), (125, 4)])
def test_a_teachers_count_of_tails_is_met_within_one(width: float, count: int) -> None:
    # A teacher's lesson, imperial rounded: 50 mm board 1 tail, 75 -> 2, 100 -> 3, 125 -> 4.
    assert abs(_laid(width, "even").division.count - count) <= 1


@given(width=st.floats(60, 400), style=st.sampled_from(sorted(STYLES)))
def test_what_is_chosen_breaks_no_bound_and_is_among_what_works(width: float, style: str) -> None:
    laid = _laid(width, style)
    assert broken_by(laid.division, BOUNDS) == []
    assert laid.division.count in laid.works
    tails = laid.division.tails()
    assert tails[0].low_mm == pytest.approx(laid.division.half_pin_mm, abs=1e-5)
    assert width - tails[-1].high_mm == pytest.approx(laid.division.half_pin_mm, abs=1e-5)


@given(width=st.floats(60, 400))
def test_equal_tails_are_in_the_proportion_that_the_trade_likes(width: float) -> None:
    # Tails to pins from 1:1 to 4:1, docs/sources.md section 3; a board that has but one tail has no pin to compare.
    division = _laid(width, "even").division
    if division.pins_mm and width > 90:
        assert 1 <= proportion(division.tails_mm[0], division.pins_mm[0], BOUNDS) <= 4


@given(widths=st.lists(st.floats(60, 320), min_size=1, max_size=9), style=st.sampled_from(sorted(STYLES)))
def test_standard_measures_of_a_family_serve_every_drawer_in_it(widths: list[float], style: str) -> None:
    joint = replace(JOINT, style=style)
    measures = measures_for(widths, STYLES[style], joint, BOUNDS)
    for width in widths:
        assert isinstance(lay_out(width, STYLES[style], joint, measures, BOUNDS), Laid)


def test_what_the_job_file_gives_is_taken_as_it_is() -> None:
    joint = replace(JOINT, tail_mm=26.3, pin_mm=8.1, half_pin_mm=4.4)
    assert measures_for([90, 140], STYLES["standard"], joint, BOUNDS) == Measures(26.3, 8.1, 4.4)


def test_the_number_asked_for_is_taken_where_it_can_be_cut() -> None:
    laid = _laid(140, "even", tails=3)
    assert laid.division.count == 3
    assert laid.works != (3,)


def test_a_number_that_can_not_be_cut_tells_which_bounds_it_breaks() -> None:
    joint = replace(JOINT, tails=6)
    broken = lay_out(100, STYLES["even"], joint, measures_for([100], STYLES["even"], joint, BOUNDS), BOUNDS)
    assert isinstance(broken, list)
    assert {one.what for one in broken} == {"tail", "upper corner of the lowest tail"}
    tail = next(one for one in broken if one.what == "tail")
    assert tail.value_mm == pytest.approx((100 - 2 * 5.7 - 5 * 7) / 6)
    assert tail.limit == "at least 12.48 mm"


@pytest.mark.parametrize(
    ("width", "count", "words"), [(100, 4, "4 standard tails of 30 mm with"), (40, 1, "1 standard tail of 30 mm with")]
)
def test_standard_tails_that_do_not_fit_are_told_with_the_width_they_need(width: float, count: int, words: str) -> None:
    joint = replace(JOINT, style="standard", tail_mm=30.0, tails=count)
    broken = lay_out(width, STYLES["standard"], joint, Measures(30.0, 7.0, 5.5), BOUNDS)
    assert isinstance(broken, list)
    assert broken[0].what.startswith(words)
    assert broken[0].value_mm == pytest.approx(11 + count * 30 + (count - 1) * 7)
    assert broken[0].limit == f"width of {width} mm"


def test_a_standard_tail_under_its_bound_is_refused_and_not_evaded_by_wide_ones() -> None:
    joint = replace(JOINT, style="standard", tail_mm=12.0)
    broken = lay_out(100, STYLES["standard"], joint, measures_for([100], STYLES["standard"], joint, BOUNDS), BOUNDS)
    assert isinstance(broken, list)
    assert [(one.what, one.value_mm) for one in broken] == [("standard tail", 12.0)]


def test_a_pin_under_its_bound_is_refused_and_not_evaded_by_a_single_tail() -> None:
    joint = replace(JOINT, pin_mm=6.7)
    broken = lay_out(100, STYLES["even"], joint, measures_for([100], STYLES["even"], joint, BOUNDS), BOUNDS)
    assert isinstance(broken, list)
    assert [(one.what, one.limit) for one in broken] == [("standard pin", "at least 6.77 mm")]


def test_a_raised_back_gets_two_tails_where_two_can_be_cut() -> None:
    raised = replace(BOUNDS, raised=True)
    for width in range(56, 70):
        found = divisions(width, STYLES["even"], Measures(50.0, 7.0, 5.7), raised)
        assert len(found) > 1
        assert found[0].count == 2, "though one tail would be nearer to the standard"


@pytest.mark.parametrize("bound", ["tail", "pin", "half_pin"])
def test_each_bound_is_broken_just_below_it_and_kept_at_it(bound: str) -> None:
    division = STYLES["even"].divide(120, 3, Measures(24.0, 7.0, 5.7))
    assert division is not None
    value = {"tail": min(division.tails_mm), "pin": 7.0, "half_pin": 5.7}[bound]

    def bounds(least: float) -> Bounds:
        return replace(BOUNDS, **{bound: Least(least, "a reason")})

    assert broken_by(division, bounds(value)) == []
    (broken,) = broken_by(division, bounds(value + 0.001))
    assert broken.reason == "a reason"
    assert broken.value_mm == pytest.approx(value)


def test_the_groove_bounds_the_lowest_tail_from_both_sides() -> None:
    division = STYLES["even"].divide(120, 3, Measures(24.0, 7.0, 5.7))
    assert division is not None
    assert [one.what for one in broken_by(division, replace(BOUNDS, most_half_pin_mm=5.69))] == ["lower corner of the lowest tail"]
    high = 5.7 + division.tails_mm[0]
    assert broken_by(division, replace(BOUNDS, first_high=Least(high, ""))) == []
    assert [one.what for one in broken_by(division, replace(BOUNDS, first_high=Least(high + 0.01, "")))] == [
        "upper corner of the lowest tail"
    ]


def test_numbers_of_tails_read_well() -> None:
    assert counts([1]) == "1 tail"
    assert counts([2, 3, 4]) == "2, 3 or 4 tails"
