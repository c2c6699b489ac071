"""Arcs in a plane: where the centre lies and how far they sweep.

NISTIR 6556 sections 3.5.3.1 and 3.5.3.2, p. 23-25, and 4.3.6.1, p. 51-52.
"""

from __future__ import annotations

import math

from camtools.verify.reader.words import LineFault
from camtools.wording import fine

__all__ = ["INCH_TOLERANCE_MM", "MM_TOLERANCE_MM", "centre_by_radius", "chords", "sweep_about"]

Spot = tuple[float, float]

MM_TOLERANCE_MM = 0.002  # largest difference of an arc's two radii, programs in mm
INCH_TOLERANCE_MM = 0.0002 * 25.4
_LARGEST_COUNT = 720


def sweep_about(centre: Spot, start: Spot, end: Spot, clockwise: bool, tolerance_mm: float) -> float:
    """Return the sweep in degrees, positive counter-clockwise; equal start and end make a full circle.

    Parameters
    ----------
    centre, start, end
        Places in the arc's plane, in mm.
    clockwise
        Which way it goes, as seen against the third axis.
    tolerance_mm
        By how much its radii at the start and at the end may differ.

    Raises
    ------
    LineFault
        If start and end lie at different distances from the centre, or at none.
    """
    radius = math.dist(start, centre)
    other = math.dist(end, centre)
    if abs(radius - other) > tolerance_mm:
        radii = f"radius {fine(radius)} at the start, {fine(other)} at the end"
        raise LineFault("arc-radius", f"{radii}; they may differ by {fine(tolerance_mm)}")
    if radius == 0.0 or other == 0.0:
        raise LineFault("arc-zero-radius", "the arc has no radius")
    turn = math.degrees(math.atan2(end[1] - centre[1], end[0] - centre[0]) - math.atan2(start[1] - centre[1], start[0] - centre[0]))
    if clockwise:
        return turn - 360.0 if turn >= 0.0 else turn
    return turn + 360.0 if turn <= 0.0 else turn


def centre_by_radius(start: Spot, end: Spot, radius_mm: float, clockwise: bool) -> Spot:
    """Return the centre of an arc given by its radius, in mm.

    Parameters
    ----------
    start, end
        Places in the arc's plane, in mm.
    radius_mm
        A negative one asks for the longer arc.
    clockwise
        Which way it goes, as seen against the third axis.

    Raises
    ------
    LineFault
        If there is no such arc.
    """
    across, along = end[0] - start[0], end[1] - start[1]
    chord = math.hypot(across, along)
    if chord == 0.0 or radius_mm == 0.0:
        raise LineFault("arc-zero-radius", "an arc by radius needs a radius, and an end other than its start")
    half, radius = chord / 2.0, abs(radius_mm)
    if half > radius * (1.0 + 1e-12):
        raise LineFault("arc-out-of-reach", f"the ends are {fine(chord)} apart, twice the radius is {fine(2.0 * radius)}")
    height = math.sqrt(max(0.0, radius * radius - half * half))
    if clockwise != (radius_mm < 0.0):
        height = -height  # the centre lies to the right of the way from start to end
    return (
        (start[0] + end[0]) / 2.0 - height * along / chord,
        (start[1] + end[1]) / 2.0 + height * across / chord,
    )


def chords(radius_mm: float, sweep_deg: float, sagitta_mm: float) -> int:
    """Return how many chords stay within ``sagitta_mm`` of an arc, at most 720."""
    if radius_mm <= sagitta_mm:
        return max(1, math.ceil(abs(sweep_deg) / 90.0))
    step = 2.0 * math.degrees(math.acos(1.0 - sagitta_mm / radius_mm))
    return max(1, math.ceil(min(_LARGEST_COUNT, abs(sweep_deg) / step)))
