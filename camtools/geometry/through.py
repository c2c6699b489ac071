"""The through joint of a side with a back: centre lines for tails and for the sockets between pins. docs/joinery.md section 6.

Sockets are described in plan, looking at the back's end: ``x`` across the joint from the side's reference edge, ``y``
through the back from its outside face to its inside face.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from camtools.drawer.boards import Tail, Through

__all__ = ["PinSocket", "flank_offset_mm", "pin_socket_of", "socket_half_width_mm"]


@dataclass(frozen=True, slots=True)
class PinSocket:
    """Where a straight cutter's centre may go: a trapezoid about ``middle``, narrowing with ``y``."""

    middle_mm: float
    mouth_mm: float  # half its width at y = 0, the outside face
    slope: float  # how much that half width falls for each mm of y

    def half_mm(self, y_mm: float) -> float:
        """Half the width at a distance from the outside face; negative beyond the point where the walls meet."""
        return self.mouth_mm - y_mm * self.slope

    @property
    def apex_mm(self) -> float:
        """Distance from the outside face at which both walls' centre lines meet."""
        return self.mouth_mm / self.slope


def flank_offset_mm(joint: Through) -> float:
    """Centre line of the dovetail cutter from a tail's flank at the tip plane.

    Widths belong to the back's outside face, ``back`` above the cutter's tip; a proud end only lengthens the tail.
    """
    return joint.dovetail.radius_at(joint.back_mm)


def socket_half_width_mm(joint: Through, tail: Tail, y_mm: float) -> float:
    """Half the width of a tail's socket at a distance from the back's outside face.

    The clearance is measured along the joint, in the plane of the face, as it is in the half-blind joint.
    """
    return tail.width_mm / 2 + joint.clearance_mm - y_mm * joint.dovetail.slope


def pin_socket_of(joint: Through, tail: Tail) -> PinSocket:
    """Centre lines along both walls of a socket: each wall offset by the cutter's radius at right angles to it."""
    shift = joint.straight.diameter_mm / 2 / math.cos(math.radians(joint.dovetail.angle_deg))
    return PinSocket(tail.middle_mm, socket_half_width_mm(joint, tail, 0.0) - shift, joint.dovetail.slope)
