"""Plane sections of solids: the runs of wood that a line meets in them, and whether a board can be pushed home through them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from manifold3d import CrossSection, JoinType, Manifold
from numpy.typing import NDArray
from shapely import Geometry, MultiPolygon, Polygon

from camtools.output.manifest import Triple

__all__ = ["STEP_MM", "Blocked", "Stretch", "blocked_by", "depths_between", "place_of", "section", "widest"]

STEP_MM = 0.5  # between sections along the way of a board
_SLACK_MM = 0.01  # of overlap that is no obstacle

# For each axis: the two that span the section, in order.
_ACROSS = {"x": ("y", "z"), "y": ("x", "z"), "z": ("x", "y")}
_ROWS = {"x": (1.0, 0.0, 0.0, 0.0), "y": (0.0, 1.0, 0.0, 0.0), "z": (0.0, 0.0, 1.0, 0.0)}


@dataclass(frozen=True, slots=True)
class Stretch:
    """Wood along a line, from low to high, and whose it is."""

    low: float
    high: float
    owner: str


def slice_of(solid: Manifold, axis: str, place: float) -> CrossSection:
    """Cut a solid square to an axis: in (y, z) for x, in (x, z) for y, in (x, y) for z."""
    first, second = _ACROSS[axis]
    return solid.transform((_ROWS[first], _ROWS[second], _ROWS[axis])).slice(place)


def place_of(axis: str, at: float, spot: tuple[float, float]) -> Triple:
    """Return where a place in a section lies in space."""
    a, b = spot
    return {"x": (at, a, b), "y": (a, at, b), "z": (a, b, at)}[axis]


def section(solid: Manifold, axis: str, place: float) -> Section:
    """Cut a solid as `slice_of` does, to be measured."""
    contours = slice_of(solid, axis, place).to_polygons()
    return Section([np.asarray(contour, dtype=np.float64) for contour in contours if len(contour) >= 3])


class Section:
    """A plane section: closed contours, wood on their left."""

    def __init__(self, contours: Sequence[NDArray[np.float64]]) -> None:
        self.contours = contours
        ends = [np.roll(contour, -1, axis=0) for contour in contours]
        self._start = np.vstack(contours) if contours else np.empty((0, 2))
        self._end = np.vstack(ends) if contours else np.empty((0, 2))

    def runs(self, along: int, at: float, owner: str = "") -> list[Stretch]:
        """Return the wood on a line along coordinate ``along`` (0 or 1), the other one being ``at``, in ascending order."""
        across = 1 - along
        a, b = self._start[:, across], self._end[:, across]
        crossing = (a <= at) != (b <= at)
        start, end = self._start[crossing], self._end[crossing]
        share = (at - start[:, across]) / (end[:, across] - start[:, across])
        places = np.sort(start[:, along] + share * (end[:, along] - start[:, along])).tolist()
        return [Stretch(low, high, owner) for low, high in zip(places[::2], places[1::2], strict=False)]

    def area(self) -> Polygon | MultiPolygon:
        """Return the section as a shapely area."""
        return region_of(self.contours)


def region_of(contours: Sequence[NDArray[np.float64]]) -> Polygon | MultiPolygon:
    """Return the area inside an odd number of closed contours."""
    if not contours:
        return Polygon()
    areas = shapely.make_valid(shapely.polygons([shapely.linearrings(contour) for contour in contours]))
    order = np.argsort(-shapely.area(areas))
    whole: Geometry = Polygon()
    for area in areas[order]:
        whole = shapely.symmetric_difference(whole, area)
    polygons = [part for part in shapely.get_parts(whole) if isinstance(part, Polygon)]
    return polygons[0] if len(polygons) == 1 else MultiPolygon(polygons)


def widest(area: Geometry) -> tuple[float, tuple[float, float]]:
    """Return the diameter of the largest circle that fits into an area, within a thousandth of a mm, and its centre."""
    if area.is_empty:
        return 0.0, (0.0, 0.0)
    low, high = 0.0, max(area.bounds[2] - area.bounds[0], area.bounds[3] - area.bounds[1])
    place = area.representative_point()
    while high - low > 0.001:
        middle = (low + high) / 2
        core = area.buffer(-middle / 2, quad_segs=8)
        if core.is_empty:
            high = middle
        else:
            low, place = middle, core.representative_point()
    # Of a figure about as wide as long something may be left over that is turned inside out: the place tells.
    return min(low, 2 * float(place.distance(area.boundary))), (place.x, place.y)


@dataclass(frozen=True, slots=True)
class Blocked:
    """How wide the wood in the way is, seen along the way, and where it stands; 0 where the way is free."""

    width_mm: float
    place: tuple[float, float, float]


FREE = Blocked(0.0, (0.0, 0.0, 0.0))


def depths_between(low: float, high: float, step: float = STEP_MM) -> list[float]:
    """Return places between two planes for sections, none of them on the planes."""
    count = max(2, round((high - low) / step))
    return [low + (high - low) * (i + 0.5) / count for i in range(count)]


def blocked_by(mover: Manifold, obstacle: Manifold, axis: str, depths: Sequence[float]) -> Blocked:
    """Tell what stands in the way of a board that comes from the low end of an axis.

    Seen along the way, nothing of the standing board may lie where wood of the moving one has to pass: the section of the standing
    board at any depth must be clear of every section of the moving one that starts further in. That holds for every position on
    the way at once, not only for some of them.

    Parameters
    ----------
    mover, obstacle
        Both boards at home.
    depths
        Places along the axis at which both are cut, ascending.
    """
    ahead = CrossSection()  # wood of the mover that has to pass a depth: all that ends further in
    worst = FREE
    for depth in reversed(depths):
        standing = slice_of(obstacle, axis, depth)
        common = standing ^ ahead
        if not common.offset(-_SLACK_MM / 2, JoinType.Miter).is_empty():
            width, spot = widest(region_of(common.to_polygons()))
            if width > worst.width_mm:
                worst = Blocked(width, place_of(axis, depth, spot))
        ahead = (ahead + slice_of(mover, axis, depth)).simplify(_SLACK_MM / 50)
    return worst
