"""A cutter as it is, by the widths of slots that it cut in one pass: its diameter and angle, how sure that is, and likely mix-ups.

The mouth of a slot of depth ``d`` is as wide as the cutter at that height, ``w = D - 2 d tan(a)``: docs/joinery.md section 13. What a
reading leaves open follows the law of propagation of uncertainty, JCGM 100:2008 (GUM) Eq. (10); beside it stand draws of readings,
JCGM 101:2008, and the most that rounding can do.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from camtools.job.bench.answers_form import OUT_OF_TRUE_MM, WORN_DEG, WORN_MM
from camtools.wording import fine, mm

__all__ = [
    "CALIPER_MM",
    "CutterAsIs",
    "Likely",
    "Slots",
    "cutter_as_is",
    "joint_within_mm",
    "likely_of",
    "sampled",
]

CALIPER_MM = 0.02  # what a caliper reads to: common practice, no source
_ALIKE_DEG = 0.5  # of an angle that it may have been mixed up with
_RESHARPENED_MM = 0.3  # by which one may be narrower that was mixed up
_TWINS_MM = ((3.0, 3.175), (6.0, 6.35), (8.0, 7.9375), (10.0, 9.525), (12.0, 12.7), (16.0, 15.875), (20.0, 19.05), (25.0, 25.4))
_DRAWS, _SEED = 20_000, 1


@dataclass(frozen=True, slots=True)
class Slots:
    """Slots cut in one pass each: how deep, and how wide their mouths were read. One is enough for a straight cutter."""

    depths_mm: tuple[float, ...]
    widths_mm: tuple[float, ...]
    caliper_mm: float = CALIPER_MM  # readings are rounded to this

    def parts(self, height_mm: float) -> tuple[float, ...]:
        """Return by how much the cutter's width at a height over its tip grows with each width that was read.

        It is that of a straight line through them, by least squares: a slot as deep as that would have such a mouth.
        """
        middle, spread = self._line
        even = 1 / len(self.depths_mm)
        return tuple(even + (height_mm - middle) * (depth - middle) / spread if spread else even for depth in self.depths_mm)

    @property
    def slope_parts(self) -> tuple[float, ...]:
        """By how much the slope of the flank grows with each width."""
        middle, spread = self._line
        return tuple((middle - depth) / (2 * spread) if spread else 0.0 for depth in self.depths_mm)

    @property
    def _line(self) -> tuple[float, float]:
        """Mean of the depths, and the sum of the squares by which they are off it."""
        middle = sum(self.depths_mm) / len(self.depths_mm)
        return middle, sum((depth - middle) ** 2 for depth in self.depths_mm)

    @property
    def shape(self) -> tuple[float, float]:
        """Diameter in mm and slope of the flank."""
        return _sum(self.parts(0.0), self.widths_mm), _sum(self.slope_parts, self.widths_mm)

    @property
    def off_mm(self) -> float:
        """The most by which a width is off the line."""
        return max(
            abs(_sum(self.parts(depth), self.widths_mm) - width) for depth, width in zip(self.depths_mm, self.widths_mm, strict=True)
        )


def _sum(parts: Sequence[float], values: Sequence[float]) -> float:
    """Return the sum of products of two equally long rows."""
    return sum(part * value for part, value in zip(parts, values, strict=True))


@dataclass(frozen=True, slots=True)
class CutterAsIs:
    """A cutter's shape by its slots. Uncertainties are of the caliper alone."""

    diameter_mm: float
    angle_deg: float
    standard_mm: float  # standard uncertainty, first order
    standard_deg: float
    within_mm: float  # the most that rounding can do
    within_deg: float


def cutter_as_is(slots: Slots) -> CutterAsIs:
    """Return the shape that slots tell, with what the caliper leaves open.

    A reading is rounded, so it lies within half a step to both sides, all of it as likely: its standard uncertainty is the step
    divided by the root of 12, GUM 4.3.7 and F.2.2.1.

    Raises
    ------
    ValueError
        Where no cutter leaves such slots.
    """
    several = len(slots.widths_mm) > 1
    if several and not 0 < min(slots.depths_mm) < max(slots.depths_mm):
        raise ValueError("slots of different depths are needed")
    diameter, slope = slots.shape
    if several and slope <= 0:
        raise ValueError("the deeper slot must have the narrower mouth: a dovetail cutter is widest at its tip")
    if slots.off_mm > slots.caliper_mm * (1 + 1e-9):
        raise ValueError(f"the widths do not lie on a line, by {fine(slots.off_mm)}: one was misread, or a depth is not as set")
    one, half = slots.caliper_mm / math.sqrt(12), slots.caliper_mm / 2
    angle, spread = math.atan(slope), half * sum(map(abs, slots.slope_parts))
    return CutterAsIs(
        diameter_mm=diameter,
        angle_deg=math.degrees(angle),
        standard_mm=one * math.hypot(*slots.parts(0.0)),
        standard_deg=math.degrees(one * math.hypot(*slots.slope_parts) / (1 + slope**2)),
        within_mm=half * sum(map(abs, slots.parts(0.0))),
        within_deg=math.degrees(max(math.atan(slope + spread) - angle, angle - math.atan(slope - spread))),
    )


def sampled(slots: Slots) -> tuple[float, float]:
    """Return within what diameter in mm and angle in degrees lie 95 times of 100, by drawing what was read within its rounding.

    The draws are the same each time.
    """
    import numpy as np  # slow to import, for all that read a job

    draw = np.random.default_rng(_SEED).uniform(-0.5, 0.5, (_DRAWS, len(slots.widths_mm))) * slots.caliper_mm
    _, slope = slots.shape
    wider = np.abs(draw @ np.array(slots.parts(0.0)))
    steeper = np.abs(np.degrees(np.arctan(slope + draw @ np.array(slots.slope_parts)) - math.atan(slope)))
    return float(np.quantile(wider, 0.95)), float(np.quantile(steeper, 0.95))


def joint_within_mm(slots: Slots, deep_mm: float) -> float:
    """Return by how much the caliper leaves the clearance of a half-blind joint open, at the most.

    That clearance changes with the cutter's width half way up the socket, which slots about as deep as that tell best.

    Parameters
    ----------
    deep_mm
        Depth of the socket.
    """
    return slots.caliper_mm / 2 * sum(map(abs, slots.parts(deep_mm / 2)))


@dataclass(frozen=True, slots=True)
class Likely:
    """What a measured cutter most likely is, in words; whether it is still the one that the job file names."""

    words: str
    same: bool


def likely_of(marked: tuple[float, float], found: CutterAsIs) -> Likely:
    """Say what most likely made a cutter's shape differ from its mark.

    Parameters
    ----------
    marked
        Diameter in mm and angle in degrees by the job file; an angle of 0 is a straight cutter's.
    """
    (wide, lean), off = marked, found.diameter_mm - marked[0]
    near_deg = found.within_deg + _ALIKE_DEG
    twisted = found.angle_deg - lean
    another = "it is another cutter, or a width was misread"
    if lean and abs(twisted) > WORN_DEG + found.within_deg:
        leans = f"its flank leans {found.angle_deg:.3g}\N{DEGREE SIGN}"
        for times, what in ((0.5, "the included angle of both flanks"), (2.0, "half the angle of its flank")):
            if abs(found.angle_deg - lean * times) <= near_deg:
                return Likely(f"{leans}: {lean:g}\N{DEGREE SIGN} may be {what}", same=False)
        return Likely(f"{leans}, not {lean:g}\N{DEGREE SIGN}: {another}", same=False)
    for twins in _TWINS_MM:
        for here, other in (twins, twins[::-1]):
            if abs(wide - here) <= 0.03 and -_RESHARPENED_MM <= found.diameter_mm - other <= found.within_mm + 0.02 < abs(off):
                return Likely(f"it may be one of {mm(other)}, mixed up with {mm(here)}", same=False)
    if not -WORN_MM - found.within_mm <= off <= OUT_OF_TRUE_MM + found.within_mm:
        return Likely(f"it is {mm(abs(off))} {'wider' if off > 0 else 'narrower'} than its mark: {another}", same=False)
    shift = abs(off) / (2 * math.tan(math.radians(found.angle_deg))) if lean else 0.0
    depths = f", or both slots are {mm(shift)} {{}} than set: measure one" if lean else ""
    if off > found.within_mm:
        return Likely(f"wider by {fine(off)}: no cutter grows, so it runs out of true{depths.format('shallower')}", same=True)
    if off < -found.within_mm:
        worn = "resharpened" if lean and abs(twisted) <= found.within_deg else "worn or resharpened"
        return Likely(f"narrower by {fine(-off)}: {worn}{depths.format('deeper')}", same=True)
    return Likely("as marked, as far as the caliper tells", same=True)
