"""What a cutter sweeps as it moves: convex hulls for straight moves, parts of rings for bends, in the program's machine frame.

Both ends of a straight move carry a polygon inscribed in the cutter's circle, turned so that two of its corners stand
square to the motion and one straight ahead: flanks and the wall at the end are exact, only rounded ends are cut short, by
the sagitta. An arc is cut into chords. The bound says how far a carved surface may lie from the true one.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from camtools.output.manifest import ToolEntry
from camtools.verify.carving.cutter import Part, circle_count, parts_of
from camtools.verify.carving.strokes import ArcStroke, gathered, merged
from camtools.verify.reader.motion import Motion, Point

__all__ = ["FURTHEST_MM", "TOLERANCE_MM", "Box", "Ring", "Sweep", "sweeps_of"]

Points = NDArray[np.float64]
TOLERANCE_MM = 0.002
FURTHEST_MM = 10_000.0  # a motion beyond this is no work of a small machine
_SAME_MM = 1e-9


@dataclass(frozen=True, slots=True)
class Box:
    """A box in the machine frame: the board."""

    low: tuple[float, float, float]
    high: tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class Ring:
    """Part of a ring: ``(n, 3)`` corners and ``(m, 3)`` triangles, outwards counter-clockwise."""

    corners: Points
    triangles: NDArray[np.uint64]


@dataclass(frozen=True, slots=True)
class Sweep:
    """Everything swept near the board: hulls ``(n, 3)`` of corners, rings, and the bound of both in mm."""

    hulls: tuple[Points, ...]
    rings: tuple[Ring, ...]
    bound_mm: float


def sweeps_of(motions: Sequence[Motion], tools: dict[int, ToolEntry], box: Box, tolerance_mm: float = TOLERANCE_MM) -> Sweep:
    """Return what motions sweep near the board ``box``; those with a cutter that is not in ``tools`` are left out.

    Motions along one line are joined, and passes of a straight cutter over a deeper one of the same line left out. Circles are
    polygons within ``tolerance_mm``; a picture takes a coarser one.
    """
    hulls: list[Points] = []
    rings: list[Ring] = []
    bound = 0.0
    strokes, bends = gathered(motions, tools, tolerance_mm)
    for bend in bends:
        plan = np.array(bend.places)
        for part in _parts_near(tools[bend.tool], plan.min(axis=0).tolist(), plan.max(axis=0).tolist(), box):
            ring, beyond = _ring_along(bend, part)
            rings.append(ring)
            bound = max(bound, bend.off_mm, beyond)
            for place in (bend.places[0], bend.places[-1]):
                if not _in_air(place[0], place[1], part.widest_mm, box):
                    points, short = _hull(place, place, part, box, tolerance_mm)
                    hulls.append(points)
                    bound = max(bound, short)
    for stroke in merged(strokes, tools, box.high[2]):
        for part in _parts_near(tools[stroke.tool], stroke.start, stroke.end, box):
            points, short = _hull(stroke.start, stroke.end, part, box, tolerance_mm)
            hulls.append(points)
            bound = max(bound, stroke.off_mm + short)
    return Sweep(tuple(hulls), tuple(rings), bound)


def _parts_near(tool: ToolEntry, start: Sequence[float], end: Sequence[float], box: Box) -> Iterator[Part]:
    """Yield the parts whose sweep from start to end may touch the board."""
    reach = max(1.0, box.high[2] - min(start[2], end[2]) - tool.cutting_length + 1.0)
    for part in parts_of(tool, reach):
        low = (*(min(start[i], end[i]) - part.widest_mm for i in (0, 1)), min(start[2], end[2]) + part.low_mm)
        high = (*(max(start[i], end[i]) + part.widest_mm for i in (0, 1)), max(start[2], end[2]) + part.high_mm)
        if all(low[i] < box.high[i] - _SAME_MM and high[i] > box.low[i] + _SAME_MM for i in range(3)):
            yield part


def _in_air(x: float, y: float, radius: float, box: Box) -> bool:
    """Tell whether a disc about this place lies wholly beside the board."""
    return x + radius < box.low[0] or x - radius > box.high[0] or y + radius < box.low[1] or y - radius > box.high[1]


def _unit(angles: Points) -> Points:
    return np.column_stack((np.cos(angles), np.sin(angles)))


def _hull(start: Point, end: Point, part: Part, box: Box, tolerance_mm: float) -> tuple[Points, float]:
    """Corners of a straight move's hull, and by how much its rounded ends fall short of the true ones."""
    way = math.atan2(end[1] - start[1], end[0] - start[0])
    count = circle_count(part.widest_mm, tolerance_mm)
    level = abs(end[2] - start[2]) <= _SAME_MM
    short = 0.0
    points = []
    for place, behind in ((start, math.pi), (end, 0.0)):
        if level and start != end:
            fine = not _in_air(place[0], place[1], part.widest_mm, box)
            angles = np.linspace(-math.pi / 2, math.pi / 2, count // 2 + 1 if fine else 2) + behind + way
        else:
            fine = True
            angles = np.linspace(0, 2 * math.pi, count, endpoint=False) + way
        if fine:
            short = part.widest_mm * (1 - math.cos(math.pi / count))
        points.append(part.ring(_unit(angles), np.asarray(place)))
    return np.vstack(points), short


def _ring_along(bend: ArcStroke, part: Part) -> tuple[Ring, float]:
    """Return what a cutter sweeps along a bend, and by how much too much at the corners of its lines."""
    plan = np.array(bend.places)[:, :2]
    steps = np.diff(plan, axis=0)
    if bend.centre is not None:
        inwards = (bend.centre - plan) / np.linalg.norm(bend.centre - plan, axis=1)[:, None]
    else:
        left = np.column_stack((-steps[:, 1], steps[:, 0])) / np.linalg.norm(steps, axis=1)[:, None]
        middle = left[:-1] + left[1:]
        # At a corner both flanks meet in the bisector, further out than the radius by the cosine of half the turn.
        mitred = 2 * middle / (middle**2).sum(axis=1)[:, None]
        inwards = np.vstack((left[:1], mitred, left[-1:]))
    if steps[0, 0] * inwards[0, 1] < steps[0, 1] * inwards[0, 0]:  # its middle lies to the right: seen backwards, to the left
        plan, inwards = plan[::-1], inwards[::-1]
    beyond = part.widest_mm * (float(np.linalg.norm(inwards, axis=1).max()) - 1)
    return _mesh(plan, inwards, bend.places[0][2], part), beyond


def _mesh(plan: Points, inwards: Points, z_mm: float, part: Part) -> Ring:
    """Join four curves, inside and outside of the bend at both ends of the part, to a closed mesh. The bend turns left."""
    count = len(plan)
    corners = []
    for height, radius in ((part.low_mm, part.low_radius_mm), (part.high_mm, part.high_radius_mm)):
        for r in (radius, -radius):
            corners.append(np.column_stack((plan + inwards * r, np.full(count, z_mm + height))))
    low_in, low_out, high_in, high_out = (np.arange(count, dtype=np.int64) + i * count for i in range(4))
    quads: list[tuple[NDArray[np.int64], ...]] = []
    for a, b in ((low_out, low_in), (high_in, high_out), (low_in, high_in), (high_out, low_out)):
        # Seen from outside: along b forwards, then back along a.
        quads.append((b[:-1], b[1:], a[1:], a[:-1]))
    faces = [np.column_stack((q[0], q[1], q[2])) for q in quads] + [np.column_stack((q[0], q[2], q[3])) for q in quads]
    first, last = (low_in[0], low_out[0], high_out[0], high_in[0]), (low_in[-1], high_in[-1], high_out[-1], low_out[-1])
    ends = [np.array([[q[0], q[1], q[2]], [q[0], q[2], q[3]]]) for q in (first, last)]
    return Ring(np.vstack(corners), np.vstack((*faces, *ends)).astype(np.uint64))
