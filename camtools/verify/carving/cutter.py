"""A cutter as the convex bodies that it sweeps: its cutting part and its shank.

docs/joinery.md section 4: radius at height ``k`` over the tip is ``R - k tan(a)`` up to the cutting length, then the shank's.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from camtools.output.manifest import ToolEntry

__all__ = ["Part", "circle_count", "parts_of", "radius_at"]


@dataclass(frozen=True, slots=True)
class Part:
    """A cone's frustum or a cylinder about the cutter's axis; heights are above the tip."""

    low_mm: float
    high_mm: float
    low_radius_mm: float
    high_radius_mm: float

    @property
    def widest_mm(self) -> float:
        return max(self.low_radius_mm, self.high_radius_mm)

    def ring(self, unit: NDArray[np.float64], centre: NDArray[np.float64]) -> NDArray[np.float64]:
        """Corners ``(2 n, 3)`` of the part about a tip, for directions ``unit`` ``(n, 2)``: the lower ones first."""
        low = np.column_stack((unit * self.low_radius_mm, np.full(len(unit), self.low_mm)))
        high = np.column_stack((unit * self.high_radius_mm, np.full(len(unit), self.high_mm)))
        return np.asarray(np.vstack((low, high)) + centre, dtype=np.float64)


def parts_of(tool: ToolEntry, reach_mm: float) -> tuple[Part, Part]:
    """Return the cutting part and the shank, which is taken to be ``reach_mm`` long."""
    top = tool.cutting_length
    return (
        Part(0.0, top, radius_at(tool, 0.0), radius_at(tool, top)),
        Part(top, top + reach_mm, tool.shank / 2, tool.shank / 2),
    )


def radius_at(tool: ToolEntry, height_mm: float) -> float:
    """Radius at a height above the tip; the shank's above the cutting length."""
    if height_mm > tool.cutting_length:
        return tool.shank / 2
    return tool.diameter / 2 - height_mm * math.tan(math.radians(tool.half_angle))


def circle_count(radius_mm: float, tolerance_mm: float) -> int:
    """Number of corners, a multiple of four, with which a polygon in a circle is nowhere further from it than the tolerance.

    The distance is ``r (1 - cos(pi / n))``, the sagitta of one side.
    """
    if radius_mm <= tolerance_mm:
        return 4
    return 4 * math.ceil(math.pi / math.acos(1 - tolerance_mm / radius_mm) / 4)
