"""Swelling and shrinking against worked examples and tables of the Wood Handbook."""

from __future__ import annotations

import csv
from dataclasses import replace
from pathlib import Path

import pytest

import camtools.job
from camtools.drawer.movement import across_mm, change_from_shrinkage_mm, change_mm, plywood_mm
from camtools.drawer.sizing import RUNNING_MM, sizes_of
from camtools.job.woods import coefficient_of, emc_percent, find_wood
from tests.specimens import STOCK, drawer

INCH = 25.4
_MAPLE = dict.fromkeys(("front_wood", "side_wood", "back_wood"), "Maple, sugar")


def _rows(name: str) -> dict[str, dict[str, str]]:
    lines = Path(camtools.job.__file__).with_name(name).read_text(encoding="utf-8").splitlines()
    return {row["species"]: row for row in csv.DictReader(line for line in lines if not line.startswith("#"))}


def test_white_fir_of_the_handbook_grows_as_worked_out_there() -> None:
    # Wood Handbook p. 13-17, Eq. (13-2): flat-sawn white fir, 232 mm, 8 to 11 %, C_T 0.00245: 1.705 mm, ends 233.7 mm.
    grown = change_mm(232, 0.00245, 8, 11)
    assert grown == pytest.approx(1.705, abs=0.0006)
    assert 232 + grown == pytest.approx(233.7, abs=0.05)


def test_a_white_oak_floor_board_moves_as_the_flooring_trade_works_it_out() -> None:
    # Flooring trade, citing the Wood Handbook: white oak 5 in, 6 to 9 %, coefficient 0.00365: 0.055 in.
    assert change_mm(5 * INCH, 0.00365, 6, 9) / INCH == pytest.approx(0.055, abs=0.0005)


@pytest.mark.parametrize(
    ("width", "shrinkage", "before", "after", "change"),
    [
        (232, 7.0, 8, 11, 1.712),  # white fir, S_T of Table 4-3
        (150, 9.9, 20, 8, -6.143),  # sugar maple
        (600, 7.1, 8, 12, 5.992),  # black cherry
    ],
)
def test_movement_from_shrinkage_follows_equation_4_9(width: float, shrinkage: float, before: float, after: float, change: float) -> None:
    # Arithmetic by hand from Wood Handbook Eq. (4-9) and Table 4-3.
    assert change_from_shrinkage_mm(width, shrinkage, before, after) == pytest.approx(change, abs=0.0006)


def test_coefficients_and_shrinkages_of_the_two_tables_are_linked() -> None:
    # C = S/(3000 - 20 S), from Eq. (4-9) with fibre saturation at 30 %, reproduces Table 13-5 from Table 4-3 in most rows;
    # northern white cedar and western redcedar take 22 %, a few rows carry the value of a group.
    movement, shrinkage = _rows("movement.csv"), _rows("shrinkage.csv")
    both = sorted(set(movement) & set(shrinkage))
    same = [
        species
        for species in both
        if all(
            round(coefficient_of(float(shrinkage[species][percent])), 5) == float(movement[species][coefficient])
            for percent, coefficient in (("S_R", "C_R"), ("S_T", "C_T"))
        )
    ]
    assert len(both) >= 66
    assert len(same) >= 59
    assert "Cedar, western red" not in same


def test_both_equations_agree_where_both_hold() -> None:
    # C = S/(3000 - 20 S) is Eq. (4-9) taken at 10 % moisture content: from 8 % on the two differ by the factor 1 - 2 C, exactly.
    for shrinkage in (2.0, 5.0, 7.1, 11.9):
        coefficient = coefficient_of(shrinkage)
        exact = change_from_shrinkage_mm(100, shrinkage, 8, 12)
        assert change_mm(100, coefficient, 8, 12) == pytest.approx(exact * (1 - 2 * coefficient))


def test_shrinkage_from_green_to_dry_is_the_tables_own_percentage() -> None:
    # The definition of Table 4-3: per cent of the green size, from fibre saturation to oven-dry.
    assert change_from_shrinkage_mm(100, 7.1, 30, 0) == pytest.approx(-7.1)


def test_a_flat_sawn_maple_front_grows_as_a_furniture_maker_measured_it() -> None:
    # Furniture maker's articles, August 2012: 100 mm of flat-sawn maple grows 3.2 mm from 35 to 80 % relative humidity.
    maple = find_wood("Maple, sugar")
    grown = across_mm(100, maple, "flat", emc_percent(20, 0.35), emc_percent(20, 0.80))
    assert grown == pytest.approx(3.2, abs=0.4)


def test_a_maple_drawer_leaves_the_room_that_a_furniture_maker_measured() -> None:
    # The same articles: for each 100 mm of height 3.2 mm from 35 to 80 % relative humidity, and what runs free beside.
    stock = replace(STOCK, **_MAPLE, now_percent=emc_percent(20, 0.35), dampest_percent=emc_percent(20, 0.80))
    for opening in (60.0, 100.0, 150.0):
        sizes = sizes_of(drawer(300.0, opening, 320.0, outside=False, stock=stock), "drawer")
        height = sizes.outside_mm[2]
        assert opening - height - RUNNING_MM == pytest.approx(0.032 * height, abs=0.004 * height + 0.1)


def test_quarter_sawn_boards_move_less_and_each_equation_is_used_where_it_holds() -> None:
    cherry = find_wood("Cherry, black")  # Table 13-5: C_R 0.00126, C_T 0.00248; Table 4-3: S_T 7.1
    assert across_mm(100, cherry, "quarter", 8, 12) == pytest.approx(0.504)
    assert across_mm(100, cherry, "flat", 8, 12) == pytest.approx(0.992)
    assert across_mm(600, cherry, "flat", 8, 20) == pytest.approx(change_from_shrinkage_mm(600, 7.1, 8, 20))


def test_plywood_moves_little() -> None:
    # As quoted from the Wood Handbook: at most 0.0002 of its length for 1 % of moisture.
    assert plywood_mm(300, 7, 12) == pytest.approx(0.3)


@pytest.mark.parametrize(("before", "after"), [(5.9, 10), (8, 14.1)])
def test_the_coefficient_is_refused_beyond_6_to_14_per_cent(before: float, after: float) -> None:
    # Wood Handbook p. 13-17: Eq. (13-2) is for 6 to 14 %.
    with pytest.raises(ValueError, match="outside 6 to 14"):
        change_mm(100, 0.0025, before, after)


@pytest.mark.parametrize(("before", "after"), [(-1, 10), (8, 31)])
def test_wood_wetter_than_fibre_saturation_is_refused(before: float, after: float) -> None:
    with pytest.raises(ValueError, match="outside 0 to 30"):
        change_from_shrinkage_mm(100, 7.0, before, after)
