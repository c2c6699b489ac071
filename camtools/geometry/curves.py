"""Plane curves of straight and circular parts: what a centre line is made of."""

from __future__ import annotations

import math
from dataclasses import dataclass

__all__ = ["ArcSegment", "Curve", "LineSegment", "Point2", "length_mm", "mirrored"]

Point2 = tuple[float, float]


@dataclass(frozen=True, slots=True)
class LineSegment:
    """A straight part."""

    start: Point2
    end: Point2


@dataclass(frozen=True, slots=True)
class ArcSegment:
    """A circular part, less than a full turn."""

    start: Point2
    end: Point2
    centre: Point2
    clockwise: bool

    @property
    def radius_mm(self) -> float:
        return math.dist(self.start, self.centre)

    @property
    def sweep_deg(self) -> float:
        """Angle turned through, positive counter-clockwise."""
        first = math.atan2(self.start[1] - self.centre[1], self.start[0] - self.centre[0])
        last = math.atan2(self.end[1] - self.centre[1], self.end[0] - self.centre[0])
        turn = math.degrees(last - first) % 360.0
        return turn - 360.0 if self.clockwise else turn


Curve = tuple[LineSegment | ArcSegment, ...]


def length_mm(curve: Curve) -> float:
    """Length along a curve."""
    return sum(
        math.dist(part.start, part.end) if isinstance(part, LineSegment) else abs(math.radians(part.sweep_deg)) * part.radius_mm
        for part in curve
    )


def mirrored(curve: Curve) -> Curve:
    """Return the curve mirrored in the axis x = 0, run the other way, so that what lay on its left still does."""

    def flip(point: Point2) -> Point2:
        return (-point[0], point[1])

    # A mirror turns clockwise into counter-clockwise, running backwards turns it back.
    return tuple(
        LineSegment(flip(part.end), flip(part.start))
        if isinstance(part, LineSegment)
        else ArcSegment(flip(part.end), flip(part.start), flip(part.centre), part.clockwise)
        for part in reversed(curve)
    )
