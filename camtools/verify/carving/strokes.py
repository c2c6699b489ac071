"""Motions as strokes of a cutter: straight ones, joined where they lie in one line, and bends, written as arcs or as short lines."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import NamedTuple

from camtools.output.manifest import ToolEntry
from camtools.verify.carving.cutter import radius_at
from camtools.verify.reader.arcs import chords
from camtools.verify.reader.motion import Motion, Point

__all__ = ["ArcStroke", "Stroke", "gathered", "merged", "points_along"]

_SAME_MM = 1e-9
_STEEPEST = math.radians(10.0)  # turn between the lines of a bend
_WHOLE = math.radians(170.0)  # turn of a bend, so that it does not meet itself
_LEAST_LINES = 3


@dataclass(frozen=True, slots=True)
class Stroke:
    """A straight motion of a cutter."""

    start: Point
    end: Point
    tool: int
    off_mm: float = 0.0  # how far what it sweeps may lie from what the true way does, where that is an arc


@dataclass(frozen=True, slots=True)
class ArcStroke:
    """Level lines that turn to one side by small steps: an arc, or what was written for one."""

    places: tuple[Point, ...]
    tool: int
    centre: tuple[float, float] | None = None  # of an arc
    off_mm: float = 0.0  # as in a stroke


def points_along(motion: Motion, sagitta_mm: float) -> list[Point]:
    """Return the ends of the straight pieces of a motion; those of an arc stay within ``sagitta_mm`` of it, but are 720 at most."""
    if motion.centre is None:
        return [motion.start, motion.end]
    (x, y, z), (cx, cy) = motion.start, motion.centre
    across, along = x - cx, y - cy
    count = chords(math.hypot(across, along), motion.sweep_deg, sagitta_mm)
    points = [motion.start]
    for step in range(1, count):
        angle = math.radians(motion.sweep_deg * step / count)
        sine, cosine = math.sin(angle), math.cos(angle)
        points.append((cx + across * cosine - along * sine, cy + across * sine + along * cosine, z + (motion.end[2] - z) * step / count))
    return [*points, motion.end]


def gathered(motions: Sequence[Motion], tools: dict[int, ToolEntry], sagitta_mm: float) -> tuple[list[Stroke], list[ArcStroke]]:
    """Sort motions into strokes and bends; arcs that rise or are tighter than their cutter become strokes.

    Motions with a cutter that is not in ``tools`` are left out. What lines sweep lies within ``sagitta_mm`` of what the arc does.
    """
    strokes: list[Stroke] = []
    bends: list[ArcStroke] = []
    run: list[Stroke] = []
    total = 0.0

    def close() -> None:
        if len(run) >= _LEAST_LINES:
            bends.append(ArcStroke((run[0].start, *(stroke.end for stroke in run)), run[0].tool))
        else:
            strokes.extend(run)
        run.clear()

    for motion in motions:
        if motion.tool not in tools:
            close()
            continue
        if motion.centre is not None:
            close()
            parts = _bends_of(motion, motion.centre, _widest_mm(tools[motion.tool]), sagitta_mm)
            level = abs(motion.start[2] - motion.end[2]) <= _SAME_MM
            if level and _fits(tools[motion.tool], math.dist(motion.start[:2], motion.centre)):
                bends += parts
            else:
                strokes += [Stroke(start, end, part.tool, part.off_mm) for part in parts for start, end in pairwise(part.places)]
            continue
        stroke = Stroke(motion.start, motion.end, motion.tool)
        turn = _turn(run[-1], stroke, tools[motion.tool]) if run else 0.0
        if not turn or turn * total < 0 or abs(total + turn) > _WHOLE:
            close()
            total = turn = 0.0
        run.append(stroke)
        total += turn
    close()
    return strokes, bends


def _bends_of(motion: Motion, centre: tuple[float, float], widest_mm: float, sagitta_mm: float) -> Iterator[ArcStroke]:
    """Cut an arc into lines, in parts that do not meet themselves."""
    radius = math.dist(motion.start[:2], centre)
    points = points_along(motion, sagitta_mm * radius / (radius + widest_mm))
    turn = abs(math.radians(motion.sweep_deg)) / (len(points) - 1)
    many = max(1, int(_WHOLE / max(turn, _SAME_MM)))
    off = (radius + widest_mm) * (1 - math.cos(turn / 2))
    for first in range(0, len(points) - 1, many):
        yield ArcStroke(tuple(points[first : first + many + 1]), motion.tool, centre, off)


def _fits(tool: ToolEntry, radius_mm: float) -> bool:
    """Tell whether a cutter goes round a bend without meeting its middle."""
    return radius_mm > 1.02 * _widest_mm(tool)


def _widest_mm(tool: ToolEntry) -> float:
    return max(radius_at(tool, 0.0), tool.shank / 2)


def _turn(before: Stroke, after: Stroke, tool: ToolEntry) -> float:
    """Return by how much a stroke turns left from the one before it, or 0 where both are not of one bend."""
    if before.end != after.start or before.tool != after.tool or len({before.start[2], before.end[2], after.end[2]}) > 1:
        return 0.0
    (ax, ay), (bx, by) = ((s.end[0] - s.start[0], s.end[1] - s.start[1]) for s in (before, after))
    first, second = math.hypot(ax, ay), math.hypot(bx, by)
    if min(first, second) <= _SAME_MM:
        return 0.0
    turn = math.atan2(ax * by - ay * bx, ax * bx + ay * by)
    return turn if 1e-6 < abs(turn) < _STEEPEST and _fits(tool, (first + second) / 2 / abs(turn)) else 0.0


def merged(strokes: Iterable[Stroke], tools: dict[int, ToolEntry], top_mm: float) -> list[Stroke]:
    """Join level strokes along one line and height; drop those of a straight cutter above a deeper one of the same line.

    ``top_mm`` is the height of the wood: a cutter that reaches up to it has cleared all that lies above its tip.
    """
    found: dict[tuple[object, ...], Stroke] = {}
    lines: dict[_Line, dict[float, list[tuple[float, float]]]] = {}
    sloping: list[tuple[_Line, tuple[float, float], Stroke]] = []
    for stroke in strokes:
        (x, y, z), (p, q, r) = stroke.start, stroke.end
        length = math.hypot(p - x, q - y)
        if stroke.off_mm or length <= _SAME_MM:
            found[(stroke.tool, *sorted((stroke.start, stroke.end)))] = stroke
            continue
        ux, uy = (p - x) / length, (q - y) / length
        if ux < -_SAME_MM or (abs(ux) <= _SAME_MM and uy < 0):
            ux, uy = -ux, -uy
        line = _Line(stroke.tool, round(ux, 9), round(uy, 9), round(ux * y - uy * x, 9))
        span = (ux * x + uy * y, ux * p + uy * q)
        if abs(z - r) > _SAME_MM:
            sloping.append((line, span, stroke))
        else:
            lines.setdefault(line, {}).setdefault(round(z, 9), []).append(span)
    cleared: dict[_Line, list[tuple[float, list[tuple[float, float]]]]] = {}  # to which height, and where down to that or deeper
    for line, levels in lines.items():
        tool = tools[line.tool]
        covered: list[tuple[float, float]] = []
        for z, spans in sorted(levels.items()):
            fresh = _union(spans)
            for a, b in fresh:
                if not _within((a, b), covered):
                    start, end = ((line.ux * along - line.uy * line.off_mm, line.uy * along + line.ux * line.off_mm, z) for along in (a, b))
                    found[(line.tool, start, end)] = Stroke(start, end, line.tool)
            if tool.half_angle == 0 and z + tool.cutting_length >= top_mm:
                covered = _union((*covered, *fresh))
                cleared.setdefault(line, []).append((z, covered))
    below: dict[tuple[_Line, float, float], list[tuple[float, float]]] = {}  # heights of both ends, of those that reach up to the top
    for line, span, stroke in sorted(sloping, key=lambda own: own[2].start[2] + own[2].end[2]):
        (first, low), (last, high) = sorted(zip(span, (stroke.start[2], stroke.end[2]), strict=True))
        deeper = [spans for z, spans in cleared.get(line, ()) if z <= min(low, high) + _SAME_MM]
        same = below.setdefault((line, round(first, 9), round(last, 9)), [])
        if (deeper and _within((first, last), deeper[-1])) or any(a <= low + _SAME_MM and b <= high + _SAME_MM for a, b in same):
            continue
        if tools[stroke.tool].half_angle == 0 and min(low, high) + tools[stroke.tool].cutting_length >= top_mm:
            same.append((low, high))
        found[(stroke.tool, *sorted((stroke.start, stroke.end)))] = stroke
    return list(found.values())


def _within(span: tuple[float, float], spans: Iterable[tuple[float, float]]) -> bool:
    return any(low <= span[0] + _SAME_MM and high >= span[1] - _SAME_MM for low, high in spans)


class _Line(NamedTuple):
    """An endless line in X and Y that a cutter follows: unit direction and distance from the origin."""

    tool: int
    ux: float
    uy: float
    off_mm: float


def _union(spans: Iterable[tuple[float, float]]) -> list[tuple[float, float]]:
    """Join spans that touch or overlap."""
    joined: list[tuple[float, float]] = []
    for low, high in sorted((min(span), max(span)) for span in spans):
        if joined and low <= joined[-1][1] + _SAME_MM:
            joined[-1] = (joined[-1][0], max(high, joined[-1][1]))
        else:
            joined.append((low, high))
    return joined
