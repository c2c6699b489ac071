"""Distance pieces for a template with movable guides: laid between the guides they set them where the tails shall be.

A guide stands over the middle of each tail. All guides are of one width, so they cut tails of one width: with a bush on
the guide's sides, the tail at its tip plane is ``guide + bush - 2 offset`` wide, the offset being that of the centre line.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from camtools.drawer.boards import HalfBlind, Through
from camtools.faults import CannotCut, Fault
from camtools.geometry.half_blind import tail_corner_of
from camtools.geometry.through import flank_offset_mm
from camtools.templates.outlines import Corner, Outline
from camtools.templates.plates import Engraving, Plate
from camtools.wording import figure, mm

__all__ = ["SHIM_MM", "Guide", "SpacerSet", "guide_for", "spacer", "spacers_of", "spacers_off"]

SHIM_MM = 2.0  # a narrower gap is filled with a shim, not with a piece
LENGTH_MM = 45.0  # of a distance piece, along the guide
_SAME_MM = 0.005  # nearer widths are one width


@dataclass(frozen=True, slots=True)
class Guide:
    """The movable guides of a template, all alike."""

    width_mm: float
    radius_mm: float  # of the front corners
    bush_mm: float  # that goes with them, outside


@dataclass(frozen=True, slots=True)
class SpacerSet:
    """What lies side by side across one joint: edge piece, guide, gap, guide, ... edge piece."""

    name: str
    board_mm: float
    low_edge_mm: float  # from the board's reference edge to the first guide; below 0 the guide stands out
    gaps_mm: tuple[float, ...]
    high_edge_mm: float
    tail_mm: float  # width at the tip plane of the tails that these guides cut
    wanted_mm: tuple[float, ...]  # widths of the job's tails, each once
    radius_off_mm: float  # guide's front radius less the one that the rounded tails need; 0 where none is needed

    @property
    def pieces_mm(self) -> tuple[float, ...]:
        """Widths of the distance pieces and shims, in order from the reference edge."""
        return tuple(gap for gap in (self.low_edge_mm, *self.gaps_mm, self.high_edge_mm) if gap > _SAME_MM)


def guide_for(joint: HalfBlind, tail_mm: float, bush_mm: float) -> Guide:
    """Return the guides that cut tails of this width and roundness in a half-blind joint."""
    corner = tail_corner_of(joint)
    return Guide(round(tail_mm + 2 * corner.offset_mm - bush_mm, 2), round(max(0.0, corner.radius_mm - bush_mm / 2), 2), bush_mm)


def spacers_of(joint: HalfBlind | Through, guide: Guide, inset_mm: float | None, name: str) -> SpacerSet:
    """Return what lies across a joint.

    Parameters
    ----------
    inset_mm : float or None
        How far the first and the last guide stand inside the board's edges, 0 flush; None: every guide over its tail.
    name : str
        Of the joint, in the read-me and in faults.

    Raises
    ------
    CannotCut
        If neighbouring guides would overlap.
    """
    middles = [tail.middle_mm for tail in joint.tails]
    across, bush_mm, width = guide.width_mm, guide.bush_mm, joint.width_mm
    gaps = tuple(there - here - across for here, there in pairwise(middles))
    if gaps and min(gaps) < -1e-9:
        raise CannotCut(
            Fault(
                name, "the template's guides are too wide to stand over neighbouring tails", mm(across), f"at most {mm(across + min(gaps))}"
            )
        )
    low, high = middles[0] - across / 2, width - middles[-1] - across / 2
    if inset_mm is not None and gaps:
        room = width - 2 * inset_mm - len(middles) * across
        if room < 0:
            problem = "the template's guides find no room between their insets"
            raise CannotCut(Fault(name, problem, mm(2 * inset_mm + len(middles) * across), f"the board's {mm(width)}"))
        gaps, low, high = _shared(gaps, room), inset_mm, inset_mm
    if isinstance(joint, HalfBlind):
        corner = tail_corner_of(joint)
        offset, off = corner.offset_mm, guide.radius_mm - (corner.radius_mm - bush_mm / 2)
    else:
        offset, off = flank_offset_mm(joint), 0.0
    wanted = tuple(sorted({round(tail.width_mm, 2) for tail in joint.tails}))
    return SpacerSet(name, width, low, gaps, high, across + bush_mm - 2 * offset, wanted, off)


def _shared(gaps_mm: Sequence[float], room_mm: float) -> tuple[float, ...]:
    """Return gaps that fill the room: the narrowest, and what is left over shared equally by the wider ones, if they are mirrored."""
    least = min(gaps_mm)
    opened = [gap > least + _SAME_MM for gap in gaps_mm]
    if not any(opened) or opened != opened[::-1]:
        opened = [True] * len(gaps_mm)
    standard = min(least, room_mm / len(gaps_mm))
    share = (room_mm - standard * len(gaps_mm)) / sum(opened)
    return tuple(standard + (share if wider else 0.0) for wider in opened)


def spacers_off(sets: Sequence[SpacerSet]) -> dict[float, int]:
    """Return how many pieces of each width serve all sets, one set at a time; widths to 0.01 mm, ascending."""
    off: dict[float, int] = {}
    for each in sets:
        widths = [round(width, 2) for width in each.pieces_mm]
        for width in widths:
            off[width] = max(off.get(width, 0), widths.count(width))
    return dict(sorted(off.items()))


def spacer(width_mm: float, radius_mm: float) -> Plate:
    """Return a distance piece, its front (at the bottom) rounded as the guides' fronts are, its width engraved on it.

    Where both corners do not fit side by side the arcs keep the guides' radius and meet in the middle.
    """
    half, told = width_mm / 2, figure(width_mm)
    front: tuple[Corner, ...] = ((0.0, 0.0, radius_mm), (width_mm, 0.0, radius_mm))
    if half < radius_mm:
        turn = math.acos(1 - half / radius_mm)
        # Where the arcs meet, the sides that they round are their tangents.
        low = radius_mm * (math.sin(turn) - math.tan(turn / 2))
        front = ((0.0, low, radius_mm), (half, 0.0, 0.0), (width_mm, low, radius_mm))
    outline = Outline((*front, (width_mm, LENGTH_MM, 0.0), (0.0, LENGTH_MM, 0.0)))
    height = min(3.5, width_mm * 0.55)
    return Plate(told, outline, labels=(Engraving(told, half, LENGTH_MM / 2 + 2.0, round(height, 2), upright=True),))
