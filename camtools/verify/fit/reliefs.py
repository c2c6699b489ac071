"""Where a joint that was cut with its boards flat may be open: the reliefs of its corners, worked out from its pins and its cutters.

A straight cutter leaves its rounding where a tail's flank meets the shoulder; so it is let into that corner, on the bisector, as far as
the corner itself: two discs and what lies between them in the plane of the side's face, the same at every depth. A dovetail cutter leaves
its rounding at the end of a socket; so it runs on there beyond both walls, until the square corner of the tail stands off by half the
clearance at least: in a section of front or back, again two discs and what lies between them. What lies in these figures and is neither
tail nor pin may be open, and nothing else. Pins are straight just under the side's outside face, where no socket's end reaches: from
there all is measured. docs/joinery.md section 12; all in the corner's frame.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import shapely
from manifold3d import Manifold
from shapely import Geometry, LineString, Polygon

from camtools.output.manifest import ToolEntry
from camtools.verify.carving.cutter import radius_at
from camtools.verify.fit.plane_sections import section

__all__ = ["FlatCutters", "Reliefs", "reliefs_of"]

_LEVELS = (0.2, 0.6)  # of a tail's length from its tip, at which pins are measured
_FAR_MM = 500.0  # further than any edge
_STRAIGHT = 1e-3  # slope of a board's edge at most, and of no flank


@dataclass(frozen=True, slots=True)
class FlatCutters:
    """What cuts a joint whose boards lie flat: the tails, and the sockets right through or to a depth."""

    straight: ToolEntry
    dovetail: ToolEntry
    below_mm: float  # how deep it goes into the waste sheet under a back

    @property
    def notch_mm(self) -> float:
        """How far beyond the baseline of the tails their corners are relieved."""
        return self.straight.diameter / 2 * (1.0 - math.sin(math.radians(90.0 - self.dovetail.half_angle) / 2))

    def reach_mm(self, tail_mm: float, pin_mm: float, clearance_mm: float) -> float:
        """Return how far from the side's outside face a socket that goes through the back reaches at the back's outside face."""
        near, far = (radius_at(self.dovetail, self.below_mm + depth) for depth in (0.0, pin_mm))
        return tail_mm + clearance_mm + near - far


@dataclass(frozen=True, slots=True)
class _PinFlank:
    """A pin's flank just under the side's outside face: z at a y."""

    z: float  # at y = 0
    slope: float

    def at(self, y: float) -> float:
        return self.z + self.slope * y


@dataclass(frozen=True, slots=True)
class Reliefs:
    """The reliefs of a joint; all places in its corner's frame."""

    pins: tuple[tuple[_PinFlank, _PinFlank], ...]
    cutters: FlatCutters
    tail_mm: float
    pin_mm: float
    end_mm: float
    clearance_mm: float
    tip_y_mm: float  # where the dovetail cutter's tip went along
    slack_mm: float

    @property
    def axis_mm(self) -> float:
        """X of the dovetail cutter's axis at the ends of sockets: its rim passes the tails by the clearance at the inside face."""
        return self.tail_mm + self.clearance_mm - self._mouth

    @property
    def _mouth(self) -> float:
        return radius_at(self.cutters.dovetail, self.pin_mm - self.tip_y_mm)

    def on_side(self) -> Geometry:
        """Return what may be open in every section along the side's face, (y, z)."""
        radius = self.cutters.straight.diameter / 2
        half = math.radians(90.0 - self.cutters.dovetail.half_angle) / 2
        # On the bisector of the corner, from where the cutter touches flank and shoulder to where its rim passes the corner.
        places = [
            (self.pin_mm - off * math.sin(half), off * math.cos(half) - self.clearance_mm) for off in (radius / math.sin(half), radius)
        ]
        discs, wood = [], []
        for low, high in self.pins:
            for line, way in ((low, 1.0), (high, -1.0)):
                if abs(line.slope) > _STRAIGHT:
                    bisector = LineString([(y, line.at(self.pin_mm) + way * across) for y, across in places])
                    discs.append(bisector.buffer(radius + self.slack_mm, quad_segs=64))
            ends = (0.0, self.pin_mm)
            wood.append(Polygon([*((end, low.at(end)) for end in ends), *((end, high.at(end)) for end in reversed(ends))]))
        return shapely.difference(shapely.union_all(discs), shapely.union_all(wood))

    def across(self, y: float) -> Geometry:
        """Return what may be open in a section square to the length of tails, (x, z)."""
        radius, off = radius_at(self.cutters.dovetail, y - self.tip_y_mm), self._mouth - self.clearance_mm
        # At the inside face, where the cutter is thinnest, the corner of the tail lies as far in as aside of the axis on its last line.
        beyond = off - math.sqrt(max(0.0, (self._mouth - self.clearance_mm / 2) ** 2 - off**2))
        found, tails = [], []
        for below, above in zip(self.pins, self.pins[1:], strict=False):
            low, high = below[1].at(y), above[0].at(y)
            ends = (low + radius - beyond, high - radius + beyond)
            found.append(LineString([(self.axis_mm, end) for end in ends]).buffer(radius + self.slack_mm, quad_segs=64))
            tails.append(shapely.box(-_FAR_MM, low + self.clearance_mm, self.tail_mm, high - self.clearance_mm))
        lowest = self.pins[0][0].at(y)
        if abs(self.pins[0][0].slope) > _STRAIGHT:  # under a raised back the lowest socket is open
            ends = (-_FAR_MM, lowest - radius + beyond)
            found.append(LineString([(self.axis_mm, end) for end in ends]).buffer(radius + self.slack_mm, quad_segs=64))
            tails.append(shapely.box(-_FAR_MM, -_FAR_MM, self.tail_mm, lowest - self.clearance_mm))
        return shapely.difference(shapely.union_all(found), shapely.union_all(tails))

    def root_mm(self, pin: Manifold) -> float:
        """Return the least width of a pin between the reliefs beside it, at its narrow side."""
        y = self.end_mm + 0.02 * (self.pin_mm - self.end_mm)
        return min((run.high - run.low for run in section(pin, "y", y).runs(1, self.axis_mm)), default=0.0)


def reliefs_of(
    pin: Manifold, cutters: FlatCutters, sizes: tuple[float, float, float], fits: tuple[float, float], skins: tuple[float, float]
) -> Reliefs | None:
    """Return the reliefs of a joint; None where no pins are found.

    Parameters
    ----------
    pin
        The board with the pins, placed.
    sizes
        Thickness of the side and of the pin board, and y of the tails' ends, in mm.
    fits
        Clearance at the flanks, and depth under half-blind tails, 0 in a through joint.
    skins
        How far under the side's outside face pins are looked at, and by how much a relief may be larger.
    """
    tail_mm, pin_mm, end_mm = sizes
    levels = [end_mm + share * (pin_mm - end_mm) for share in _LEVELS]
    face = section(pin, "x", skins[0])
    first, last = (face.runs(1, level) for level in levels)
    if not first or len(first) != len(last):
        return None
    way = levels[1] - levels[0]

    def line(near: float, far: float) -> _PinFlank:
        slope = (far - near) / way
        return _PinFlank(near - slope * levels[0], slope)

    pins = tuple((line(a.low, b.low), line(a.high, b.high)) for a, b in zip(first, last, strict=True))
    tip_y = end_mm - fits[1] if end_mm else -cutters.below_mm
    return Reliefs(pins, cutters, tail_mm, pin_mm, end_mm, fits[0], tip_y, skins[1])
