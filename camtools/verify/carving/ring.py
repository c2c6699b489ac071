"""What a level bend of a cutter's way sweeps: part of a ring, as one closed mesh."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from camtools.verify.carving.cutter import Part

__all__ = ["Ring", "ring_along", "ring_of"]

Points = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Ring:
    """Part of a ring: ``(n, 3)`` corners and ``(m, 3)`` triangles, outwards counter-clockwise."""

    corners: Points
    triangles: NDArray[np.uint64]


def ring_of(angles: Points, centre: tuple[float, float], radius_mm: float, z_mm: float, part: Part) -> Ring:
    """Return what a cutter sweeps along chords between these angles about a centre; the cutter is thinner than the radius."""
    if angles[-1] < angles[0]:
        angles = angles[::-1]
    unit = np.column_stack((np.cos(angles), np.sin(angles)))
    return _mesh(unit * radius_mm + centre, -unit, z_mm, part)


def ring_along(places: Sequence[tuple[float, float, float]], part: Part) -> tuple[Ring, float]:
    """Return what a cutter sweeps along level lines that turn to one side, and by how much too much at their corners."""
    plan = np.array(places)[:, :2]
    steps = np.diff(plan, axis=0)
    if steps[0, 0] * steps[1, 1] - steps[0, 1] * steps[1, 0] < 0:  # it turns right: seen backwards it turns left
        plan, steps = plan[::-1], -steps[::-1]
    along = steps / np.linalg.norm(steps, axis=1)[:, None]
    left = np.column_stack((-along[:, 1], along[:, 0]))
    middle = left[:-1] + left[1:]
    # At a corner both flanks meet in the bisector, further out than the radius by the cosine of half the turn.
    mitred = 2 * middle / (middle**2).sum(axis=1)[:, None]
    inwards = np.vstack((left[:1], mitred, left[-1:]))
    beyond = part.widest_mm * (float(np.linalg.norm(inwards, axis=1).max()) - 1)
    return _mesh(plan, inwards, places[0][2], part), beyond


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
