"""Finds the program and the line that made a fault: which of two boards is wrong, and which motion came nearest to the place.

A drawer's joints at its left and its right are mirror images. Where a joint is wrong, the board that is unlike its twin at that
very place is the one to look at; where both or neither are, both are named.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from manifold3d import Manifold

from camtools.output.manifest import Matrix, ToolEntry, Triple
from camtools.verify.carving.cutter import radius_at
from camtools.verify.reader.motion import Motion

__all__ = ["BoardRun", "Source", "differs", "nearest_line"]

_AROUND_MM = 1.0  # how far around a place two boards are compared
_ALIKE_MM3 = 0.002
_STILL_MM = 1e-6
_MOST_MOTIONS = 30_000


@dataclass(frozen=True, slots=True)
class BoardRun:
    """What a program did to a board: kept to find the line that made a place."""

    file: str
    to_machine: Matrix
    motions: tuple[Motion, ...]


@dataclass(frozen=True, slots=True)
class Source:
    """A program and a line of it."""

    file: str
    line: int


def differs(solid: Manifold, twin: Manifold, place: Triple) -> bool:
    """Tell whether two boards in the same corner's frame differ around a place."""
    size = 2 * _AROUND_MM
    around = Manifold.cube((size, size, size), True).translate(place)
    first, second = solid ^ around, twin ^ around
    common = float((first ^ second).volume())
    return float(first.volume()) + float(second.volume()) - 2 * common > _ALIKE_MM3


def nearest_line(traces: Sequence[BoardRun], tools: dict[int, ToolEntry], to_drawer: Matrix, place: Triple) -> Source | None:
    """Return the line that made a place of the drawer, or None where there is no motion.

    It is that of the motion whose cutter came nearest, or which took the place deepest into itself. Where there are far more
    motions than a board needs, none is looked for.
    """
    drawer = np.asarray(to_drawer)
    spot = drawer[:, :3].T @ (np.asarray(place) - drawer[:, 3])
    best: tuple[tuple[float, float], Source] | None = None
    if sum(len(trace.motions) for trace in traces) > _MOST_MOTIONS:
        return None
    for trace in traces:
        machine = np.asarray(trace.to_machine)
        x, y, z = (machine[:, :3] @ spot + machine[:, 3]).tolist()
        for index, motion in enumerate(trace.motions):
            tool = tools.get(motion.tool)
            if tool is None or (motion.kind == "rapid" and motion.end[2] > 0):
                continue
            near = min(_nearnesses(motion, tool, (x, y, z)), key=lambda near: (near.outside_mm, near.askew))
            rank = (round(near.outside_mm, 4), round(near.askew, 4))
            if best is None or rank < best[0]:
                best = (rank, Source(trace.file, _set_by(trace.motions, index, near.floor).line))
    return best[1] if best else None


def _set_by(motions: Sequence[Motion], index: int, floor: bool) -> Motion:
    """Return the motion that set what a motion cut: the height of its floor, or the place of a wall along an axis."""
    own = motions[index]
    if floor:
        held = 2
    elif own.centre is None and abs(own.end[0] - own.start[0]) < _STILL_MM:
        held = 0
    elif own.centre is None and abs(own.end[1] - own.start[1]) < _STILL_MM:
        held = 1
    else:
        return own
    for motion in reversed(motions[: index + 1]):
        if abs(motion.end[held] - motion.start[held]) > _STILL_MM or motion.tool != own.tool:
            return motion if motion.tool == own.tool else own
    return own


@dataclass(frozen=True, slots=True)
class _Near:
    """How a cutter passes a place.

    How far outside it the place lies (below 0: inside), whether its flat end is what comes nearest, and how far from square to
    the motion it is passed: walls lie along a motion.
    """

    outside_mm: float
    floor: bool
    askew: float


def _nearnesses(motion: Motion, tool: ToolEntry, spot: Triple) -> Iterable[_Near]:
    lean = math.cos(math.radians(tool.half_angle))
    ahead = (motion.end[0] - motion.start[0], motion.end[1] - motion.start[1])
    for place in _passings(motion, spot):
        height = spot[2] - place[2]
        apart = math.dist(spot[:2], place[:2])
        beside = (apart - radius_at(tool, max(0.0, height))) * lean
        along = abs((spot[0] - place[0]) * ahead[0] + (spot[1] - place[1]) * ahead[1])
        askew = along / (apart * math.hypot(*ahead)) if motion.centre is None and apart * math.hypot(*ahead) > 0 else 0.0
        floor = -height > beside + _STILL_MM
        if height >= 0:
            yield _Near(max(beside, -height), floor, 0.0 if floor else askew)
        else:
            yield _Near(-height if beside <= 0 else math.hypot(beside, height), floor, 0.0 if floor else askew)


def _passings(motion: Motion, spot: Triple) -> Iterable[Triple]:
    """Yield the ends of a motion and the place on it that is nearest in plan."""
    yield motion.start
    yield motion.end
    (x, y, z), (p, q, r) = motion.start, motion.end
    if motion.centre is None:
        squared = (p - x) ** 2 + (q - y) ** 2
        if squared > 0:
            share = ((spot[0] - x) * (p - x) + (spot[1] - y) * (q - y)) / squared
            if 0 < share < 1:
                yield x + share * (p - x), y + share * (q - y), z + share * (r - z)
        return
    cx, cy = motion.centre
    radius = math.dist((x, y), motion.centre)
    first, towards = math.atan2(y - cy, x - cx), math.atan2(spot[1] - cy, spot[0] - cx)
    sign = 1.0 if motion.sweep_deg >= 0 else -1.0
    turn = (sign * (towards - first)) % (2 * math.pi)
    whole = abs(math.radians(motion.sweep_deg))
    if 0 < turn < whole:
        yield cx + radius * math.cos(towards), cy + radius * math.sin(towards), z + (r - z) * turn / whole
