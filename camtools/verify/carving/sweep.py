"""What a cutter sweeps as it moves: convex hulls for straight moves, rings for arcs, in the program's machine frame.

Both ends of a straight move carry a polygon inscribed in the cutter's circle, turned so that two of its corners stand
square to the motion and one straight ahead: flanks and the wall at the end are exact, only rounded ends are cut short, by
the sagitta. An arc is cut into chords about its own centre. The bound says how far a carved surface may lie from the true one.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from camtools.output.manifest import ToolEntry
from camtools.verify.carving.cutter import Part, circle_count, parts_of
from camtools.verify.carving.ring import Ring, ring_along, ring_of
from camtools.verify.carving.strokes import Stroke, gathered, merged
from camtools.verify.reader.motion import Motion

__all__ = ["FURTHEST_MM", "TOLERANCE_MM", "Box", "Sweep", "sweeps_of"]

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
class Sweep:
    """Everything swept near the board: hulls ``(n, 3)`` of corners, rings, and the bound of both in mm."""

    hulls: tuple[Points, ...]
    rings: tuple[Ring, ...]
    bound_mm: float


def sweeps_of(motions: Sequence[Motion], tools: dict[int, ToolEntry], box: Box, *, merge: bool = True) -> Sweep:
    """Return what these motions sweep near the board.

    Parameters
    ----------
    merge
        Join motions along one line, and leave out passes of a straight cutter over a deeper one of the same line.
        Motions with a cutter that is not in ``tools`` are left out.
    """
    hulls: list[Points] = []
    rings: list[Ring] = []
    bound = 0.0
    if merge:
        strokes, bends = gathered(motions, tools)
        strokes = merged(strokes, tools, box.high[2])
    else:
        strokes = [Stroke(motion.start, motion.end, motion.tool) for motion in motions if motion.centre is None and motion.tool in tools]
        bends = []
    for bend in bends:
        plan = np.array(bend.places)
        low, high = plan.min(axis=0).tolist(), plan.max(axis=0).tolist()
        for part in _parts_near(tools[bend.tool], low, high, 0.0, box):
            ring, beyond = ring_along(bend.places, part)
            rings.append(ring)
            bound = max(bound, beyond, _add_ends((bend.places[0], bend.places[-1]), part, box, hulls))
    for stroke in strokes:
        for part in _parts_near(tools[stroke.tool], stroke.start, stroke.end, 0.0, box):
            points, short = _hull(stroke.start, stroke.end, part, box)
            hulls.append(points)
            bound = max(bound, short)
    for motion in motions:
        if motion.centre is None or motion.tool not in tools:
            continue
        radius = math.dist(motion.start[:2], motion.centre)
        for part in _parts_near(tools[motion.tool], motion.start, motion.end, 2 * radius, box):
            level = abs(motion.start[2] - motion.end[2]) <= _SAME_MM
            if level and radius > 1.02 * part.widest_mm:
                short = _add_rings(motion, radius, part, box, hulls, rings)
            else:
                short = _add_chords(motion, radius, part, box, hulls)
            bound = max(bound, short)
    return Sweep(tuple(hulls), tuple(rings), bound)


def _parts_near(tool: ToolEntry, start: Sequence[float], end: Sequence[float], around: float, box: Box) -> Iterator[Part]:
    """Yield the parts whose sweep from start to end, ``around`` wider, may touch the board."""
    reach = max(1.0, box.high[2] - min(start[2], end[2]) - tool.cutting_length + 1.0)
    for part in parts_of(tool, reach):
        spread = (part.widest_mm + around, part.widest_mm + around)
        low = (*(min(start[i], end[i]) - spread[i] for i in (0, 1)), min(start[2], end[2]) + part.low_mm)
        high = (*(max(start[i], end[i]) + spread[i] for i in (0, 1)), max(start[2], end[2]) + part.high_mm)
        if all(low[i] < box.high[i] - _SAME_MM and high[i] > box.low[i] + _SAME_MM for i in range(3)):
            yield part


def _in_air(x: float, y: float, radius: float, box: Box) -> bool:
    """Tell whether a disc about this place lies wholly beside the board."""
    return x + radius < box.low[0] or x - radius > box.high[0] or y + radius < box.low[1] or y - radius > box.high[1]


def _unit(angles: Points) -> Points:
    return np.column_stack((np.cos(angles), np.sin(angles)))


def _hull(start: tuple[float, float, float], end: tuple[float, float, float], part: Part, box: Box) -> tuple[Points, float]:
    """Corners of a straight move's hull, and by how much its rounded ends fall short of the true ones."""
    way = math.atan2(end[1] - start[1], end[0] - start[0])
    count = circle_count(part.widest_mm, TOLERANCE_MM)
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


def _chord_places(motion: Motion, radius: float, reach: float, box: Box) -> list[tuple[Points, int]]:
    """Cut an arc into chords; return runs ``(angles, total)`` of those near the board."""
    assert motion.centre is not None
    step = 2 * math.acos(max(-1.0, 1 - TOLERANCE_MM / (radius + reach)))
    sweep = math.radians(motion.sweep_deg)
    total = max(1, math.ceil(abs(sweep) / min(step, math.pi / 8)))
    first = math.atan2(motion.start[1] - motion.centre[1], motion.start[0] - motion.centre[0])
    angles = first + sweep * np.arange(total + 1) / total
    x, y = motion.centre[0] + radius * np.cos(angles), motion.centre[1] + radius * np.sin(angles)
    near = np.ones(total, dtype=bool)
    for values, low, high in ((x, box.low[0], box.high[0]), (y, box.low[1], box.high[1])):
        near &= (np.minimum(values[1:], values[:-1]) < high + reach) & (np.maximum(values[1:], values[:-1]) > low - reach)
    runs = []
    edges = np.flatnonzero(np.diff(np.concatenate(([False], near, [False])).astype(np.int8)))
    for begin, finish in zip(edges[::2], edges[1::2], strict=True):
        half = max(1, int(math.pi / abs(sweep / total)))  # a run of at most half a turn does not meet itself
        for part in range(begin, finish, half):
            runs.append((np.arange(part, min(finish, part + half) + 1), total))
    return [(angles[run], count) for run, count in runs]


def _add_rings(motion: Motion, radius: float, part: Part, box: Box, hulls: list[Points], rings: list[Ring]) -> float:
    """Add the ring that a level arc sweeps, and the cutter where it starts and ends."""
    assert motion.centre is not None
    short = 0.0
    for angles, total in _chord_places(motion, radius, part.widest_mm, box):
        rings.append(ring_of(angles, motion.centre, radius, motion.end[2], part))
        half = abs(math.radians(motion.sweep_deg)) / total / 2
        short = max(short, (radius + part.widest_mm) * (1 - math.cos(half)))
    return max(short, _add_ends((motion.start, motion.end), part, box, hulls)) if short else short


def _add_ends(places: Iterable[tuple[float, float, float]], part: Part, box: Box, hulls: list[Points]) -> float:
    """Add the cutter where it stands at an end of a bend."""
    short = 0.0
    for place in places:
        if not _in_air(place[0], place[1], part.widest_mm, box):
            points, less = _hull(place, place, part, box)
            hulls.append(points)
            short = max(short, less)
    return short


def _add_chords(motion: Motion, radius: float, part: Part, box: Box, hulls: list[Points]) -> float:
    """Add a hull for each chord of an arc that rises, or is too tight for a ring."""
    assert motion.centre is not None
    short = 0.0
    first = math.atan2(motion.start[1] - motion.centre[1], motion.start[0] - motion.centre[0])
    for angles, total in _chord_places(motion, radius, part.widest_mm, box):
        done = (angles - first) / math.radians(motion.sweep_deg) if motion.sweep_deg else np.zeros(len(angles))
        heights = motion.start[2] + (motion.end[2] - motion.start[2]) * done
        places = np.column_stack((_unit(angles) * radius + motion.centre, heights))
        half = abs(math.radians(motion.sweep_deg)) / total / 2
        for a, b in zip(places[:-1].tolist(), places[1:].tolist(), strict=True):
            points, less = _hull(tuple(a), tuple(b), part, box)
            hulls.append(points)
            short = max(short, less + (radius + part.widest_mm) * (1 - math.cos(half)))
    return short
