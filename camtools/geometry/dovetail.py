"""The shape of a dovetail cutter. docs/joinery.md section 4."""

from __future__ import annotations

import math

from camtools.job.job import Cutter

__all__ = ["radius_at", "slope"]


def slope(cutter: Cutter) -> float:
    """Tangent of the flank angle: how much the radius falls for each mm of height. 0 for a straight cutter."""
    return math.tan(math.radians(cutter.angle_deg))


def radius_at(cutter: Cutter, height_mm: float) -> float:
    """Radius of the cutting edge at a height above the tip, within the cutting length."""
    return cutter.diameter_mm / 2 - height_mm * slope(cutter)
