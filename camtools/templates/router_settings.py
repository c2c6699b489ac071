"""How a router is set: blocks that touch the cutter's tip when its depth is right, and where a fence's stops stand.

Where the two stops of a fence or router table stand for a stopped groove.

The board lies with its inside face down and its reference edge against the fence, which is behind the cutter; it is lowered
with its right end against the right stop and fed to the left until it meets the left stop.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from camtools.drawer.boards import Affine, Groove, Piece
from camtools.geometry.frames import determinant
from camtools.templates.outlines import Outline, rectangle
from camtools.templates.plates import Engraving, Plate
from camtools.wording import figure

__all__ = ["Depth", "StopSetting", "blocks_of", "edge_strip", "merged", "stops_for"]

_FOOT_MM = 14.0
_BAR_MM = 16.0
_SAME_MM = 0.005  # nearer depths are one depth
_ONE_PASS_MM = 0.005  # a cutter this near to the groove's width cuts it in one pass


@dataclass(frozen=True, slots=True)
class Depth:
    """How far a cutter's tip stands out below the router's base, for what."""

    height_mm: float
    opening_mm: float  # what the block must span: the bush or the cutter
    use: str


def merged(depths: Iterable[Depth]) -> list[tuple[Depth, tuple[str, ...]]]:
    """Return each height once, with the widest opening and every use: one setting serves them all."""
    groups: list[list[Depth]] = []
    for depth in sorted(depths, key=lambda depth: depth.height_mm):
        if groups and depth.height_mm - groups[-1][0].height_mm <= _SAME_MM:
            groups[-1].append(depth)
        else:
            groups.append([depth])
    return [
        (
            Depth(group[0].height_mm, max(depth.opening_mm for depth in group), group[0].use),
            tuple(dict.fromkeys(depth.use for depth in group)),
        )
        for group in groups
    ]


def blocks_of(depths: Sequence[Depth]) -> list[Plate]:
    """Return a block for each height: two feet and a bar between them that the tip touches.

    The step is measured along one direction of the same outline, so that the kerf moves both its faces alike and the depth
    comes out right whatever the kerf.
    """
    plates = []
    for i, (depth, _) in enumerate(merged(depths), 1):
        span = depth.opening_mm + 8.0
        whole, height = span + 2 * _FOOT_MM, depth.height_mm
        outline = Outline(
            (
                (0.0, 0.0, 0.0),
                (_FOOT_MM, 0.0, 0.0),
                (_FOOT_MM, height, 0.0),
                (_FOOT_MM + span, height, 0.0),
                (_FOOT_MM + span, 0.0, 0.0),
                (whole, 0.0, 0.0),
                (whole, height + _BAR_MM, 0.0),
                (0.0, height + _BAR_MM, 0.0),
            )
        )
        labels = (Engraving(f"B{i}  {figure(height)}", whole / 2, height + _BAR_MM / 2, 4.0),)
        plates.append(Plate(f"B{i}", outline, labels=labels))
    return plates


def edge_strip(width_mm: float) -> Plate:
    """Return a strip that lies between fence and cutter: as wide as a groove's near wall is from the reference edge."""
    return Plate(
        f"E {figure(width_mm)}",
        rectangle(0.0, 0.0, 90.0, width_mm),
        labels=(Engraving(f"EDGE {figure(width_mm)}", 45.0, width_mm / 2, round(min(4.0, width_mm / 2), 2)),),
    )


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
    passes = 1 if spare <= _ONE_PASS_MM else 1 + math.ceil(spare / (0.8 * 2 * half))
    return StopSetting(
        left_stop_mm=left,
        right_stop_mm=right,
        start_to_the_left=forward,
        marks_mm=(max(0.0, groove.start_mm), min(length, groove.stop_mm)),
        cutter_marks_mm=half,
        fence_mm=tuple(groove.edge_mm + spare * i / max(1, passes - 1) for i in range(passes)),
        depth_mm=groove.depth_mm,
    )
