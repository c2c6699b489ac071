"""What is left of a board's upper surface while a program runs: a raster of heights in plan.

It answers how much wood stands above the tip of a cutter. Cells near the rim of the cutter count as cut but are not asked, so
that a skim narrower than ``SKIM`` cells, a rounding or the raster itself never looks like a deep cut.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

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
        sides = [max(high[axis] - low[axis], 1e-3) for axis in range(2)]
        self.cell_mm = max(_FINEST_MM, math.sqrt(sides[0] * sides[1] / _MOST_CELLS))
        self.judged = self.cell_mm <= _COARSEST_MM
        self.asked = 0  # cells looked at so far, a measure of the effort
        self._low = (low[0], low[1])
        self._top = high[2]
        counts = [math.ceil(side / self.cell_mm) if self.judged else 1 for side in sides]
        self._x, self._y = (low[axis] + (np.arange(counts[axis]) + 0.5) * self.cell_mm for axis in range(2))
        self._height = np.full((counts[1], counts[0]), self._top)

    def cut(self, start: Sequence[float], end: Sequence[float], radius_mm: float) -> float:
        """Move a flat-bottomed cutter straight through the board; return the most wood that stood above its tip, in mm."""
        if min(start[2], end[2]) >= self._top or not self.judged:
            return 0.0
        rim = SKIM / 2.0 * self.cell_mm
        reach, core = radius_mm + rim, max(radius_mm - rim, 0.0)
        columns, rows = self._cells(0, start, end, reach), self._cells(1, start, end, reach)
        height = self._height[rows, columns]
        if height.size == 0:
            return 0.0
        self.asked += height.size
        x, y = self._x[columns] - start[0], (self._y[rows] - start[1])[:, None]
        dx, dy, dz = end[0] - start[0], end[1] - start[1], end[2] - start[2]
        length = dx * dx + dy * dy
        share = np.clip(x * (dx / length) + y * (dy / length), 0.0, 1.0) if length > 0.0 else np.zeros_like(height)
        squared = (x - share * dx) ** 2 + (y - share * dy) ** 2
        asked, swept = squared <= core * core, squared <= reach * reach
        if dz == 0.0 or length == 0.0:
            tip = min(start[2], end[2])
            depth = float(height.max(where=asked, initial=tip)) - tip
            np.minimum(height, tip, out=height, where=swept)
            return depth
        stays = np.sqrt(np.maximum(reach * reach - squared, 0.0) / length)  # how long a cell stays below the cutter, of the way
        lowest = start[2] + np.clip(share + math.copysign(1.0, -dz) * stays, 0.0, 1.0) * dz
        depth = float((height - (start[2] + share * dz)).max(where=asked, initial=0.0))
        np.minimum(height, lowest, out=height, where=swept)
        return depth

    def _cells(self, axis: int, start: Sequence[float], end: Sequence[float], reach: float) -> slice:
        first = (min(start[axis], end[axis]) - reach - self._low[axis]) / self.cell_mm
        last = (max(start[axis], end[axis]) + reach - self._low[axis]) / self.cell_mm
        return slice(max(0, math.floor(first)), max(0, math.ceil(last)))
