"""Motions as straight pieces in arrays, and their distance from a box in plan."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from camtools.verify.carving.strokes import points_along
from camtools.verify.reader.motion import Motion

__all__ = ["Pieces", "board_count", "plan_distance"]

Numbers = NDArray[np.float64]
Mask = NDArray[np.bool_]


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
    start, end = pieces.start[:, :2], pieces.end[:, :2]
    near, far = np.asarray(low[:2], dtype=np.float64), np.asarray(high[:2], dtype=np.float64)
    squared = np.minimum(_from_box(start, near, far), _from_box(end, near, far))
    for corner in (near, far, np.array((near[0], far[1])), np.array((far[0], near[1]))):
        np.minimum(squared, _from_piece(corner, start, end), out=squared)
    return np.where(_meets(start, end, near, far), 0.0, np.sqrt(squared))


def _from_box(points: Numbers, low: Numbers, high: Numbers) -> Numbers:
    return np.asarray(((points - np.clip(points, low, high)) ** 2).sum(axis=1))


def _from_piece(point: Numbers, start: Numbers, end: Numbers) -> Numbers:
    along = end - start
    length = (along**2).sum(axis=1)
    share = np.clip(((point - start) * along).sum(axis=1) / np.where(length == 0.0, 1.0, length), 0.0, 1.0)
    return np.asarray(((point - start - share[:, None] * along) ** 2).sum(axis=1))


def _meets(start: Numbers, end: Numbers, low: Numbers, high: Numbers) -> Mask:
    along = end - start
    still = along == 0.0
    slope = np.where(still, 1.0, along)
    one, other = (low - start) / slope, (high - start) / slope
    beside = still & ((start < low) | (start > high))
    enter = np.where(still, np.where(beside, 2.0, 0.0), np.minimum(one, other)).max(axis=1)
    leave = np.where(still, np.where(beside, -1.0, 1.0), np.maximum(one, other)).min(axis=1)
    return np.asarray(np.maximum(enter, 0.0) <= np.minimum(leave, 1.0))
