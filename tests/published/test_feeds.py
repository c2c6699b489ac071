"""Speeds, feeds and depths that a job leaves out, against formulas of machining and charts of the trade: docs/sources.md section 6."""

from __future__ import annotations

import math
from itertools import pairwise
from typing import Any

import pytest

from camtools.drawer import drawers_of
from camtools.output.plan_data import plan_of
from camtools.wording import down
from tests.job.jobs import read

# Chip load, mm for each edge: a conservative calculator's chart, low and high end; 3.2 mm of an industrial chart for spiral cutters.
HARDWOOD = {3.2: (0.05, 0.10), 6.35: (0.08, 0.13), 12.7: (0.10, 0.20), 19.0: (0.15, 0.30)}
SOFTWOOD = {3.2: (0.08, 0.13), 6.35: (0.10, 0.15), 12.7: (0.15, 0.25), 19.0: (0.20, 0.38)}
NODES = [("oak", size, *ends) for size, ends in HARDWOOD.items()] + [("Scots pine", size, *ends) for size, ends in SOFTWOOD.items()]
# Depth of a pass, mm: a calculator's cautious table, which is in inches: 1/16, 1/8, 3/16, 1/4 and 3/8 in hardwood. In softwood it has
# half the diameter.
HARD_PASSES = {6.35: 1.6, 9.5: 3.2, 12.7: 4.8, 19.0: 6.4, 25.0: 9.5}


@pytest.mark.parametrize(
    ("speed", "edges", "diameter", "feed"),
    # v_f = n z f_z (ISO 3002-3, from memory): worked by hand with the low end of the chart.
    [(18000, 2, 6.35, 2880), (12000, 1, 12.7, 1200), (10000, 3, 19.0, 4500), (20000, 2, 3.2, 2000)],
)
def test_feed_is_speed_times_edges_times_chip_load(speed: float, edges: int, diameter: float, feed: float) -> None:
    job, _ = _with_cutter(diameter, speed=speed, flutes=edges)
    assert job.cutter(3).feed_mm_min == feed


@pytest.mark.parametrize(("wood", "diameter", "low", "high"), NODES)
def test_a_job_takes_the_chip_loads_of_the_chart_at_its_nodes(wood: str, diameter: float, low: float, high: float) -> None:
    """Read off the plan, through a job file. What is taken is the low end, at most 0.15 mm, a specialist's middle for wood in general."""
    groove = {"cutters.1.diameter": diameter, "cutters.1.speed": 10_000, "groove.cutter": 2, "stock.bottom": max(diameter, 6.4)}
    pins = {"cutters.2": {"kind": "straight", "diameter": 6, "cutting_length": 20}, "joints.straight": 3}
    cutter = _planned(wood, groove | pins | {"drawers.0.opening": [300, 160, 300]})
    assert cutter["chip_mm"] == pytest.approx(min(low, 0.15), abs=10 / 20_000)
    assert cutter["safe"]["chart_mm"] == [low, high]
    assert cutter["safe"]["limit"] == "chips"
    assert cutter["safe"]["feed_mm_min"] == pytest.approx(10_000 * 2 * high, abs=10)


@pytest.mark.parametrize(("wood", "diameter"), [(wood, diameter) for wood in ("oak", "Scots pine") for diameter in HARD_PASSES])
def test_a_job_takes_the_depths_of_the_table_at_its_nodes(wood: str, diameter: float) -> None:
    job, _ = _with_cutter(diameter, wood=wood)
    depth = HARD_PASSES[diameter] if wood == "oak" else diameter / 2
    assert depth - 0.1 < job.cutter(3).depth_per_pass_mm <= depth


def test_the_safe_feed_is_the_least_of_what_chips_bending_spindle_and_machine_bear() -> None:
    """Bending and power grow as feed to the power 0.6: Kienzle's law, from memory. Each in turn is brought below the others."""
    chips = _planned("oak", {})["safe"]
    assert chips["limit"] == "chips"
    assert _plan("Scots pine", {"stock.front_wood": "oak"})["cutters"][1]["safe"] == chips, "by the hardest wood"
    assert _planned("oak", {"machine.max_feed": 2910})["safe"] == chips | {"limit": "machine", "feed_mm_min": 2910}
    slender = {"cutters.1.stick_out": 100, "cutters.1.shank": 3}
    bent = _planned("oak", slender)
    assert bent["safe"]["limit"] == "bending"
    # At that feed, and no sooner, the cutter is warned of.
    assert _warned(slender | {"cutters.1.feed": bent["safe"]["feed_mm_min"] - 10}) == []
    assert "may snap" in _warned(slender | {"cutters.1.feed": bent["safe"]["feed_mm_min"] + 20})[0]
    assert _planned("oak", {"machine.power": 60})["safe"]["limit"] == "power"


def test_chips_thicker_than_the_chart_has_them_are_warned_of() -> None:
    most = 18000 * 2 * (0.10 + 0.03 * (6.0 - 3.2) / 3.15)
    assert _warned({"cutters.1.feed": down(most, 10)}) == []
    (told,) = _warned({"cutters.1.feed": most * 1.05})
    assert "a chart for hardwood has 0.127 mm at most" in told


@pytest.mark.parametrize("diameter", [3.2, 4.0, 6.0, 6.35, 8.0, 10.0, 12.7, 16.0, 19.0])
def test_chips_are_as_thick_as_the_charts_for_hardwood_have_them(diameter: float) -> None:
    """Between rows the chart is read in a straight line; feeds are rounded down to 10 mm/min."""
    job, _ = _with_cutter(diameter)
    cutter = job.cutter(3)
    low, high = (_read_off([(d, ends[i]) for d, ends in HARDWOOD.items()], diameter) for i in (0, 1))
    chip = cutter.feed_mm_min / (cutter.speed_rpm * cutter.flutes)
    assert low - 10 / (cutter.speed_rpm * cutter.flutes) <= chip <= high


@pytest.mark.parametrize(("diameter", "angle", "length"), [(12.7, 14, 12.7), (9.525, 9, 9.5), (12.7, 8, 16.0), (19.0, 7, 22.0)])
def test_a_dovetail_cutter_takes_half_to_seven_tenths_at_its_neck(diameter: float, angle: float, length: float) -> None:
    """Common practice, no source; the neck is D - 2 h tan(a)."""
    job, _ = read(
        {"cutters.2": {"kind": "dovetail", "diameter": diameter, "angle": angle, "cutting_length": length}, "machine.max_feed": 20000}
    )
    cutter = job.cutter(3)
    neck = diameter - 2 * length * math.tan(math.radians(angle))
    full = _read_off([(d, ends[0]) for d, ends in HARDWOOD.items()], neck)
    assert 0.5 <= cutter.feed_mm_min / (cutter.speed_rpm * cutter.flutes) / full <= 0.7


@pytest.mark.parametrize("diameter", [3.0, 6.35, 12.7, 19.0, 25.4, 38.0, 50.0])
def test_rims_stay_below_the_speed_that_the_trade_calls_safe(diameter: float) -> None:
    """v_c = pi D n; a calculator's page has 12,000 ft/min, 61 m/s, as its ceiling. Without a mark no cutter is let run faster."""
    job, _ = _with_cutter(diameter)
    assert math.pi * diameter * job.cutter(3).max_speed_rpm / 60_000 <= 61.0


@pytest.mark.parametrize("diameter", [3.2, 6.35, 9.5, 12.7, 19.0, 25.0])
def test_a_pass_is_no_deeper_than_half_the_diameter(diameter: float) -> None:
    """The stricter rule of two calculators' pages; charts of chip load are for one diameter."""
    job, _ = _with_cutter(diameter)
    assert job.cutter(3).depth_per_pass_mm <= diameter / 2


def _with_cutter(diameter: float, wood: str = "oak", **values: float):
    cutter = {"kind": "straight", "diameter": diameter, "cutting_length": 30, **values}
    return read({"cutters.2": cutter, "machine.max_feed": 20000, "stock.wood": wood})


def _plan(wood: str, values: dict[str, Any]) -> Any:
    """Return the plan of a job with wide sockets between its pins, as ``camtools plan --json`` prints it."""
    job, _ = read({"stock.wood": wood, "machine.max_feed": 20000} | values)
    drawers = drawers_of(job)
    return plan_of(job, drawers, ()).model_dump(mode="json")


def _planned(wood: str, values: dict[str, Any]) -> dict[str, Any]:
    return _plan(wood, values)["cutters"][1]


def _warned(values: dict[str, Any]) -> list[str]:
    return [
        note["text"] for note in _plan("oak", values)["drawers"][0]["warnings"] if note["where"] == "cutters" and "cutter 2" in note["text"]
    ]


def _read_off(rows: list[tuple[float, float]], at: float) -> float:
    for (x0, y0), (x1, y1) in pairwise(rows):
        if at <= x1:
            return y0 + (y1 - y0) * max(0.0, at - x0) / (x1 - x0)
    return rows[-1][1]
