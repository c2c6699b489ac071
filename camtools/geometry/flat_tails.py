"""Tails of a board that lies flat: where a straight cutter's axis goes beside a tail. docs/joinery.md section 12.

Described in the plane of the side's face: ``x`` across the joint from the tail's edge at the tip plane into the waste, ``u`` from
the end of the board inwards.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from camtools.drawer.boards import Flat, HalfBlind, Through

__all__ = ["FlatTail", "flat_tail_of", "relief_outline"]


@dataclass(frozen=True, slots=True)
class FlatTail:
    """Lines of the cutter's axis along flank and shoulder, and where it stands to relieve their corner."""

    wider_mm: float  # by which the tail's edge at the end lies beyond the one at the tip plane: a proud end
    mouth_mm: float  # x of the line along the flank at the end of the board
    slope: float  # how much that x falls for each mm of u
    shoulder_mm: float  # u of the line along the shoulder
    relief_mm: tuple[float, float]  # (x, u)

    def beside_mm(self, u_mm: float) -> float:
        """X of the line along the flank."""
        return self.mouth_mm - u_mm * self.slope


def flat_tail_of(joint: HalfBlind | Through, flat: Flat) -> FlatTail:
    """Return the way beside every tail of a joint.

    The corner of flank and shoulder is ``90 - a`` wide in the waste. The relief's circle goes through it, with its middle on the
    bisector: of all circles that clear a square corner of the pin it shows least.
    """
    radius, slope = flat.straight.diameter_mm / 2, joint.dovetail.slope
    half = math.radians(45.0 - joint.dovetail.angle_deg / 2)
    wider = joint.proud_mm * slope if isinstance(joint, Through) else 0.0
    corner = wider - joint.length_mm * slope
    return FlatTail(
        wider_mm=wider,
        mouth_mm=wider + radius / math.cos(math.radians(joint.dovetail.angle_deg)),
        slope=slope,
        shoulder_mm=joint.length_mm - radius,
        relief_mm=(corner + radius * math.cos(half), joint.length_mm - radius * math.sin(half)),
    )


def relief_outline(flat: Flat, angle_deg: float) -> tuple[tuple[float, float], ...]:
    """Return five points of the relief of a corner of flank and shoulder, from it: ``x`` along the shoulder into the waste, ``u`` inwards.

    From the shoulder straight to the rim, half round it, the corner itself in the middle, and straight to the flank.
    """
    radius, angle = flat.straight.diameter_mm / 2, math.radians(angle_deg)
    half = math.pi / 4 - angle / 2
    opens = flat.opens_mm(angle_deg)
    x, u = radius * math.cos(half), -radius * math.sin(half)
    across = radius * math.sin(half), radius * math.cos(half)
    flank = (opens * math.sin(angle), -opens * math.cos(angle))
    return (opens, 0.0), (x + across[0], u + across[1]), (0.0, 0.0), (x - across[0], u - across[1]), flank
