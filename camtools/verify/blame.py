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
from camtools.verify.cutter import radius_at
from camtools.verify.motion import Motion

__all__ = ["Source", "Trace", "differs", "nearest_line"]

_AROUND_MM = 1.0  # how far around a place two boards are compared
_ALIKE_MM3 = 0.002


@dataclass(frozen=True, slots=True)
class Trace:
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


def nearest_line(
    traces: Sequence[Trace], tools: dict[int, ToolEntry], to_drawer: Matrix, place: Triple
) -> Source | None:
    """Return the motion whose cutter's surface came nearest to a place of the drawer, or None where there is no motion."""
    drawer = np.asarray(to_drawer)
    spot = drawer[:, :3].T @ (np.asarray(place) - drawer[:, 3])
    best: tuple[float, Source] | None = None
    for trace in traces:
        machine = np.asarray(trace.to_machine)
        x, y, z = (machine[:, :3] @ spot + machine[:, 3]).tolist()
        for motion in trace.motions:
            tool = tools.get(motion.tool)
            if tool is None or motion.kind == "rapid":
                continue
            off = abs(min(_distances(motion, tool, (x, y, z))))
            if best is None or off < best[0] - 1e-9:
                best = (off, Source(trace.file, motion.line))
    return best[1] if best else None


def _distances(motion: Motion, tool: ToolEntry, spot: Triple) -> Iterable[float]:
    """Yield about how far a place lies outside the cutter (below 0: inside), where the cutter passes it nearest."""
    for place in _passings(motion, spot):
        height = spot[2] - place[2]
        lean = math.cos(math.radians(tool.half_angle))
        beside = math.dist(spot[:2], place[:2]) - radius_at(tool, max(0.0, height))
        if height >= 0:
            yield max(beside * lean, -height)
        elif beside <= 0:
            yield -height
        else:
            yield math.hypot(beside, height)


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
