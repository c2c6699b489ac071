"""The measure of looks: what a layout is chosen by, where cutter and wood allow several. docs/joinery.md section 7.

Each term is a fault of looks, 0 where there is none; their sum is what the choice makes least. A proportion that is off by a factor
counts by its natural logarithm, so that twice as wide is as bad as half as wide. The weights are common practice, no source, where
docs/sources.md section 3 names none. Many layouts are looked at at once: widths and faults are numbers, or numpy arrays of one shape.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from camtools.drawer.bounds import Bounds
from camtools.wording import up

__all__ = [
    "APART",
    "BEYOND",
    "EDGE",
    "EDGE_MOST",
    "FAMILY",
    "RATIO_LIMITS",
    "SINGLE_MM",
    "STEP_MM",
    "Eye",
    "Looks",
    "Numbers",
    "Widths",
    "off",
]

RATIO = 2.0  # tail to pin at half their length; hand look 2:1 to 4:1, router 1:1 to 2:1
RATIO_LIMITS = (1.0, 4.0)  # the proportions the trade likes
STEP_MM = 0.5  # widths that are chosen are whole steps
LEAST_STANDARD_PIN_MM = 4.0  # the finest pin that is looked for, though the limit is lower
EDGE_MOST = 1.5  # widest half pin that looks right, beside the finest pin, each at its wide side
SINGLE_MM = 50.0  # widest board that a single tail looks right on: a teacher's lesson

# What a fault of looks counts, beside a proportion of tail to pin that is off by a factor of e, which counts 1.
BEYOND = 3.0  # what of that, or of a half pin, is beyond its limit, again
UNEVEN = 0.5  # tails, or gaps, that differ by a factor of e, other than the style means
FINE = 1.5  # the narrowest pin, wider or narrower by a factor of e than the finest
EDGE = 1.0  # half pins whose wide side is off by a factor of e from that of the finest pin
BARE = 1.0  # a groove that lies outside the lowest tail, or too near to its flank
SINGLE = 5.0  # a single tail on a wider board than such a tail looks right on, or under a raised back
BETWEEN = 0.05  # each chosen width that is no whole step
FAMILY = 2.0  # a width that is off by a factor of e from the family's
APART = 1.5  # a drawer that does not share the family's look


Numbers = Any  # a float, or an array of them


class Looks(NamedTuple):
    """Faults of looks of one joint, by their names; 0 is none."""

    proportion: Numbers
    evenness: Numbers
    pins: Numbers
    half_pins: Numbers
    groove: Numbers
    single: Numbers
    steps: Numbers
    family: Numbers = 0.0

    @property
    def cost(self) -> Numbers:
        """The sum, which the choice makes least."""
        return sum(self)

    def worst_beside(self, other: Looks) -> str:
        """Name the fault by which this is most worse than another."""
        return max(zip(self._fields, self, other, strict=True), key=lambda term: term[1] - term[2])[0]


class Widths(NamedTuple):
    """What the eye sees of a division, in the tip plane."""

    tails: Numbers
    outermost_mm: Numbers
    narrowest_mm: Numbers  # tail
    widest_mm: Numbers
    mean_mm: Numbers
    narrowest_pin_mm: Numbers  # of a single tail: the standard pin
    widest_pin_mm: Numbers
    mean_pin_mm: Numbers
    half_pin_mm: Numbers
    meant: Numbers  # by what factor the style means the widest tail to be wider than the narrowest


def off(width_mm: Numbers, from_mm: Numbers) -> Numbers:
    """Tell by what factor a width is off from another, as the natural logarithm."""
    return abs(np.log(width_mm / from_mm))


def _beyond(ratio: Numbers) -> Numbers:
    """Tell by what factor a limit is passed, as the natural logarithm; 0 where it is kept."""
    return np.maximum(0.0, np.log(ratio))


class Eye:
    """Looks at the layouts of one joint.

    Parameters
    ----------
    width_mm
        Of the joint, from edge to edge.
    bounds
        What cutters and wood allow in it.
    """

    def __init__(self, width_mm: float, bounds: Bounds) -> None:
        self._lean = bounds.lean_mm
        self._cover = bounds.cover_mm
        self._alone = SINGLE if width_mm > SINGLE_MM or bounds.raised else 0.0
        self.finest_mm = max(LEAST_STANDARD_PIN_MM, up(bounds.pin.mm, STEP_MM))
        self.edge_mm = self.finest_mm + bounds.lean_mm  # half pin whose wide side is as wide as that of a pin, which has two flanks

    def proportions(self, widths: Widths) -> tuple[Numbers, Numbers, Numbers]:
        """Return least, mean and most of tail to pin at half their length, where neither is flattered."""
        lean = self._lean
        return (
            (widths.narrowest_mm - lean) / (widths.widest_pin_mm + lean),
            (widths.mean_mm - lean) / (widths.mean_pin_mm + lean),
            (widths.widest_mm - lean) / (widths.narrowest_pin_mm + lean),
        )

    def tail_mm(self, pin_mm: float, ratio: float = RATIO) -> float:
        """Return the tail that stands in this proportion to a pin."""
        return ratio * (pin_mm + self._lean) + self._lean

    def edge_share(self, half_pin_mm: Numbers) -> Numbers:
        """Return how wide the wide side of a half pin is beside that of the finest pin."""
        return (half_pin_mm + self._lean) / (self.edge_mm + self._lean)

    def frame(self, pin_mm: Numbers, half_pin_mm: Numbers) -> tuple[Numbers, Numbers, Numbers]:
        """Return what narrowest pin and half pin cost, and a groove below the lowest tail, however many tails there are."""
        lean = self._lean
        return (
            FINE * off(pin_mm + lean, self.finest_mm + lean),
            EDGE * off(half_pin_mm + lean, self.edge_mm + lean) + BEYOND * _beyond(self.edge_share(half_pin_mm) / EDGE_MOST),
            np.where(half_pin_mm <= self._cover[0] + 1e-9, 0.0, BARE),
        )

    def looks(self, widths: Widths, steps: Numbers) -> Looks:
        """Look at a division by itself.

        Parameters
        ----------
        steps
            How many of its chosen widths are no whole step.
        """
        low, mean, high = self.proportions(widths)
        beyond = _beyond(high / RATIO_LIMITS[1]) + _beyond(RATIO_LIMITS[0] / low)
        uneven = _beyond(widths.widest_mm / widths.narrowest_mm / widths.meant)
        gaps = np.log((widths.widest_pin_mm + self._lean) / (widths.narrowest_pin_mm + self._lean))
        pins, half_pins, groove = self.frame(widths.narrowest_pin_mm, widths.half_pin_mm)
        groove = np.where(widths.half_pin_mm + widths.outermost_mm < self._cover[1] - 1e-9, BARE, groove)
        return Looks(
            proportion=off(mean, RATIO) + BEYOND * beyond,
            evenness=UNEVEN * (uneven + gaps),
            pins=pins,
            half_pins=half_pins,
            groove=groove,
            single=np.where(widths.tails == 1, self._alone, 0.0),
            steps=BETWEEN * steps,
        )
