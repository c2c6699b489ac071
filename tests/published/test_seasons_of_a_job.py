"""Air, moisture and movement as a job file tells them, against the tables and worked examples of the Wood Handbook."""

from __future__ import annotations

from typing import Any

import pytest

from camtools.drawer import drawers_of
from camtools.output.plan_data import PlanSeason, plan_of
from camtools.verify.timber import moisture_of
from camtools.verify.written import written_in
from tests.job.jobs import changed, read, toml
from tests.published.test_wood_moisture import table_4_2

INCH = 25.4


def _seasons(values: dict[str, Any], height_mm: float = 100.0) -> tuple[PlanSeason, ...]:
    """Return the seasons of a drawer as ``camtools plan --json`` has them, to a thousandth of a mm."""
    job, _ = read({"drawers.0.opening": None, "drawers.0.outside": [300, height_mm, 300]} | values)
    (drawer,) = plan_of(job, drawers_of(job), ()).drawers
    return drawer.seasons


ROOMS = [cell for cell in table_4_2() if 32 <= cell[1] <= 122]


@pytest.mark.parametrize("scale", ["C", "F"])
def test_air_in_a_job_file_gives_the_moisture_of_table_4_2_to_plan_and_check(scale: str) -> None:
    """Wood Handbook FPL-GTR-190, Table 4-2, p. 4-4, rounded to 0.1 %, as is what a drawer is sized by."""
    assert len(ROOMS) > 90
    for humidity, fahrenheit, percent in ROOMS:
        air = [f"{fahrenheit:g} F" if scale == "F" else (fahrenheit - 32) / 1.8, humidity]
        values = {"stock.climate": dict.fromkeys(("driest", "now", "dampest"), air)}
        job, defaults = read(values)
        assert job.drawers[0].stock.now_percent == pytest.approx(percent, abs=0.1001)
        assert {season.moisture_percent for season in _seasons(values)} == {job.drawers[0].stock.now_percent}
        assert not any(key.endswith(("driest", "now", "dampest")) for key in defaults)
        text = "".join(f"{key} = {toml(value)}\n" for key, value in changed(values).items())
        stock = written_in(text.encode()).drawers[0].stock
        assert moisture_of(stock, "now") == pytest.approx(percent, abs=0.08)


@pytest.mark.parametrize(
    ("wood", "width", "driest", "dampest", "change"),
    [
        ("white fir", 232.0, 8, 11, 1.705),  # Wood Handbook, p. 13-17, Eq. (13-2)
        ("white oak", 5 * INCH, 6, 9, 0.055 * INCH),  # the flooring trade, citing the Wood Handbook, rounded to 0.001 in
        ("sugar maple", 150.0, 8, 20, 6.404),  # 150 x 12 / (3000/9.9 - 30 + 8): Eq. (4-9) by hand
    ],
)
def test_a_drawer_as_high_as_a_worked_example_grows_as_it_does(
    wood: str, width: float, driest: float, dampest: float, change: float
) -> None:
    for part in ("front_mm", "side_mm", "back_mm"):
        values = {"stock.wood": wood, "stock.driest": driest, "stock.now": driest, "stock.dampest": dampest}
        dry, now, damp = (getattr(season, part) for season in _seasons(values, width))
        assert (dry, now) == (width, width)
        assert damp - width == pytest.approx(change, abs=0.014)


def test_a_solid_bottom_moves_from_front_to_rear_as_a_worked_example() -> None:
    """Wood Handbook, p. 13-17: flat-sawn white fir of 232 mm grows 1.705 mm from 8 to 11 %, so each mm of a bottom 0.00735 mm."""
    wood = {"stock.bottom_kind": "solid", "stock.bottom_wood": "white fir", "groove.depth": 5}
    dry, _, damp = _seasons(wood | {"stock.driest": 8, "stock.now": 8, "stock.dampest": 11})
    assert damp.bottom_mm - dry.bottom_mm == pytest.approx(dry.bottom_mm * 1.705 / 232, abs=0.003)
    assert dry.bottom_room_mm - damp.bottom_room_mm == pytest.approx(damp.bottom_mm - dry.bottom_mm, abs=0.0011)


def test_a_maple_front_grows_from_a_dry_room_to_a_damp_one_as_a_furniture_maker_measured() -> None:
    """A furniture maker's articles, August 2012: 100 mm of flat-sawn maple grow 3.2 mm from 35 to 80 % humidity."""
    air = {"driest": [21, 35], "now": [21, 35], "dampest": [21, 80]}
    dry, _, damp = _seasons({"stock.wood": "sugar maple", "stock.climate": air, "fit.above": 10})
    assert damp.front_mm - dry.front_mm == pytest.approx(3.2, abs=0.4)


def test_the_seasons_of_air_are_those_of_the_moisture_that_it_gives() -> None:
    """Eq. (4-5): 21 C and 30 % give 6.17 %, 18 C and 50 % 9.32 %, 20 C and 70 % 13.13 %; told to 0.1 %."""
    air = {"driest": [21, 30], "dampest": [20, 70], "now": [18, 50]}
    moisture = {"stock.driest": 6.2, "stock.now": 9.3, "stock.dampest": 13.1}
    assert _seasons({"stock.climate": air, "stock.wood": "oak"}) == _seasons(moisture | {"stock.wood": "oak"})
