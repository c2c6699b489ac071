"""Rules of depth, which need to know what is left of the wood: depth per pass, and plunging.

What is left of a board's upper surface while a program runs is a raster of heights in plan. It answers how much wood stands above the
tip of a cutter. Cells near the rim of the cutter count as cut but are not asked, so that a skim narrower than ``SKIM`` cells, a
rounding or the raster itself never looks like a deep cut.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from camtools.verify.findings import Log
from camtools.verify.reader.motion import Motion
from camtools.verify.rules.segments import board_count
from camtools.verify.rules.workplace import Workplace

__all__ = ["SKIM", "Surface", "judge_depth"]

SKIM = 1.5  # cells
_FINEST_MM = 0.5
_COARSEST_MM = 1.0
_MOST_CELLS = 2_000_000
_SAGITTA_MM = 0.05
_ROUNDING_MM = 0.02  # of depths
_BATCH = 2_000
_MOST_ASKED = 500_000_000  # cells looked at in one program, some ten seconds; a groove 2 m long takes a hundred thousand a pass


def judge_depth(motions: Sequence[Motion], place: Workplace, log: Log) -> None:
    """No cutter takes more depth in one pass than it may, and none plunges that can not.

    Going down steeper than 45 degrees counts as plunging (chosen here; ramps are far flatter).
    """
    limited = {number for number, cutter in place.tools.items() if cutter.shape.kind != "dovetail"}
    last = max((at for at, motion in enumerate(motions, 1) if motion.tool in limited), default=0)
    if last == 0:
        return
    surface = Surface(place.low, place.high)
    if not surface.judged:
        log.add("depth-not-judged", 0, "the board is larger than a raster of 1 mm can hold")
        return
    for begin in range(0, last, _BATCH):
        if surface.asked > _MOST_ASKED:
            log.add("depth-not-judged", motions[begin].line, "too many and too long moves over the board")
            break
        _judge_batch(motions[begin : min(last, begin + _BATCH)], place, surface, log)


def _judge_batch(motions: Sequence[Motion], place: Workplace, surface: Surface, log: Log) -> None:
    pieces = board_count(motions, _SAGITTA_MM)
    told = -1
    for start, end, at in zip(pieces.start.tolist(), pieces.end.tolist(), pieces.motion.tolist(), strict=True):
        motion = motions[at]
        cutter = place.tools[motion.tool]
        depth = surface.cut(start, end, cutter.radius_mm)
        if depth <= _ROUNDING_MM or at == told or motion.kind == "rapid" or cutter.shape.kind == "dovetail":
            continue
        limit = cutter.limits.depth_per_pass
        if not cutter.limits.plunges and start[2] - end[2] > math.dist(start[:2], end[:2]):
            log.add("plunge-not-allowed", motion.line, f"cutter {cutter.shape.number} enters on a ramp or from the side", depth_mm=depth)
            told = at
        elif limit is not None and depth > limit + _ROUNDING_MM:
            text = f"cutter {cutter.shape.number} takes {limit:g} mm at most in one pass"
            log.add("depth-per-pass", motion.line, text, depth_mm=depth, limit_mm=limit)
            told = at


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
