"""The half-blind joint of a side with a front: centre lines for tails and sockets. docs/joinery.md section 5.

Tails are described in the plane of the side's end: ``x`` across the joint from the reference edge, ``w`` through the
side from its outside face. Sockets are described in the plane of the front's inside face: ``x`` across the joint, ``y``
from the end of the front inwards.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise

from camtools.drawer.boards import HalfBlind
from camtools.geometry.curves import ArcSegment, Curve, LineSegment

__all__ = ["Socket", "TailCorner", "socket_of", "socket_outline", "tail_corner_of", "tail_outline"]


@dataclass(frozen=True, slots=True)
class TailCorner:
    """How the cutter's centre goes round the inside corner of a tail."""

    offset_mm: float  # of the centre line from the flank's line at the tip plane (r0)
    radius_mm: float  # of the centre line (rho)
    depth_mm: float  # w of its centre, from the outside face


@dataclass(frozen=True, slots=True)
class Socket:
    """Where the cutter's centre may go in one socket: between two lines, as far as a third."""

    low_mm: float
    high_mm: float
    reach_mm: float


def tail_corner_of(joint: HalfBlind) -> TailCorner:
    """Centre line of the rounded corners of every tail in this joint.

    The arc is a full quarter. It begins at ``w`` = side + R, where the cutter only touches the inside face, and ends on
    the flank's line. At a depth ``s`` from the tip plane the tail's corner has the radius ``rho - radius_at(h - s)``; the
    socket's corner is concentric with it at every depth and larger by the clearance.
    """
    tip = joint.dovetail.diameter_mm / 2
    offset = joint.dovetail.radius_at(joint.length_mm)
    return TailCorner(offset_mm=offset, radius_mm=tip + offset - joint.play_mm, depth_mm=joint.side_mm + joint.play_mm - offset)


def socket_of(joint: HalfBlind, middle_mm: float, width_mm: float) -> Socket:
    """Centre lines of the socket for a tail of this middle and tip width."""
    half = width_mm / 2 + joint.play_mm - joint.dovetail.diameter_mm / 2
    return Socket(
        low_mm=middle_mm - half,
        high_mm=middle_mm + half,
        reach_mm=joint.side_mm + joint.play_mm - joint.dovetail.radius_at(joint.length_mm),
    )


def tail_outline(joint: HalfBlind, middle_mm: float, width_mm: float, depth_mm: float) -> Curve:
    """Section of a tail across its length, ``depth_mm`` from the tip plane: ``(x, w)``, open at the outside face.

    It starts at the low flank on the outside face and ends at the high one.

    Parameters
    ----------
    middle_mm, width_mm
        Of the tail at its tip plane, from the reference edge.
    depth_mm
        Of the section from the tip plane, 0 to the tail's length.
    """
    corner = tail_corner_of(joint)
    half = width_mm / 2 - depth_mm * joint.dovetail.slope
    if joint.flat is not None:  # a board that lies flat keeps its corners square
        places = [(middle_mm - half, 0.0), (middle_mm - half, joint.side_mm), (middle_mm + half, joint.side_mm), (middle_mm + half, 0.0)]
        return tuple(LineSegment(start, end) for start, end in pairwise(places))
    radius = corner.radius_mm - joint.dovetail.radius_at(joint.length_mm - depth_mm)
    low, high = middle_mm - half, middle_mm + half
    # The quarter turn ends outside the wood: the inside face cuts the corner off, only at the baseline not.
    run = math.sqrt(max(0.0, radius**2 - (joint.side_mm - corner.depth_mm) ** 2))
    low_centre, high_centre = (low + radius, corner.depth_mm), (high - radius, corner.depth_mm)
    low_face, high_face = (low_centre[0] - run, joint.side_mm), (high_centre[0] + run, joint.side_mm)
    return (
        LineSegment((low, 0.0), (low, corner.depth_mm)),
        ArcSegment((low, corner.depth_mm), low_face, low_centre, clockwise=True),
        LineSegment(low_face, high_face),
        ArcSegment(high_face, (high, corner.depth_mm), high_centre, clockwise=True),
        LineSegment((high, corner.depth_mm), (high, 0.0)),
    )


def socket_outline(joint: HalfBlind, middle_mm: float, width_mm: float, depth_mm: float) -> Curve:
    """Section of a socket ``depth_mm`` below the front's inside face: ``(x, y)``, open at the end of the front.

    Parameters
    ----------
    middle_mm, width_mm
        Of the tail at its tip plane, from the reference edge.
    depth_mm
        Of the section below the front's inside face.
    """
    socket = socket_of(joint, middle_mm, width_mm)
    radius = joint.dovetail.radius_at(joint.length_mm + joint.free_depth_mm - depth_mm)
    low, high, reach, relief = socket.low_mm, socket.high_mm, socket.reach_mm, joint.relief_mm
    bend = reach - math.sqrt(radius**2 - (radius - relief) ** 2) if relief else reach  # where the wall meets the round of the end
    first, last = low - relief, high + relief
    return (
        LineSegment((low - radius, 0.0), (low - radius, bend)),
        ArcSegment((low - radius, bend), (first, reach + radius), (first, reach), clockwise=True),
        LineSegment((first, reach + radius), (last, reach + radius)),
        ArcSegment((last, reach + radius), (high + radius, bend), (last, reach), clockwise=True),
        LineSegment((high + radius, bend), (high + radius, 0.0)),
    )
