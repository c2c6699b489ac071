"""Closed outlines of straight sides and rounded corners: what a laser or a router cuts round.

Files and drawings have them as vertices ``(x, y, bulge)``; the bulge belongs to the part that leaves the vertex and is the tangent
of a quarter of its included angle: 0 a straight line, 1 a half circle, positive counter-clockwise (published DXF reference).
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from ezdxf.math import bulge_from_arc_angle, bulge_to_arc

from camtools.wording import fine

__all__ = ["Corner", "Outline", "Vertex", "circle", "flattened", "rectangle"]

Point = tuple[float, float]
Vertex = tuple[float, float, float]
Corner = tuple[float, float, float]  # x, y, radius of the fillet

_SAME_MM = 1e-7  # closer points are one point


@dataclass(frozen=True, slots=True)
class Outline:
    """A polygon run counter-clockwise, each corner rounded by its own radius; 0 leaves it sharp.

    Raises
    ------
    ValueError
        If it is no such polygon, or a radius finds no room on a side.
    """

    corners: tuple[Corner, ...]

    def __post_init__(self) -> None:
        if len(self.corners) < 3 or not all(math.isfinite(number) for corner in self.corners for number in corner):
            raise ValueError("an outline needs three corners and finite numbers")
        if sum(x0 * y1 - x1 * y0 for _, (x0, y0, _), (x1, y1, _) in self._around()) <= 0:
            raise ValueError("an outline runs counter-clockwise")
        reach = [radius * abs(math.tan(turn / 2)) for (_, _, radius), turn in zip(self.corners, self._turns(), strict=True)]
        for i, (_, here, there) in enumerate(self._around()):
            side = math.dist(here[:2], there[:2])
            if side <= _SAME_MM:
                raise ValueError("an outline has no side without length")
            if reach[i] + reach[(i + 1) % len(reach)] > side + 1e-6:
                raise ValueError(f"a side of {fine(side)} has no room for the corner radii {fine(here[2])} and {fine(there[2])}")

    def _around(self) -> Iterator[tuple[Corner, Corner, Corner]]:
        """Yield every corner between its neighbours."""
        yield from zip((self.corners[-1], *self.corners[:-1]), self.corners, (*self.corners[1:], self.corners[0]), strict=True)

    def _turns(self) -> list[float]:
        """Return by how much the outline turns at each corner, in radians, positive to the left."""
        found = []
        for before, here, after in self._around():
            first = math.atan2(here[1] - before[1], here[0] - before[0])
            last = math.atan2(after[1] - here[1], after[0] - here[0])
            found.append((last - first + math.pi) % (2 * math.pi) - math.pi)
        return found

    @property
    def vertices(self) -> tuple[Vertex, ...]:
        """Return the outline as lines and true arcs, none of them without length."""
        found: list[Vertex] = []
        for (before, (x, y, radius), after), turn in zip(self._around(), self._turns(), strict=True):
            if radius == 0.0:
                found.append((x, y, 0.0))
                continue
            reach = radius * abs(math.tan(turn / 2))
            found.append((*_towards((x, y), before, reach), bulge_from_arc_angle(turn)))
            found.append((*_towards((x, y), after, reach), 0.0))
        return tuple(here for here, there in zip(found, (*found[1:], found[0]), strict=True) if math.dist(here[:2], there[:2]) > _SAME_MM)

    @property
    def bounds_mm(self) -> tuple[float, float, float, float]:
        """Smallest x and y, largest x and y, to a thousandth."""
        xs, ys = zip(*self.points(1e-3), strict=True)
        return min(xs), min(ys), max(xs), max(ys)

    def points(self, tolerance_mm: float = 0.01) -> list[Point]:
        """Return the outline as corners of a polygon, no chord further than ``tolerance_mm`` from its arc."""
        return flattened(self.vertices, closed=True, tolerance_mm=tolerance_mm)

    def moved(self, dx_mm: float, dy_mm: float) -> Outline:
        return Outline(tuple((x + dx_mm, y + dy_mm, radius) for x, y, radius in self.corners))

    def quarter_turned(self) -> Outline:
        """Return the outline turned a quarter counter-clockwise about the origin."""
        return Outline(tuple((-y, x, radius) for x, y, radius in self.corners))

    def grown(self, distance_mm: float) -> Outline:
        """Return the outline moved outwards by a distance, or inwards where it is negative; sharp corners stay sharp.

        Raises
        ------
        ValueError
            If an arc or a side is too small to be moved so far.
        """
        found: list[Corner] = []
        for (before, (x, y, radius), after), turn in zip(self._around(), self._turns(), strict=True):
            # Both sides move to their right, which is outside: the corner moves along the sum of their normals.
            (x0, y0), (x1, y1) = _towards((0.0, 0.0), (x - before[0], y - before[1]), 1.0), _towards((x, y), after, 1.0)
            scale = distance_mm / (1 + math.cos(turn))
            moved = (x + (y0 + y1 - y) * scale, y - (x0 + x1 - x) * scale)
            further = radius + (distance_mm if turn > 0 else -distance_mm) if radius else 0.0
            if radius and further <= _SAME_MM:
                raise ValueError(f"an arc of radius {fine(radius)} can not be moved by {fine(abs(distance_mm))}")
            found.append((*moved, further))
        for (_, here, there), start, end in zip(self._around(), found, (*found[1:], found[0]), strict=True):
            if (end[0] - start[0]) * (there[0] - here[0]) + (end[1] - start[1]) * (there[1] - here[1]) <= 0:
                raise ValueError(f"a side of {fine(math.dist(here[:2], there[:2]))} is too short to be moved so far")
        return Outline(tuple(found))


def _towards(start: Point, end: Sequence[float], length: float) -> Point:
    whole = math.dist(start, end[:2])
    return (start[0] + (end[0] - start[0]) * length / whole, start[1] + (end[1] - start[1]) * length / whole)


def rectangle(low_x: float, low_y: float, high_x: float, high_y: float) -> Outline:
    """Return a rectangle.

    Parameters
    ----------
    low_x, low_y, high_x, high_y : float
        Its sides, in mm.

    Raises
    ------
    ValueError
        If a high side does not lie above its low one.
    """
    return Outline(((low_x, low_y, 0.0), (high_x, low_y, 0.0), (high_x, high_y, 0.0), (low_x, high_y, 0.0)))


def circle(x_mm: float, y_mm: float, diameter_mm: float) -> Outline:
    """Return a circle: a square rounded by half its side."""
    half = diameter_mm / 2
    return Outline(tuple((x_mm + across * half, y_mm + up * half, half) for across, up in ((-1, -1), (1, -1), (1, 1), (-1, 1))))


def flattened(vertices: Sequence[Vertex], *, closed: bool, tolerance_mm: float = 0.02) -> list[Point]:
    """Return the corners of lines and arcs as a polyline, no chord further than the tolerance from its arc."""
    found: list[Point] = []
    for (x0, y0, bulge), (x1, y1, _) in pairwise([*vertices, *(vertices[:1] if closed else ())]):
        found.append((x0, y0))
        if bulge == 0.0:
            continue
        (cx, cy), first, last, radius = bulge_to_arc((x0, y0), (x1, y1), bulge)  # from first to last counter-clockwise
        begin, sweep = first if bulge > 0 else last, 4 * math.atan(bulge)
        count = max(1, math.ceil(abs(sweep) / (2 * math.acos(max(0.0, 1 - tolerance_mm / max(radius, tolerance_mm))))))
        found += [
            (cx + radius * math.cos(begin + sweep * i / count), cy + radius * math.sin(begin + sweep * i / count)) for i in range(1, count)
        ]
    if not closed and vertices:
        found.append(vertices[-1][:2])
    return found
