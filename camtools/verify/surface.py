"""What is left of a board's upper surface while a program runs: a raster of heights in plan.

It answers how much wood stands above the tip of a cutter. Cells near the rim of the cutter count as cut but are not asked, so
that a skim narrower than ``SKIM`` cells, a rounding or the raster itself never looks like a deep cut.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from camtools.verify.motion import Point

__all__ = ["SKIM", "Surface"]

SKIM = 1.5  # cells
_FINEST_MM = 0.5
_COARSEST_MM = 1.0
_MOST_CELLS = 2_000_000


class Surface:
    """Heights of a board's upper surface in plan.

    Parameters
    ----------
    low, high
        Corners of the board in the machine frame, in mm.
    """

    def __init__(self, low: Sequence[float], high: Sequence[float]) -> None:
        area = max(high[0] - low[0], 1e-6) * max(high[1] - low[1], 1e-6)
        self.cell_mm = max(_FINEST_MM, math.sqrt(area / _MOST_CELLS))
        self.judged = self.cell_mm <= _COARSEST_MM
        self._top = high[2]
        counts = [max(1, math.ceil((high[axis] - low[axis]) / self.cell_mm)) if self.judged else 1 for axis in range(2)]
        self._x, self._y = (low[axis] + (np.arange(counts[axis]) + 0.5) * self.cell_mm for axis in range(2))
        self._height = np.full((counts[1], counts[0]), self._top)

    def cut(self, start: Point, end: Point, radius_mm: float) -> float:
        """Move a flat-bottomed cutter straight through the board; return the most wood that stood above its tip, in mm."""
        if min(start[2], end[2]) >= self._top or not self.judged:
            return 0.0
        rim = SKIM / 2.0 * self.cell_mm
        reach = radius_mm + rim
        columns = slice(*np.searchsorted(self._x, (min(start[0], end[0]) - reach, max(start[0], end[0]) + reach)))
        rows = slice(*np.searchsorted(self._y, (min(start[1], end[1]) - reach, max(start[1], end[1]) + reach)))
        height = self._height[rows, columns]
        if height.size == 0:
            return 0.0
        x, y = self._x[columns][None, :] - start[0], self._y[rows][:, None] - start[1]
        dx, dy, dz = end[0] - start[0], end[1] - start[1], end[2] - start[2]
        length = dx * dx + dy * dy
        share = np.clip((x * dx + y * dy) / length, 0.0, 1.0) if length > 0.0 else np.zeros_like(height)
        squared = (x - share * dx) ** 2 + (y - share * dy) ** 2
        if length > 0.0:
            tip = start[2] + share * dz
            lasting = np.sqrt(np.maximum(reach * reach - squared, 0.0) / length)  # share of the way that the cutter stays over a cell
            lowest = start[2] + np.clip(share + math.copysign(1.0, -dz) * lasting, 0.0, 1.0) * dz
        else:
            tip = lowest = np.full_like(height, min(start[2], end[2]))
        core = squared <= max(radius_mm - rim, 0.0) ** 2
        depth = float((height[core] - tip[core]).max()) if core.any() else 0.0
        np.minimum(height, np.where(squared <= reach * reach, lowest, np.inf), out=height)
        return max(0.0, depth)
