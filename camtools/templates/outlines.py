"""Closed outlines of straight lines and true arcs: what a laser or a router cuts round.

A vertex is ``(x, y, bulge)``; the bulge belongs to the part that leaves the vertex and is the tangent of a quarter of its
included angle: 0 a straight line, 1 a half circle, positive counter-clockwise (published DXF reference, vertex method).
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

__all__ = ["Corner", "Outline", "Vertex", "circle", "rectangle", "rounded"]

Point = tuple[float, float]
Vertex = tuple[float, float, float]
Corner = tuple[float, float, float]  # x, y, radius of the fillet

_SAME_MM = 1e-7  # closer points are one point
_MITRE_LIMIT = 4.0  # a mitred corner longer than this many offsets is rounded instead


@dataclass(frozen=True, slots=True)
class _Part:
    """One side of an outline: from ``start`` to ``end``; an arc has a centre and turns ``sweep`` radians about it."""

    start: Point
    end: Point
    centre: Point | None
    sweep: float

    @property
    def radius(self) -> float:
        assert self.centre is not None
        return math.dist(self.start, self.centre)


@dataclass(frozen=True, slots=True)
class Outline:
    """A closed outline, run counter-clockwise or clockwise; the last vertex is joined to the first."""

    vertices: tuple[Vertex, ...]

    def __post_init__(self) -> None:
        kept = tuple(
            here
            for here, there in zip(self.vertices, (*self.vertices[1:], *self.vertices[:1]), strict=True)
            if math.dist(here[:2], there[:2]) > _SAME_MM
        )
        object.__setattr__(self, "vertices", kept)
        if len(kept) < 2 or (len(kept) == 2 and not any(bulge for _, _, bulge in kept)):
            raise ValueError("an outline needs three corners, or two joined by an arc")
        if not all(math.isfinite(number) for vertex in kept for number in vertex):
            raise ValueError("an outline needs finite numbers")

    def _parts(self) -> Iterator[_Part]:
        for (x0, y0, bulge), (x1, y1, _) in zip(self.vertices, (*self.vertices[1:], self.vertices[0]), strict=True):
            if bulge == 0.0:
                yield _Part((x0, y0), (x1, y1), None, 0.0)
                continue
            # The centre stands off the chord's middle by half the chord over the tangent of half the included angle.
            off = (1 - bulge**2) / (4 * bulge)
            centre = ((x0 + x1) / 2 - (y1 - y0) * off, (y0 + y1) / 2 + (x1 - x0) * off)
            yield _Part((x0, y0), (x1, y1), centre, 4 * math.atan(bulge))

    @property
    def area_mm2(self) -> float:
        """Area, positive where the outline runs counter-clockwise: the polygon and the circular segments on its sides."""
        total = 0.0
        for part in self._parts():
            total += (part.start[0] * part.end[1] - part.end[0] * part.start[1]) / 2
            if part.centre is not None:
                total += part.radius**2 * (part.sweep - math.sin(part.sweep)) / 2
        return total

    @property
    def bounds_mm(self) -> tuple[float, float, float, float]:
        """Smallest x and y, largest x and y."""
        xs, ys = [x for x, _, _ in self.vertices], [y for _, y, _ in self.vertices]
        for part in self._parts():
            if part.centre is None:
                continue
            first = math.atan2(part.start[1] - part.centre[1], part.start[0] - part.centre[0])
            for quarter in range(4):
                turn = (quarter * math.pi / 2 - first) % (2 * math.pi)
                if turn < part.sweep or turn - 2 * math.pi > part.sweep:
                    xs.append(part.centre[0] + part.radius * (1, 0, -1, 0)[quarter])
                    ys.append(part.centre[1] + part.radius * (0, 1, 0, -1)[quarter])
        return min(xs), min(ys), max(xs), max(ys)

    def points(self, tolerance_mm: float = 0.01) -> list[Point]:
        """Return the outline as corners of a polygon, no chord further than ``tolerance_mm`` from its arc."""
        found: list[Point] = []
        for part in self._parts():
            found.append(part.start)
            if part.centre is None:
                continue
            cx, cy = part.centre
            radius = part.radius
            step = 2 * math.acos(max(0.0, 1 - tolerance_mm / radius))
            count = math.ceil(abs(part.sweep) / step)
            first = math.atan2(part.start[1] - cy, part.start[0] - cx)
            for i in range(1, count):
                angle = first + part.sweep * i / count
                found.append((cx + radius * math.cos(angle), cy + radius * math.sin(angle)))
        return found

    def moved(self, dx_mm: float, dy_mm: float) -> Outline:
        return Outline(tuple((x + dx_mm, y + dy_mm, bulge) for x, y, bulge in self.vertices))

    def quarter_turned(self) -> Outline:
        """Return the outline turned a quarter counter-clockwise about the origin."""
        return Outline(tuple((-y, x, bulge) for x, y, bulge in self.vertices))

    def reversed(self) -> Outline:
        """Return the same outline run the other way."""
        bulges = [bulge for _, _, bulge in self.vertices]
        places = [(x, y) for x, y, _ in self.vertices]
        back = list(reversed(places))
        # The part that left vertex i now leaves vertex i + 1.
        turned = [-bulge for bulge in reversed(bulges[:-1])] + [-bulges[-1]]
        return Outline(tuple((x, y, bulge) for (x, y), bulge in zip(back, turned, strict=True)))

    def grown(self, distance_mm: float) -> Outline:
        """Return the outline moved outwards by a distance, or inwards where it is negative; corners stay sharp.

        Raises
        ------
        ValueError
            If an arc or a side is too small to be moved so far.
        """
        if distance_mm == 0.0:
            return self
        if self.area_mm2 < 0:
            return self.reversed().grown(distance_mm).reversed()
        parts = [_offset(part, distance_mm) for part in self._parts()]
        corners = [(x, y) for x, y, _ in self.vertices]
        found: list[Vertex] = []
        joins = [
            _join(parts[i - 1], part, corners[i], distance_mm) for i, part in enumerate(parts)
        ]  # for each vertex: where the part before ends, and where the part after begins
        for i, part in enumerate(parts):
            start, end = joins[i][1], joins[(i + 1) % len(parts)][0]
            found.append((*start, _bulge_between(part, start, end)))
            following = joins[(i + 1) % len(parts)]
            if math.dist(following[0], following[1]) > _SAME_MM:
                corner = corners[(i + 1) % len(parts)]
                found.append((*following[0], _round_bulge(following[0], following[1], corner, distance_mm)))
        return Outline(tuple(found))


def _offset(part: _Part, distance: float) -> _Part:
    """Move a part of a counter-clockwise outline to its right, which is outside."""
    if part.centre is None:
        (x0, y0), (x1, y1) = part.start, part.end
        length = math.dist(part.start, part.end)
        nx, ny = (y1 - y0) / length * distance, -(x1 - x0) / length * distance
        return _Part((x0 + nx, y0 + ny), (x1 + nx, y1 + ny), None, 0.0)
    radius = part.radius + (distance if part.sweep > 0 else -distance)
    if radius <= _SAME_MM:
        raise ValueError(f"an arc of radius {part.radius:.3f} mm can not be moved by {abs(distance):.3f} mm")
    scale = radius / part.radius
    cx, cy = part.centre
    ends = [(cx + (x - cx) * scale, cy + (y - cy) * scale) for x, y in (part.start, part.end)]
    return _Part(ends[0], ends[1], part.centre, part.sweep)


def _join(before: _Part, after: _Part, corner: Point, distance: float) -> tuple[Point, Point]:
    """Where the part before a corner ends and the part after it begins, once both were moved."""
    if math.dist(before.end, after.start) <= _SAME_MM:
        return before.end, before.end
    crossings = _crossings(before, after)
    if crossings:
        nearest = min(crossings, key=lambda point: math.dist(point, corner))
        if math.dist(nearest, corner) <= _MITRE_LIMIT * abs(distance):
            return nearest, nearest
    return before.end, after.start


def _crossings(first: _Part, second: _Part) -> list[Point]:
    """Return where the whole lines or circles of two parts cross."""
    if first.centre is None and second.centre is None:
        (x0, y0), (x1, y1), (x2, y2), (x3, y3) = first.start, first.end, second.start, second.end
        ax, ay, bx, by = x1 - x0, y1 - y0, x3 - x2, y3 - y2
        cross = ax * by - ay * bx
        if abs(cross) < 1e-12:
            return []
        t = ((x2 - x0) * by - (y2 - y0) * bx) / cross
        return [(x0 + ax * t, y0 + ay * t)]
    if first.centre is None or second.centre is None:
        line, arc = (first, second) if first.centre is None else (second, first)
        assert arc.centre is not None
        length = math.dist(line.start, line.end)
        ux, uy = (line.end[0] - line.start[0]) / length, (line.end[1] - line.start[1]) / length
        px, py = arc.centre[0] - line.start[0], arc.centre[1] - line.start[1]
        along, away = px * ux + py * uy, px * uy - py * ux
        room = arc.radius**2 - away**2
        if room < 0:
            return []
        return [(line.start[0] + ux * (along + s), line.start[1] + uy * (along + s)) for s in (-math.sqrt(room), math.sqrt(room))]
    (x0, y0), (x1, y1) = first.centre, second.centre
    apart = math.dist(first.centre, second.centre)
    if apart < 1e-12:
        return []
    along = (apart**2 + first.radius**2 - second.radius**2) / (2 * apart)
    room = first.radius**2 - along**2
    if room < 0:
        return []
    ux, uy = (x1 - x0) / apart, (y1 - y0) / apart
    return [(x0 + ux * along - uy * s, y0 + uy * along + ux * s) for s in (-math.sqrt(room), math.sqrt(room))]


def _bulge_between(part: _Part, start: Point, end: Point) -> float:
    """Bulge of a moved part once its ends are known; a part that turned round on itself was too small."""
    if part.centre is None:
        forward = (part.end[0] - part.start[0]) * (end[0] - start[0]) + (part.end[1] - part.start[1]) * (end[1] - start[1])
        if forward < 0 and math.dist(start, end) > _SAME_MM:
            raise ValueError(f"a side of {math.dist(part.start, part.end):.3f} mm is too short to be moved so far")
        return 0.0
    cx, cy = part.centre
    first, last = math.atan2(start[1] - cy, start[0] - cx), math.atan2(end[1] - cy, end[0] - cx)
    sweep = (last - first) % (2 * math.pi)
    if part.sweep < 0:
        sweep -= 2 * math.pi
    if abs(sweep - part.sweep) > math.pi:
        raise ValueError(f"an arc of radius {part.radius:.3f} mm is too short to be moved so far")
    return math.tan(sweep / 4)


def _round_bulge(start: Point, end: Point, corner: Point, distance: float) -> float:
    first = math.atan2(start[1] - corner[1], start[0] - corner[0])
    last = math.atan2(end[1] - corner[1], end[0] - corner[0])
    turn = (last - first + math.pi) % (2 * math.pi) - math.pi
    if turn * distance < 0:
        raise ValueError("an inside corner is too narrow to be moved so far")
    return math.tan(turn / 4)


def rectangle(low_x: float, low_y: float, high_x: float, high_y: float) -> Outline:
    """Return a rectangle, run counter-clockwise."""
    return Outline(((low_x, low_y, 0.0), (high_x, low_y, 0.0), (high_x, high_y, 0.0), (low_x, high_y, 0.0)))


def circle(x_mm: float, y_mm: float, diameter_mm: float) -> Outline:
    """Return a circle as two half circles, run counter-clockwise."""
    half = diameter_mm / 2
    return Outline(((x_mm - half, y_mm, 1.0), (x_mm + half, y_mm, 1.0)))


def rounded(corners: Iterable[Corner]) -> Outline:
    """Return the polygon of these corners, each rounded by its own radius; 0 leaves it sharp.

    Raises
    ------
    ValueError
        If a radius finds no room on a side.
    """
    kept: list[Corner] = list(corners)
    found: list[Vertex] = []
    reach = [_tangent(kept[i - 1], corner, kept[(i + 1) % len(kept)]) for i, corner in enumerate(kept)]
    for i, corner in enumerate(kept):
        there = kept[(i + 1) % len(kept)]
        side = math.dist(corner[:2], there[:2])
        if reach[i][0] + reach[(i + 1) % len(kept)][0] > side + 1e-6:
            raise ValueError(f"a side of {side:.3f} mm has no room for the corner radii {corner[2]:.3f} and {there[2]:.3f} mm at its ends")
    for i, (x, y, _) in enumerate(kept):
        length, turn = reach[i]
        if length == 0.0:
            found.append((x, y, 0.0))
            continue
        before, after = kept[i - 1], kept[(i + 1) % len(kept)]
        found.append((*_towards((x, y), before, length), math.tan(turn / 4)))
        found.append((*_towards((x, y), after, length), 0.0))
    return Outline(tuple(found))


def _tangent(before: Sequence[float], corner: Corner, after: Sequence[float]) -> tuple[float, float]:
    """How far a corner's fillet reaches along its sides, and by how much the outline turns there, in radians."""
    if corner[2] == 0.0:
        return 0.0, 0.0
    first = math.atan2(corner[1] - before[1], corner[0] - before[0])
    last = math.atan2(after[1] - corner[1], after[0] - corner[0])
    turn = (last - first + math.pi) % (2 * math.pi) - math.pi
    return corner[2] * abs(math.tan(turn / 2)), turn


def _towards(start: Point, end: Sequence[float], length: float) -> Point:
    whole = math.dist(start, end[:2])
    return (start[0] + (end[0] - start[0]) * length / whole, start[1] + (end[1] - start[1]) * length / whole)
