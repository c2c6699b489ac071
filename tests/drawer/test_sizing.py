from __future__ import annotations

from dataclasses import replace

import pytest

from camtools.drawer.movement import across_mm
from camtools.drawer.sizing import RUNNING_MM, Sizes, sizes_of, swelling_mm
from camtools.faults import CannotCut, Change
from camtools.job.job import DrawerWish
from camtools.job.woods import find_wood
from tests.specimens import FIT, GROOVE, JOINT, STOCK, drawer


def _sizes(wish: DrawerWish) -> Sizes:
    return sizes_of(wish, "here")


def _warnings(wish: DrawerWish) -> str:
    return " ".join(note.text for note in _sizes(wish).notes if note.kind == "warning")


def test_an_inset_drawer_is_its_opening_less_the_clearances() -> None:
    fit = replace(FIT, side_mm=0.6, above_mm=2.0, behind_mm=8.0, reveal_mm=1.5, finish_mm=0.0)
    assert _sizes(drawer(400, 120, 350, outside=False, fit=fit)).outside_mm == pytest.approx((400 - 1.2, 350 - 8 - 1.5, 118))


def test_what_is_planed_off_in_fitting_is_left_on_each_side() -> None:
    fit = replace(FIT, side_mm=0.6, finish_mm=0.25)
    sizes = _sizes(drawer(400, 120, 350, outside=False, fit=fit))
    assert sizes.outside_mm[0] == pytest.approx(400 - 1.2 + 0.5)
    assert any("0.25 mm stays on each side" in note.text for note in sizes.notes)


def test_the_room_above_follows_from_how_the_sides_swell() -> None:
    wish = drawer(400, 130, 350, outside=False)
    height = _sizes(wish).outside_mm[2]
    # Wood Handbook Eq. (13-2): black cherry, C_T 0.00248 of Table 13-5, from 8 to 11 %.
    swollen = height * (1 + 0.00248 * 3)
    assert RUNNING_MM <= 130 - swollen < RUNNING_MM + 0.12, "rounded down to a tenth"


def test_the_gap_of_the_driest_season_is_told() -> None:
    # Wood Handbook Eq. (13-2): 127.0 mm of flat-sawn black cherry shrink by 127.0 x 0.00248 x 2 = 0.63 mm from 8 to 6 %.
    sizes = _sizes(drawer(400, 129.0, 350, outside=False))
    assert sizes.outside_mm[2] == 127.0
    assert any("2 mm above" in note.text and "in the driest season, at 6 %, 2.63 mm" in note.text for note in sizes.notes)


def test_quarter_sawn_sides_need_less_room_above() -> None:
    flat = _sizes(drawer(400, 130, 350, outside=False)).outside_mm[2]
    quarter = _sizes(drawer(400, 130, 350, outside=False, stock=replace(STOCK, sawn="quarter"))).outside_mm[2]
    assert quarter - flat == pytest.approx(130 * (0.00248 - 0.00126) * 3, abs=0.11)


def test_wood_that_is_damp_already_does_not_swell() -> None:
    assert swelling_mm(100, replace(STOCK, now_percent=11.0)) == pytest.approx((0, 100 * 0.00248 * 5))
    assert swelling_mm(100, replace(STOCK, now_percent=6.0)) == pytest.approx((100 * 0.00248 * 5, 0))
    assert _sizes(drawer(400, 130, 350, outside=False, stock=replace(STOCK, now_percent=11.0))).outside_mm[2] == 129


def test_a_room_above_that_swelling_takes_up_is_warned_of() -> None:
    binds = drawer(400, 130, 350, outside=False, fit=replace(FIT, above_mm=0.5))
    assert "will bind" in _warnings(binds)
    growth = across_mm(129.5, find_wood("Cherry, black"), "flat", 8, 11)
    assert f"leave at least {growth + 1:.2f} mm" in _warnings(binds)
    assert "will bind" not in _warnings(drawer(400, 130, 350, outside=False, fit=replace(FIT, above_mm=2.0)))


def test_sides_that_swell_beyond_their_clearance_are_warned_of() -> None:
    thick = replace(STOCK, side_mm=20.0, back_mm=20.0, dampest_percent=14.0)
    # A flat-sawn board moves radially through its thickness: 20 mm by 0.00126 and 6 % is 0.15 mm.
    assert "0.15 mm thicker" in _warnings(drawer(400, 130, 350, outside=False, stock=thick, fit=replace(FIT, side_mm=0.1)))
    assert "thicker" not in _warnings(drawer(400, 130, 350, outside=False, stock=thick, fit=replace(FIT, side_mm=0.2)))


def test_a_size_that_is_given_is_used_as_it_is() -> None:
    assert _sizes(drawer(300, 100, 320)).outside_mm == (300, 320, 100)


def test_boards_have_the_lengths_of_joinery_section_2() -> None:
    sizes = _sizes(drawer(300, 100, 320, joint=replace(JOINT, lap_mm=5.0, proud_mm=0.3)))
    assert sizes.front_mm == (300, 100, 20)
    assert sizes.back_mm == pytest.approx((300.6, 100, 12))
    assert sizes.left_mm == sizes.right_mm == pytest.approx((320 - 5 + 0.3, 100, 12))
    assert sizes.raise_mm == 0


def test_a_raised_back_is_lower_by_the_groove_and_what_is_under_it() -> None:
    sizes = _sizes(drawer(fit=replace(FIT, back="raised"), groove=replace(GROOVE, edge_mm=11.0, play_mm=0.15)))
    assert sizes.raise_mm == pytest.approx(11 + 6.2 + 0.15)
    assert sizes.back_mm[1] == pytest.approx(100 - sizes.raise_mm)


def test_an_overlaid_front_is_a_board_of_its_own_that_covers_the_opening() -> None:
    fit = replace(FIT, front="overlay", overlay_side_mm=9.0, overlay_above_mm=7.0, overlay_below_mm=5.0)
    sizes = _sizes(drawer(400, 130, 350, outside=False, fit=fit))
    assert sizes.show_front_mm == pytest.approx((418, 142, 20))
    assert sizes.outside_mm[1] == 350 - 8, "its box stands flush with the case, whatever the reveal"
    assert any("show front of 418 x 142 x 20 mm" in note.text for note in sizes.notes)
    assert _sizes(drawer()).show_front_mm is None


def test_an_overlaid_front_of_a_drawer_given_by_its_size_covers_the_opening_that_this_needs() -> None:
    fit = replace(FIT, front="overlay", side_mm=0.7, finish_mm=0.2, above_mm=2.0)
    assert _sizes(drawer(300, 100, 320, fit=fit)).show_front_mm == pytest.approx((301 + 16, 102 + 16, 20))


@pytest.mark.parametrize(
    ("wish", "problem", "value", "limit", "way"),
    [
        (drawer(53.9, 100, 320), "too narrow", "29.9 mm inside", "30 mm", Change("outside[1]", 54.0)),
        (drawer(300, 100, 61.9), "too shallow", "29.9 mm inside", "30 mm", Change("outside[3]", 62.0)),
        (drawer(300, 100, 6, outside=False), "no depth", "-3 mm", "opening's 6 mm", Change("opening[3]", 39.0)),
        (drawer(300, 1, 300, outside=False, fit=replace(FIT, above_mm=2.0)), "no height", "-1 mm", "opening's 1 mm", Change("fit.above")),
        (drawer(stock=replace(STOCK, dampest_percent=31.0)), "moisture", "31, outside 0 to 30", "", Change("stock.dampest")),
    ],
)
def test_what_can_not_be_made_is_refused_with_its_figures(wish: DrawerWish, problem: str, value: str, limit: str, way: Change) -> None:
    with pytest.raises(CannotCut) as caught:
        _sizes(wish)
    (fault,) = caught.value.faults
    assert problem in fault.problem
    assert value in fault.value
    assert limit in fault.limit
    assert (way,) in fault.ways
    assert fault.where == "here"


def test_the_least_sizes_that_faults_name_are_enough() -> None:
    assert _sizes(drawer(54, 100, 62)).outside_mm == (54, 62, 100)
