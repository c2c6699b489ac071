"""Rules of depth, which need to know what is left of the wood: depth per pass, plunging, and what a cutter bears.

What is left of a board's upper surface while a program runs is a raster of heights in plan. It answers how much wood stands above the
tip of a cutter. Cells near the rim of the cutter count as cut but are not asked, so that a skim narrower than ``SKIM`` cells, a
rounding or the raster itself never looks like a deep cut. Nor may a row of short moves, each no longer than that, look like skims:
so what a short one cuts near the rim is still there for the depth of the next ones, until the cutter has gone further than that.
"""

from __future__ import annotations

import math
from collections import deque
from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from camtools.verify.findings import Log
from camtools.verify.reader.motion import Motion
from camtools.verify.rules.load_rules import Loads
from camtools.verify.rules.segments import board_count
from camtools.verify.rules.workplace import Stated, Workplace
from camtools.wording import mm

__all__ = ["SKIM", "Bite", "Surface", "judge_depth"]

SKIM = 1.5  # cells
_FINEST_MM = 0.5
_COARSEST_MM = 1.0
_MOST_CELLS = 2_000_000
_STRETCH_MM = 4.0  # of way over which a section is the mean, so that single cells do not matter
_SAGITTA_MM = 0.05
_ROUNDING_MM = 0.02  # of depths
_BATCH = 2_000
_MOST_ASKED = 500_000_000  # cells looked at in one program, some ten seconds; a groove 2 m long takes a hundred thousand a pass


def judge_depth(motions: Sequence[Motion], place: Workplace, log: Log, stated: Stated | None = None, before: Sequence[Motion] = ()) -> None:
    """No cutter takes more depth in one pass than it may, none plunges that can not, none bears too much where that can be reckoned.

    Going down steeper than 45 degrees counts as plunging (chosen here; ramps are far flatter). Of what was done ``before``, straight
    cutters count: only they leave no wood over what they cleared.
    """
    limited = {number for number, cutter in place.tools.items() if stated is not None or cutter.shape.kind != "dovetail"}
    last = max((at for at, motion in enumerate(motions, 1) if motion.tool in limited), default=0)
    if last == 0:
        return
    surface = Surface(place.low, place.high)
    if not surface.judged:
        log.add("depth-not-judged", 0, f"the board is larger than a raster of {mm(1)} can hold")
        return
    _clear([motion for motion in before if motion.work_offset == place.program.work_offset], place, surface)
    loads = None if stated is None else Loads(stated)
    for begin in range(0, last, _BATCH):
        if surface.asked > _MOST_ASKED:
            log.add("depth-not-judged", motions[begin].line, "too many and too long moves over the board")
            break
        _judge_batch(motions[begin : min(last, begin + _BATCH)], place, surface, loads, log)
    if loads is not None:
        loads.tell(log)


def _clear(motions: Sequence[Motion], place: Workplace, surface: Surface) -> None:
    straight = [motion for motion in motions if motion.tool in place.tools and place.tools[motion.tool].shape.kind == "straight"]
    for begin in range(0, len(straight), _BATCH):
        pieces = board_count(straight[begin : begin + _BATCH], _SAGITTA_MM)
        for start, end, at in zip(pieces.start.tolist(), pieces.end.tolist(), pieces.motion.tolist(), strict=True):
            surface.cut(start, end, place.tools[straight[begin + at].tool].radius_mm)


def _judge_batch(motions: Sequence[Motion], place: Workplace, surface: Surface, loads: Loads | None, log: Log) -> None:
    pieces = board_count(motions, _SAGITTA_MM)
    told = -1
    for start, end, at in zip(pieces.start.tolist(), pieces.end.tolist(), pieces.motion.tolist(), strict=True):
        motion = motions[at]
        cutter = place.tools[motion.tool]
        bite = surface.cut(start, end, cutter.radius_mm)
        if motion.kind == "rapid":
            continue
        if loads is not None and bite.rim_mm > _ROUNDING_MM:
            loads.take(motion, cutter, bite.rim_mm, bite.section_mm2)
        depth = bite.depth_mm
        if depth <= _ROUNDING_MM or at == told or cutter.shape.kind == "dovetail":
            continue
        limit = cutter.limits.depth_per_pass
        if not cutter.limits.plunges and start[2] - end[2] > math.dist(start[:2], end[:2]):
            log.add("plunge-not-allowed", motion.line, f"cutter {cutter.shape.number} enters on a ramp or from the side", depth_mm=depth)
            told = at
        elif limit is not None and depth > limit + _ROUNDING_MM:
            text = f"cutter {cutter.shape.number} takes {mm(limit)} at most in one pass"
            log.add("depth-per-pass", motion.line, text, depth_mm=depth, limit_mm=limit)
            told = at


class Bite(NamedTuple):
    """What a cutter takes on a straight move."""

    depth_mm: float  # the most wood that stood above its tip, off its rim
    rim_mm: float  # the same with its rim
    section_mm2: float  # the most of that wood on each mm of the way: depth by width in a full slot


_AIR = Bite(0.0, 0.0, 0.0)


class _Late(NamedTuple):
    """What a short move cut, near the rim too, once the cutter had gone so far."""

    way_mm: float
    cells: tuple[slice, slice]
    swept: NDArray[np.bool_]
    lowest: NDArray[np.float64]


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
        self._short = (0.0, 0.0)  # wood, mm3, and way, mm, of short moves on end
        self._low = (low[0], low[1])
        self._top = high[2]
        counts = [max(1, round(side / self.cell_mm)) if self.judged else 1 for side in sides]
        self._cell = (sides[0] / counts[0], sides[1] / counts[1])  # so that the board ends where cells do, and a skim along its edge is one
        self._x, self._y = (low[axis] + (np.arange(counts[axis]) + 0.5) * self._cell[axis] for axis in range(2))
        self._height = np.full((counts[1], counts[0]), self._top)
        self._core = self._height.copy()  # the same, but that short moves cut late near the rim
        self._late: deque[_Late] = deque()
        self._way = 0.0  # of the cutter so far, in mm

    def cut(self, start: Sequence[float], end: Sequence[float], radius_mm: float) -> Bite:
        """Move a flat-bottomed cutter straight through the board."""
        rim = SKIM / 2.0 * self.cell_mm
        while self._late and self._way - self._late[0].way_mm >= 2.0 * rim:
            late = self._late.popleft()
            np.minimum(self._core[late.cells], late.lowest, out=self._core[late.cells], where=late.swept)
        self._way += math.dist(start, end)
        if min(start[2], end[2]) >= self._top or not self.judged:
            return _AIR
        reach, core = radius_mm + rim, max(radius_mm - rim, 0.0)
        columns, rows = self._cells(0, start, end, reach), self._cells(1, start, end, reach)
        height = self._height[rows, columns]
        if height.size == 0:
            return _AIR
        self.asked += height.size
        x, y = self._x[columns] - start[0], (self._y[rows] - start[1])[:, None]
        dx, dy, dz = end[0] - start[0], end[1] - start[1], end[2] - start[2]
        length = dx * dx + dy * dy
        along = x * dx + y * dy
        share = np.clip(along / length, 0.0, 1.0) if length > 0.0 else np.zeros_like(height)
        squared = (x - share * dx) ** 2 + (y - share * dy) ** 2
        asked, swept = squared <= core * core, squared <= reach * reach
        if dz == 0.0 or length == 0.0:
            lowest = tip = np.full_like(height, min(start[2], end[2]))
        else:
            stays = np.sqrt(np.maximum(reach * reach - squared, 0.0) / length)  # how long a cell stays below the cutter, of the way
            lowest = start[2] + np.clip(share + math.copysign(1.0, -dz) * stays, 0.0, 1.0) * dz
            tip = start[2] + share * dz
        above = np.where(swept, np.maximum(height - tip, 0.0), 0.0)
        core_height = self._core[rows, columns]
        depth, most = float((core_height - tip).max(where=asked, initial=0.0)), float(above.max())
        np.minimum(height, lowest, out=height, where=swept)
        if length < (4.0 * rim) ** 2:
            np.minimum(core_height, lowest, out=core_height, where=asked)
            self._late.append(_Late(self._way, (rows, columns), swept, lowest))
        else:
            np.minimum(core_height, lowest, out=core_height, where=swept)
        if most == 0.0 or length == 0.0:
            return Bite(depth, most, 0.0)
        return Bite(depth, most, self._section(above[swept], along[swept], math.sqrt(length)) * radius_mm / reach)

    def _section(self, above: NDArray[np.float64], along: NDArray[np.float64], length: float) -> float:
        """Return the most wood on each mm of the way: of a stretch, or of a whole move or several short ones in wood all the time.

        Parameters
        ----------
        above, along
            Of each cell: the wood over the tip ``(n,)`` in mm, and its place along the move ``(n,)`` in mm by the length.
        """
        area = self._cell[0] * self._cell[1]
        wood = float(above.sum()) * area
        if length < _STRETCH_MM:
            wood, length = wood + self._short[0], length + self._short[1]
            self._short = (wood, length) if length < _STRETCH_MM else (0.0, 0.0)
            return wood / max(length, _STRETCH_MM)
        self._short = (0.0, 0.0)
        place = along / length
        stretches = np.floor((place - place.min()) / _STRETCH_MM + 1e-6).astype(np.intp)
        return max(wood / length, float(np.bincount(stretches, above).max()) * area / _STRETCH_MM)

    def _cells(self, axis: int, start: Sequence[float], end: Sequence[float], reach: float) -> slice:
        first = (min(start[axis], end[axis]) - reach - self._low[axis]) / self._cell[axis]
        last = (max(start[axis], end[axis]) + reach - self._low[axis]) / self._cell[axis]
        return slice(max(0, math.floor(first)), max(0, math.ceil(last)))
