"""Speeds, feeds and depths that a job leaves out, against formulas of machining and charts of the trade: docs/sources.md section 6."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest

from tests.job.jobs import read

# Chip load in hardwood, mm for each edge: a conservative calculator's chart, low and high end; 3.2 mm of an industrial chart.
HARDWOOD = {3.2: (0.05, 0.10), 6.35: (0.08, 0.13), 12.7: (0.10, 0.20), 19.0: (0.15, 0.30)}


@pytest.mark.parametrize(
    ("speed", "edges", "diameter", "feed"),
    # v_f = n z f_z (ISO 3002-3, from memory): worked by hand with the low end of the chart.
    [(18000, 2, 6.35, 2880), (12000, 1, 12.7, 1200), (10000, 3, 19.0, 4500), (20000, 2, 3.2, 2000)],
)
def test_feed_is_speed_times_edges_times_chip_load(speed: float, edges: int, diameter: float, feed: float) -> None:
    job, _ = _with_cutter(diameter, speed=speed, flutes=edges)
    assert job.cutter(3).feed_mm_min == feed


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


def _with_cutter(diameter: float, **values: float):
    cutter = {"kind": "straight", "diameter": diameter, "cutting_length": 30, **values}
    return read({"cutters.2": cutter, "machine.max_feed": 20000})


def _read_off(rows: list[tuple[float, float]], at: float) -> float:
    for (x0, y0), (x1, y1) in pairwise(rows):
        if at <= x1:
            return y0 + (y1 - y0) * max(0.0, at - x0) / (x1 - x0)
    return rows[-1][1]
