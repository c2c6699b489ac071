"""Measures one joint as it stands when home: overlap, clearances, shoulders, tips, proud ends, and what neither board fills, just under
each face that shows and inside. All in the corner's frame.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from itertools import pairwise

import shapely
from manifold3d import Manifold
from shapely import Geometry

from camtools.output.manifest import Triple
from camtools.verify.fit.overlap import Overlap, overlap_of
from camtools.verify.fit.plane_sections import Section, place_of, section, widest
from camtools.verify.fit.reliefs import FlatCutters, Reliefs, reliefs_of

__all__ = ["ALLOWED_MM", "INSIDE", "SKIN_MM", "Ask", "FaceGap", "Joint", "Spread", "gaps_of", "lower_edge_mm", "measure_joint"]

SKIN_MM = 0.02  # under a face, where what shows on it is looked at
ALLOWED_MM = 0.02  # over the chosen clearance
INSIDE = "inside"  # what is no face: a section through the tails
_BESIDE_MM = 0.5  # of the faces beside the joint that is looked at too
_BESIDE_RELIEF_MM = 0.1  # so near to a relief no flank is measured
_LINES = 11  # across a flank


@dataclass(frozen=True, slots=True)
class Ask:
    """What a joint is asked to be: thicknesses of the boards, height up to the lower one's edge, and the limits it is judged by."""

    half_blind: bool
    tail_mm: float  # thickness of the tail board
    pin_mm: float  # of the pin board
    height_mm: float
    flank_mm: float
    tip_mm: float
    lap_mm: float
    proud_mm: float  # of the tails
    pins_proud_mm: float
    raised: bool
    flat: FlatCutters | None = None  # where the joint was cut with its boards flat

    @property
    def end_mm(self) -> float:
        """Where tails end, from the outside face of the pin board, proud ends left aside."""
        return self.lap_mm if self.half_blind else 0.0

    def reliefs(self, pin: Manifold) -> Reliefs | None:
        """Return where the joint may be open, worked out from its pins; None where it was cut upright."""
        if self.flat is None:
            return None
        sizes, fits = (self.tail_mm, self.pin_mm, self.end_mm), (self.flank_mm, self.tip_mm)
        return reliefs_of(pin, self.flat, sizes, fits, (SKIN_MM, ALLOWED_MM))


@dataclass(frozen=True, slots=True)
class Spread:
    """Smallest, mean and largest of a measure in mm, and where the extremes are."""

    smallest_mm: float
    mean_mm: float
    largest_mm: float
    smallest_at: Triple
    largest_at: Triple


@dataclass(frozen=True, slots=True)
class Joint:
    """What was measured. A spread is None where there is nothing of the kind to measure."""

    overlap: Overlap
    flank: Spread | None  # in the plane of the side's face, along the joint
    shoulder: Spread | None  # baseline of the tails to the inside face of the pin board
    tip: Spread | None  # half-blind: free depth under the tails; through: how far they stand proud
    lap_mm: float  # least wood in front of half-blind tails; 0 in a through joint
    pins_proud_mm: float
    root_mm: float | None = None  # least width of a pin between the reliefs of two sockets; None where there are none


def measure_joint(tail: Manifold, pin: Manifold, ask: Ask) -> Joint:
    """Measure a joint of two placed boards that were cut down to the corner."""
    flanks: list[tuple[float, Triple]] = []
    shoulders: list[tuple[float, Triple]] = []
    tips: list[tuple[float, Triple]] = []
    laps: list[float] = []
    reliefs = ask.reliefs(pin)
    relieved = shapely.buffer(reliefs.on_side(), _BESIDE_RELIEF_MM) if reliefs else shapely.Point()
    # The flanks of half-blind tails are straight near the outside face only.
    depths = (SKIN_MM, 0.15 * ask.tail_mm) if ask.half_blind else (SKIN_MM, ask.tail_mm / 2, ask.tail_mm - SKIN_MM)
    for x in depths:
        tails, pins = section(tail, "x", x), section(pin, "x", x)
        flanks += (one for one in _flanks(tails, pins, x, ask) if reliefs is None or not _open(one[1], reliefs, relieved))
        for z, of_tail in _stations(tails, pins, ask):
            ahead = pins.runs(0, z)
            behind = [run for run in tails.runs(0, z) if run.high > ask.end_mm]
            if not behind:
                continue
            start = behind[0].low
            if not of_tail and ahead and not relieved.contains(shapely.Point(start, z)):
                shoulders.append((start - ahead[-1].high, (x, start, z)))
            elif not of_tail:
                continue
            elif ask.half_blind:
                end = ahead[0].high if ahead else 0.0
                tips.append((start - end, (x, start, z)))
                laps.append(end)
            else:
                tips.append((-start, (x, start, z)))
    return Joint(
        overlap=overlap_of(tail, pin),
        flank=_spread(flanks),
        shoulder=_spread(shoulders),
        tip=_spread(tips),
        lap_mm=min(laps, default=0.0),
        pins_proud_mm=max(0.0, -float(pin.bounding_box()[0])),
        root_mm=reliefs.root_mm(pin) if reliefs else None,
    )


def _open(place: Triple, reliefs: Reliefs, on_side: Geometry) -> bool:
    """Tell whether a place between tail and pin lies in a relief."""
    x, y, z = place
    across = shapely.buffer(reliefs.across(y), _BESIDE_RELIEF_MM)
    return bool(on_side.contains(shapely.Point(y, z)) or across.contains(shapely.Point(x, z)))


def _levels(ask: Ask) -> list[float]:
    """Distances from the pin board's outside face at which flanks are measured."""
    length = ask.pin_mm - ask.end_mm
    return [ask.end_mm + length * (0.05 + 0.9 * i / (_LINES - 1)) for i in range(_LINES)]


def _flanks(tails: Section, pins: Section, x: float, ask: Ask) -> Iterable[tuple[float, Triple]]:
    for y in _levels(ask):
        runs = sorted((*tails.runs(1, y, "tail"), *pins.runs(1, y, "pin")), key=lambda run: (run.low, run.high))
        for a, b in pairwise(runs):
            if a.owner != b.owner:
                yield b.low - a.high, (x, y, (a.high + b.low) / 2)


def _stations(tails: Section, pins: Section, ask: Ask) -> Iterable[tuple[float, bool]]:
    """Yield heights well within each tail and each pin, and which of the two it is."""
    middle = (ask.end_mm + ask.pin_mm) / 2
    for sections, of_tail in ((tails, True), (pins, False)):
        for run in sections.runs(1, middle):
            for share in (0.35, 0.5, 0.65):  # a tail is narrower at the baseline than in its middle
                yield run.low + share * (run.high - run.low), of_tail


def _spread(values: list[tuple[float, Triple]]) -> Spread | None:
    if not values:
        return None
    # Rounded, so that of equal ones the same is named on every machine.
    smallest, largest = (least(values, key=lambda value: (round(value[0], 6), value[1])) for least in (min, max))
    mean = math.fsum(value for value, _ in values) / len(values)
    return Spread(smallest[0], mean, largest[0], smallest[1], largest[1])


@dataclass(frozen=True, slots=True)
class FaceGap:
    """What shows on one face: area, widest place beyond its limit's zone, and the limit there."""

    face: str
    area_mm2: float
    widest_mm: float
    limit_mm: float
    place: Triple
    stated: bool = False  # a relief, which the way the joint is cut asks for

    @property
    def excess_mm(self) -> float:
        return self.widest_mm - self.limit_mm


@dataclass(frozen=True, slots=True)
class _Zone:
    """A part of a face where one limit holds, in the plane of the section."""

    face: str
    axis: str
    at: float
    region: Geometry
    limit_mm: float


def _zones_of(ask: Ask, pin: Manifold) -> list[_Zone]:
    """Return the parts of the faces that the joint should fill, with the widest gap allowed in each."""
    high, thick_tail, thick_pin = ask.height_mm, ask.tail_mm + _BESIDE_MM, ask.pin_mm + _BESIDE_MM
    flank, tip = ask.flank_mm + ALLOWED_MM, ask.tip_mm + ALLOWED_MM
    thick_pin += ask.flat.notch_mm if ask.flat else 0.0
    lower = lower_edge_mm(pin)
    zones = []
    if ask.half_blind:
        edge = ask.lap_mm + SKIN_MM / 2
        zones.append(_Zone("side face", "x", SKIN_MM, shapely.box(0.0, 0.0, edge, high), max(flank, tip)))
        zones.append(_Zone("side face", "x", SKIN_MM, shapely.box(edge, 0.0, thick_pin, high), flank))
        zones.append(_Zone("front face", "y", SKIN_MM, shapely.box(0.0, 0.0, thick_tail, high), ALLOWED_MM))
    else:
        zones.append(_Zone("side face", "x", SKIN_MM, shapely.box(0.0, 0.0, thick_pin, high), flank))
        far = thick_tail if ask.flat is None else ask.flat.reach_mm(ask.tail_mm, ask.pin_mm, ask.flank_mm) + _BESIDE_MM
        zones.append(_Zone("back face", "y", SKIN_MM, shapely.box(0.0, lower, far, high), flank))
    edges = [("upper edge", high - SKIN_MM)]
    if not ask.raised or ask.half_blind:
        edges.append(("lower edge", SKIN_MM))
    corner = shapely.box(0.0, 0.0, ask.tail_mm, thick_pin)
    zones += [_Zone(name, "z", at, corner, ALLOWED_MM) for name, at in edges]
    # A tail's rounded corner and its socket's are concentric: the gap between them is the clearance, all the way round.
    deep = ask.end_mm + 0.25 * (ask.pin_mm - ask.end_mm)
    zones.append(_Zone(INSIDE, "y", deep, shapely.box(0.0, lower, ask.tail_mm, high), flank))
    return zones


def gaps_of(tail: Manifold, pin: Manifold, ask: Ask) -> tuple[FaceGap, ...]:
    """Measure what shows on each face; of two zones of one face the one nearer to its limit, or further beyond, is told."""
    found: dict[str, FaceGap] = {}
    reliefs = ask.reliefs(pin)
    for zone in _zones_of(ask, pin):
        wood = shapely.union(section(tail, zone.axis, zone.at).area(), section(pin, zone.axis, zone.at).area())
        open_area = shapely.difference(zone.region, wood)
        if reliefs is not None and (zone.axis == "x" or zone.face in (INSIDE, "back face")):
            relief = reliefs.on_side() if zone.axis == "x" else reliefs.across(zone.at)
            named, shown = f"reliefs, {zone.face}", shapely.intersection(open_area, relief)
            width, spot = widest(shown)
            area = float(shown.area) + (found[named].area_mm2 if named in found else 0.0)
            limit = widest(shapely.intersection(zone.region, relief))[0] + ALLOWED_MM
            found[named] = FaceGap(named, area, width, limit, place_of(zone.axis, zone.at, spot), stated=True)
            open_area = shapely.difference(open_area, relief)
        width, spot = widest(open_area)
        gap = FaceGap(zone.face, float(open_area.area), width, zone.limit_mm, place_of(zone.axis, zone.at, spot))
        known = found.get(zone.face)
        if known is not None:
            area = known.area_mm2 + gap.area_mm2
            worse = gap if gap.excess_mm > known.excess_mm else known
            gap = FaceGap(zone.face, area, worse.widest_mm, worse.limit_mm, worse.place)
        found[zone.face] = gap
    return tuple(found.values())


def lower_edge_mm(pin: Manifold) -> float:
    """Return the height at which a pin board begins; 0 where none stands in the corner."""
    return 0.0 if pin.is_empty() else float(pin.bounding_box()[2])
