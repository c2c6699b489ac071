"""What a cut leaves at one level, by shapely: knows moves, discs and nothing of joints."""

from __future__ import annotations

import math

import shapely
from shapely import LineString, Polygon
from shapely.ops import unary_union

from camtools.toolpath.moves import Arc, Cut, Point, Rapid

__all__ = ["flat_points", "left_of", "moves_with_start", "wood_in_the_way"]

CHORD_DEG = 1.0


def moves_with_start(cut: Cut):
    """Pair every move with where it starts; the first has no start and is left out."""
    at = cut.moves[0].end
    for move in cut.moves[1:]:
        yield at, move
        at = move.end


def flat_points(start: Point, move) -> list[tuple[float, float]]:
    """Points along a move in XY, arcs as chords of a degree."""
    if not isinstance(move, Arc):
        return [start[:2], move.end[:2]]
    cx, cy = move.centre
    radius = math.dist(start[:2], move.centre)
    assert math.isclose(radius, math.dist(move.end[:2], move.centre), abs_tol=1e-9)
    first = math.atan2(start[1] - cy, start[0] - cx)
    sign = -1 if move.clockwise else 1
    sweep = (sign * (math.atan2(move.end[1] - cy, move.end[0] - cx) - first)) % (2 * math.pi)
    count = max(2, math.ceil(math.degrees(sweep) / CHORD_DEG))
    return [
        (cx + radius * math.cos(first + sign * sweep * i / count), cy + radius * math.sin(first + sign * sweep * i / count))
        for i in range(count + 1)
    ]


def left_of(wood: Polygon, cut: Cut, z_mm: float) -> shapely.Geometry:
    """Section of what is left of a prism of wood at height ``z_mm``."""
    slope = math.tan(math.radians(cut.cutter.angle_deg))
    swept = []
    for start, move in moves_with_start(cut):
        if isinstance(move, Rapid):
            continue
        tip = max(start[2], move.end[2])
        if tip <= z_mm:
            line = LineString(flat_points(start, move))
            swept.append(line.buffer(cut.cutter.diameter_mm / 2 - (z_mm - tip) * slope, quad_segs=90))
    return wood.difference(unary_union(swept))


def wood_in_the_way(wood: Polygon, cut: Cut, top_mm: float, clearance_mm: float) -> list[str]:
    """List the moves that break the rules of entry and of rapids. ``top_mm`` is the height of the wood's top."""
    around = wood.buffer(cut.cutter.diameter_mm / 2 - 1e-6)
    broken = []
    for start, move in moves_with_start(cut):
        lowest = min(start[2], move.end[2])
        line = LineString([*flat_points(start, move), move.end[:2]])
        if isinstance(move, Rapid) and lowest < clearance_mm and line.intersects(around):
            broken.append(f"rapid at {start} to {move.end}")
        if cut.cutter.kind == "dovetail" and start[2] != move.end[2] and lowest < top_mm + clearance_mm and line.intersects(around):
            broken.append(f"rise or fall at {start} to {move.end}")
    return broken
