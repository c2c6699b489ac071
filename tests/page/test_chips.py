"""Chip loads against the chart that they are read from: a conservative one for small routers, solid wood, in mm a tooth.

The chart's rows (hardwood's low end to softwood's high end): 6.35 mm 0.08 to 0.15, 12.7 mm 0.10 to 0.25, 19 mm 0.15 to 0.38. Seen on a
calculator's page, not a standard; that dovetail cutters take 50 to 70 % at the neck is from memory.
"""

import math

import pytest

from camtools.output.manifest import ToolEntry
from camtools.page.chips import chip_mm, chip_range_mm


def tool(diameter: float, half_angle: float = 0.0, length: float = 12.0) -> ToolEntry:
    kind = "dovetail" if half_angle else "straight"
    return ToolEntry(number=1, kind=kind, diameter=diameter, half_angle=half_angle, cutting_length=length, shank=6.0)


def test_chip_load_is_feed_over_speed_and_edges() -> None:
    """2400 mm/min at 12000 rpm with two edges: 0.1 mm (all sources of the formula agree)."""
    assert chip_mm(2400, 12000, 2) == pytest.approx(0.1)


@pytest.mark.parametrize(("diameter", "low", "high"), [(6.35, 0.08, 0.15), (12.7, 0.10, 0.25), (19.05, 0.15, 0.38)])
def test_the_chart_is_read_at_its_own_diameters(diameter: float, low: float, high: float) -> None:
    assert chip_range_mm(tool(diameter)) == pytest.approx((low, high))


def test_between_diameters_the_range_grows_evenly_and_beyond_it_is_held() -> None:
    assert chip_range_mm(tool((6.35 + 12.7) / 2)) == pytest.approx((0.09, 0.20))
    assert chip_range_mm(tool(30.0)) == pytest.approx((0.15, 0.38))
    assert chip_range_mm(tool(6.35 / 2)) == pytest.approx((0.04, 0.075))


def test_a_dovetail_cutter_is_judged_at_its_neck() -> None:
    length = (12.7 - 6.35) / 2 / math.tan(math.radians(14.0))  # so that the neck is 6.35 mm thick
    assert chip_range_mm(tool(12.7, 14.0, length)) == pytest.approx((0.5 * 0.08, 0.7 * 0.15))
