"""Chip loads against a published range, marked as rough, which they are.

Source of the range: a conservative chart for small routers, solid wood, the low end for hardwood and the high end for
softwood (docs/sources.md section 6; seen in a calculator's page, not a standard). Dovetail cutters have no chart: practice
is 50 to 70 % of a straight cutter's value at the diameter of the neck (from memory).
"""

from __future__ import annotations

import math
from itertools import pairwise

from camtools.output.manifest import ToolEntry

__all__ = ["chip_mm", "chip_range_mm"]

_CHART = ((6.35, 0.08, 0.15), (12.7, 0.10, 0.25), (19.05, 0.15, 0.38))  # diameter, low, high
_DOVETAIL = (0.5, 0.7)


def chip_mm(feed_mm_min: float, speed_rpm: float, flutes: int) -> float:
    """Thickness that each cutting edge takes: feed over speed times edges."""
    return feed_mm_min / (speed_rpm * flutes)


def chip_range_mm(tool: ToolEntry) -> tuple[float, float]:
    """Return the published range for a cutter, read off between the chart's diameters and held at its ends."""
    if tool.kind == "dovetail":
        neck = tool.diameter - 2 * tool.cutting_length * math.tan(math.radians(tool.half_angle))
        low, high = _read_off(neck)
        return low * _DOVETAIL[0], high * _DOVETAIL[1]
    return _read_off(tool.diameter)


def _read_off(diameter_mm: float) -> tuple[float, float]:
    first = _CHART[0]
    if diameter_mm < first[0]:  # thinner cutters take less, in proportion
        return first[1] * diameter_mm / first[0], first[2] * diameter_mm / first[0]
    for (d0, low0, high0), (d1, low1, high1) in pairwise(_CHART):
        if diameter_mm <= d1:
            share = (diameter_mm - d0) / (d1 - d0)
            return low0 + share * (low1 - low0), high0 + share * (high1 - high0)
    return _CHART[-1][1:]
