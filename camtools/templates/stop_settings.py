"""Where the two stops of a fence or router table stand for a stopped groove.

The board lies with its inside face down and its reference edge against the fence, which is behind the cutter; it is lowered
with its right end against the right stop and fed to the left until it meets the left stop.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from camtools.drawer.boards import Affine, Groove, Piece
from camtools.geometry.frames import determinant

__all__ = ["StopSetting", "stops_for"]

_SAME_MM = 0.005  # a cutter this near to the groove's width cuts it in one pass


@dataclass(frozen=True, slots=True)
class StopSetting:
    """How to cut one groove. Distances are from the cutter's middle; None: no stop, the groove runs out there."""

    left_stop_mm: float | None
    right_stop_mm: float | None
    start_to_the_left: bool  # the end from which the board's length is measured lies to the left
    marks_mm: tuple[float, float]  # ends of the groove, for the pencil: from the front end of a side, the left end of others
    cutter_marks_mm: float  # on the fence, to either side of the cutter's middle
    fence_mm: tuple[float, ...]  # from the fence to the cutter's near rim, a pass each
    depth_mm: float


def stops_for(piece: Piece, groove: Groove, to_drawer: Affine) -> StopSetting:
    """Return the setting for the groove of a board. Left and right parts are told apart by the sign of ``to_drawer``."""
    length, half = piece.size_mm[0], groove.cutter.diameter_mm / 2
    # Seen from above: X = +u or -u, Y = -v, Z = -w. Its determinant must have the sign of the board's place in the drawer.
    forward = determinant(to_drawer) > 0
    from_start = None if groove.start_mm < 0 else length - (groove.start_mm + half)
    from_stop = None if groove.stop_mm > length else groove.stop_mm - half
    # The left stop ends the cut at the groove's right end, and the right stop begins it at the left one.
    left, right = (from_stop, from_start) if forward else (from_start, from_stop)
    spare = groove.width_mm - 2 * half
    # A groove wider than its cutter is widened away from the fence, so that the cutter keeps pushing the board to it.
    passes = 1 if spare <= _SAME_MM else 1 + math.ceil(spare / (0.8 * 2 * half))
    return StopSetting(
        left_stop_mm=left,
        right_stop_mm=right,
        start_to_the_left=forward,
        marks_mm=(max(0.0, groove.start_mm), min(length, groove.stop_mm)),
        cutter_marks_mm=half,
        fence_mm=tuple(groove.edge_mm + spare * i / max(1, passes - 1) for i in range(passes)),
        depth_mm=groove.depth_mm,
    )
