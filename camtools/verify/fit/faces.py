"""Gaps of a joint: what neither board fills, just under each face that shows, and inside. In the corner's frame."""

from __future__ import annotations

from dataclasses import dataclass

import shapely
from manifold3d import Manifold
from shapely import Geometry

from camtools.verify.fit.joint_fit import SKIN_MM, Ask
from camtools.verify.fit.plane_sections import section, widest

__all__ = ["ALLOWED_MM", "INSIDE", "FaceGap", "gaps_of", "zones_of"]

ALLOWED_MM = 0.02  # over the chosen clearance
INSIDE = "inside"  # what is no face: a section through the tails
_BESIDE_MM = 0.5  # of the faces beside the joint that is looked at too


@dataclass(frozen=True, slots=True)
class FaceGap:
    """What shows on one face: area, widest place beyond its limit's zone, and the limit there."""

    face: str
    area_mm2: float
    widest_mm: float
    limit_mm: float
    place: tuple[float, float, float]

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


def zones_of(ask: Ask, pin: Manifold) -> list[_Zone]:
    """Return the parts of the faces that the joint should fill, with the widest gap allowed in each."""
    high, thick_tail, thick_pin = ask.height_mm, ask.tail_mm + _BESIDE_MM, ask.pin_mm + _BESIDE_MM
    flank, tip = ask.flank_mm + ALLOWED_MM, ask.tip_mm + ALLOWED_MM
    lower = float(pin.bounding_box()[2])
    zones = []
    if ask.half_blind:
        edge = ask.lap_mm + SKIN_MM / 2
        zones.append(_Zone("side face", "x", SKIN_MM, shapely.box(0.0, 0.0, edge, high), max(flank, tip)))
        zones.append(_Zone("side face", "x", SKIN_MM, shapely.box(edge, 0.0, thick_pin, high), flank))
        zones.append(_Zone("front face", "y", SKIN_MM, shapely.box(0.0, 0.0, thick_tail, high), ALLOWED_MM))
    else:
        zones.append(_Zone("side face", "x", SKIN_MM, shapely.box(0.0, 0.0, thick_pin, high), flank))
        zones.append(_Zone("back face", "y", SKIN_MM, shapely.box(0.0, lower, thick_tail, high), flank))
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
    for zone in zones_of(ask, pin):
        wood = shapely.union(section(tail, zone.axis, zone.at).area(), section(pin, zone.axis, zone.at).area())
        open_area = shapely.difference(zone.region, wood)
        width, (a, b) = widest(open_area)
        place = {"x": (zone.at, a, b), "y": (a, zone.at, b), "z": (a, b, zone.at)}[zone.axis]
        gap = FaceGap(zone.face, float(open_area.area), width, zone.limit_mm, place)
        known = found.get(zone.face)
        if known is not None:
            area = known.area_mm2 + gap.area_mm2
            worse = gap if gap.excess_mm > known.excess_mm else known
            gap = FaceGap(zone.face, area, worse.widest_mm, worse.limit_mm, worse.place)
        found[zone.face] = gap
    return tuple(found.values())
