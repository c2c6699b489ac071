"""Motions as straight pieces in arrays, and their distance from a box in plan."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from camtools.verify.carving.strokes import points_along
from camtools.verify.reader.motion import Motion

__all__ = ["Pieces", "board_count", "plan_distance"]

Numbers = NDArray[np.float64]
Mask = NDArray[np.bool_]
_FAR_MM = 1e6  # a box that reaches further is no larger: larger numbers would be too much for plane geometry


@dataclass(frozen=True, slots=True)
class Pieces:
    """Straight pieces: ``start`` and ``end`` ``(n, 3)`` in mm, and the place of each one's motion ``(n,)``."""

    start: Numbers
    end: Numbers
    motion: NDArray[np.intp]

    def where(self, mask: Mask) -> Pieces:
        """Return the pieces for which ``mask`` ``(n,)`` holds."""
        return Pieces(self.start[mask], self.end[mask], self.motion[mask])

    def between(self, low_mm: float, high_mm: float) -> Pieces:
        """Return those parts that lie above ``low_mm`` and below ``high_mm``."""
        from_z, rise = self.start[:, 2], self.end[:, 2] - self.start[:, 2]
        level = rise == 0.0
        slope = np.where(level, 1.0, rise)
        one, other = (low_mm - from_z) / slope, (high_mm - from_z) / slope
        enter = np.where(level, 0.0, np.clip(np.minimum(one, other), 0.0, 1.0))
        leave = np.where(level, 1.0, np.clip(np.maximum(one, other), 0.0, 1.0))
        inside = np.where(level, (from_z > low_mm) & (from_z < high_mm), enter < leave)
        along = self.end - self.start
        return Pieces(self.start + enter[:, None] * along, self.start + leave[:, None] * along, self.motion).where(inside)


def board_count(motions: Sequence[Motion], sagitta_mm: float) -> Pieces:
    """Cut motions into straight pieces; those of an arc stay within ``sagitta_mm`` of it."""
    ways = [points_along(motion, sagitta_mm) for motion in motions]
    owners = np.repeat(np.arange(len(ways)), [len(way) - 1 for way in ways])
    starts, ends = ([point for way in ways for point in way[part]] for part in (slice(None, -1), slice(1, None)))
    start, end = (np.array(points, dtype=np.float64).reshape(-1, 3) for points in (starts, ends))
    return Pieces(start, end, owners.astype(np.intp))


def plan_distance(pieces: Pieces, low: Sequence[float], high: Sequence[float]) -> Numbers:
    """Return the distance ``(n,)`` in XY between each piece and a box with these corners; 0 where they meet."""
    box = shapely.box(*np.clip((*low[:2], *high[:2]), -_FAR_MM, _FAR_MM))
    ways = shapely.linestrings(np.stack((pieces.start[:, :2], pieces.end[:, :2]), axis=1))
    return np.asarray(shapely.distance(ways, box), dtype=np.float64)
