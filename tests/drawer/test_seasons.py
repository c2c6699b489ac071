"""Boards of several woods through the year, against Table 13-5 of the Wood Handbook by Eq. (13-2)."""

from __future__ import annotations

import pytest

from camtools.drawer import drawers_of
from camtools.drawer.boards import Drawer, Season
from tests.job.jobs import read

YEAR = {"stock.driest": 7, "stock.now": 9, "stock.dampest": 12}
# Table 13-5, tangential and radial: black cherry, sugar maple, American beech, teak.
CHERRY, MAPLE, BEECH, TEAK = (0.00248, 0.00126), (0.00353, 0.00165), (0.00431, 0.00190), (0.00186, 0.00101)


def _drawer(**stock: str) -> Drawer:
    job, _ = read(YEAR | {f"stock.{key}": value for key, value in stock.items()})
    return drawers_of(job)[0]


def _warnings(drawer: Drawer) -> str:
    return " ".join(note.text for note in drawer.notes if note.kind == "warning")


@pytest.mark.parametrize("part", ["front_wood", "side_wood", "back_wood"])
def test_room_above_follows_the_board_that_grows_most(part: str) -> None:
    alike, lively = _drawer(wood="teak"), _drawer(**{"wood": "teak", part: "American beech"})
    for drawer, (coefficient, _) in ((alike, TEAK), (lively, BEECH)):
        assert drawer.opening_mm is not None
        free = drawer.opening_mm[1] - drawer.outside_mm[2] * (1 + coefficient * 3)
        assert 1.0 <= free < 1.12  # rounded down to a tenth


@pytest.mark.parametrize(("sawn", "place"), [("flat", 0), ("quarter", 1)])
def test_heights_and_room_are_told_for_every_season(sawn: str, place: int) -> None:
    drawer = _drawer(sawn=sawn, front_wood="black cherry", side_wood="sugar maple", back_wood="American beech")
    high = drawer.outside_mm[2]
    assert drawer.opening_mm is not None
    for season, percent in zip(drawer.seasons, (7.0, 9.0, 12.0), strict=True):
        front, side, back = (high * (1 + wood[place] * (percent - 9)) for wood in (CHERRY, MAPLE, BEECH))
        room = drawer.opening_mm[1] - max(front, side, back)
        told = Season(percent, *map(pytest.approx, (front, side, back, room)), season.bottom_mm, season.bottom_room_mm, bottom_play_mm=None)
        assert season == told


def test_a_solid_bottom_is_told_for_every_season_by_its_own_wood() -> None:
    woods = {"stock.wood": "teak", "stock.bottom_wood": "American beech", "stock.bottom_kind": "solid", "stock.side_wood": "maple"}
    (drawer,) = drawers_of(read(YEAR | woods | {"groove.depth": 5})[0])
    deep = drawer.bottom.piece.size_mm[1]
    assert [season.bottom_mm for season in drawer.seasons] == pytest.approx([deep * (1 + BEECH[0] * step) for step in (-2, 0, 3)])
    assert drawer.bottom.wood == "Beech, American"
    plain = _drawer(wood="teak")
    assert plain.bottom.wood == "plywood"
    assert plain.seasons[-1].bottom_mm - plain.seasons[0].bottom_mm == pytest.approx(plain.bottom.piece.size_mm[1] * 0.0002 * 5)


@pytest.mark.parametrize(("back", "room"), [("full", 2 * 0.4), ("raised", 1.0)])
def test_room_and_play_of_a_solid_bottom_are_told_for_every_season(back: str, room: float) -> None:
    """What is left in the dampest season: 0.4 mm before each groove's floor, or 1 mm before the outside face of a raised back.

    A flat-sawn bottom grows along its rings in width, and across them, radially, in thickness.
    """
    stock = {"stock.wood": "teak", "stock.bottom_wood": "American beech", "stock.bottom_kind": "solid", "stock.bottom": 8}
    (drawer,) = drawers_of(read(YEAR | stock | {"groove.depth": 5, "groove.play": 0.2, "fit.back": back})[0])
    dry, now, damp = drawer.seasons
    assert damp.bottom_room_mm == pytest.approx(room, abs=0.15)  # what it grows is reckoned between the grooves' floors
    assert dry.bottom_room_mm - damp.bottom_room_mm == pytest.approx(damp.bottom_mm - dry.bottom_mm)
    assert [season.bottom_play_mm for season in (dry, now, damp)] == pytest.approx([0.2 - 8 * BEECH[1] * step for step in (-2, 0, 3)])


def test_a_bottom_that_grows_thicker_than_its_grooves_are_wide_is_warned_of() -> None:
    year = {"stock.driest": 7, "stock.now": 7, "stock.dampest": 14}
    stock = {"stock.bottom_wood": "American beech", "stock.bottom_kind": "solid", "stock.bottom": 12, "groove.depth": 6}
    sides = {"drawers.0.opening": [300, 120, 150]}
    grown = 12 * BEECH[1] * 7  # 0.16 mm, radially
    for play, warned in ((0.1, True), (0.2, False)):
        (drawer,) = drawers_of(read(year | stock | sides | {"groove.play": play})[0])
        assert ("it jams" in _warnings(drawer)) is warned
        assert (f"it is {grown:.2f} mm thicker" in _warnings(drawer)) is warned
        assert ("A groove.play of 0.2 mm would do" in _warnings(drawer)) is warned


def test_a_drawer_given_by_its_size_has_no_room_to_tell() -> None:
    job, _ = read({"drawers.0.opening": None, "drawers.0.outside": [280, 90, 300]})
    assert {season.above_mm for season in drawers_of(job)[0].seasons} == {None}


@pytest.mark.parametrize(("part", "word"), [("front_wood", "the front"), ("back_wood", "the back")])
def test_a_board_across_sides_that_move_otherwise_is_warned_of_with_figures_in_both_seasons(part: str, word: str) -> None:
    drawer = _drawer(**{"wood": "teak", part: "American beech"})
    text, high = _warnings(drawer), drawer.outside_mm[2]
    assert f"{word} (Beech, American) moves otherwise than the sides (Teak)" in text
    for step, percent in ((-2, 7), (3, 12)):
        own, sides = (f"{high * (1 + wood[0] * step):.2f}".rstrip("0").rstrip(".") for wood in (BEECH, TEAK))
        assert f"{own} mm and {sides} mm at {percent} %" in text


def test_woods_that_move_alike_and_boards_sawn_so_that_they_hardly_move_are_not_warned_of() -> None:
    # 87 mm of black cherry and of sugar maple part by 87 x 0.00105 x 3 = 0.27 mm flat-sawn, by 0.10 mm quarter-sawn.
    assert "otherwise" in _warnings(_drawer(wood="sugar maple", front_wood="black cherry"))
    assert "otherwise" not in _warnings(_drawer(wood="sugar maple", front_wood="black cherry", sawn="quarter"))
    assert "otherwise" not in _warnings(_drawer(wood="sugar maple", front_wood="Maple, black"))
    assert "otherwise" not in _warnings(_drawer(wood="sugar maple"))


def test_each_board_bears_its_own_wood() -> None:
    drawer = _drawer(wood="oak", side_wood="ash", front_wood="black cherry")
    assert [board.wood for board in drawer.boards] == ["Cherry, black", "Oak, European", "Ash, European", "Ash, European", "plywood"]
