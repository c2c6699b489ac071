"""Measures the grooves and the bottom in them, on the carved boards as they stand in the drawer."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import shapely
from manifold3d import Manifold

from camtools.output.manifest import Triple
from camtools.verify.fit.corner import CORNERS
from camtools.verify.fit.joint_fit import SKIN_MM
from camtools.verify.fit.overlap import Overlap, overlap_of
from camtools.verify.fit.plane_sections import Blocked, Stretch, blocked_by, depths_between, place_of, section

__all__ = ["BottomFit", "GrooveFound", "Part", "Side", "measure_bottom", "open_face_mm2"]

Part = Literal["front", "back", "left", "right"]
_STATIONS = (0.25, 0.5, 0.75)  # of a board's length, where its groove is measured
_DROP_MM = 0.5  # by which the bottom is lifted and lowered to see where it is held
_HOLE_MM = 0.01  # narrower holes in a face are rounding
_COARSE_MM = 5.0  # between sections along the way in of a bottom that slides in from the rear


@dataclass(frozen=True, slots=True)
class GrooveFound:
    """A groove of one board. Heights are the drawer's Z; ``behind`` and ``below`` are wood that is left."""

    low_mm: float
    high_mm: float
    depth_mm: float
    behind_mm: float
    below_mm: float
    slant_mm: float  # how much its walls rise or fall between stations
    start_mm: float  # where it begins and ends along the board, from the drawer's left or front face
    end_mm: float
    open_mm: tuple[float, float]  # how far it begins and ends from where the board does; 0 where it runs out there
    places: tuple[Triple, Triple, Triple, Triple]  # where it starts, its lower wall and its floor in the middle, where it ends


@dataclass(frozen=True, slots=True)
class Side:
    """The bottom at one side of the drawer; ``place`` is on the board's inside face, at the bottom's height."""

    part: Part
    place: Triple
    groove: GrooveFound | None
    overlap: Overlap
    engaged_mm: float  # how far the bottom reaches beyond the board's inside face
    held_mm2: float  # of the groove's walls that bear it, the lesser of upper and lower


@dataclass(frozen=True, slots=True)
class BottomFit:
    """The bottom in its grooves."""

    thickness_mm: float
    sides: tuple[Side, ...]
    blocked: tuple[tuple[str, Blocked], ...]  # what is pushed where, and what stands in its way


class _Frame:
    """One board of the drawer: along it, through it, and up. Depths count from its outside face."""

    def __init__(self, part: Part, solid: Manifold, outside: Triple) -> None:
        self.part = part
        self.solid = solid
        low_x, low_y, self.low_z, high_x, high_y, self.high_z = solid.bounding_box()
        self.axis = "x" if part in ("front", "back") else "y"
        self.along = (low_x, high_x) if self.axis == "x" else (low_y, high_y)
        across = (low_y, high_y) if self.axis == "x" else (low_x, high_x)
        self.far = part in ("back", "right")
        self.origin = (outside[1] if part == "back" else outside[0]) if self.far else 0.0
        self.thick = (self.origin - across[0]) if self.far else across[1]

    def place(self, depth: float) -> float:
        """Coordinate across the board of a depth below its outside face."""
        return self.origin - depth if self.far else depth

    def spot(self, along: float, depth: float, height: float) -> Triple:
        """Place in the drawer."""
        across = self.place(depth)
        return (along, across, height) if self.axis == "x" else (across, along, height)

    def depth(self, place: float) -> float:
        return self.origin - place if self.far else place


def measure_bottom(boards: dict[Part, Manifold], bottom: Manifold, outside: Triple, *, raised: bool) -> BottomFit:
    """Measure the bottom of a drawer.

    Parameters
    ----------
    boards
        The four placed boards.
    bottom
        The placed bottom.
    outside
        Width, depth and height of the drawer.
    raised
        Whether the bottom slides in from the rear, under the back; else the sides are pushed over it.
    """
    low_z, high_z = float(bottom.bounding_box()[2]), float(bottom.bounding_box()[5])
    sides = tuple(_side(_Frame(part, solid, outside), bottom, low_z, high_z) for part, solid in boards.items())
    blocked: list[tuple[str, Blocked]] = []
    if raised:
        corner = CORNERS[2]
        standing = corner.into(boards["left"] + boards["right"] + boards["back"] + boards["front"], outside)
        end = outside[1]
        depths = [*depths_between(0.0, 20.0), *depths_between(20.0, end - 20.0, _COARSE_MM), *depths_between(end - 20.0, end)]
        way = blocked_by(corner.into(bottom, outside), standing, "y", depths)
        blocked.append(("bottom", Blocked(way.width_mm, corner.out(way.place, outside))))
    else:
        for corner in CORNERS[:2]:
            mover = corner.into(boards[corner.tail_part], outside)
            thick = float(mover.bounding_box()[3])
            way = blocked_by(mover, corner.into(bottom, outside), "x", depths_between(0.0, thick))
            blocked.append((corner.tail_part, Blocked(way.width_mm, corner.out(way.place, outside))))
    return BottomFit(high_z - low_z, sides, tuple(blocked))


def _side(frame: _Frame, bottom: Manifold, low_z: float, high_z: float) -> Side:
    box = bottom.bounding_box()
    index = 1 if frame.axis == "x" else 0
    reach = frame.depth(float(box[index + 3] if frame.far else box[index]))
    overlap = overlap_of(frame.solid, bottom)
    groove = _groove(frame, (low_z + high_z) / 2)
    held = 0.0
    if groove is not None:
        held = min(
            _bearing(frame.solid, bottom, -(low_z - groove.low_mm + _DROP_MM)),
            _bearing(frame.solid, bottom, groove.high_mm - high_z + _DROP_MM),
        )
    place = frame.spot(sum(frame.along) / 2, frame.thick, (low_z + high_z) / 2)
    return Side(frame.part, place, groove, overlap, frame.thick - reach, held)


def _bearing(board: Manifold, bottom: Manifold, shift: float) -> float:
    """Area on which the bottom would rest, were it moved up or down ``_DROP_MM`` beyond a groove's wall."""
    return float((bottom.translate((0.0, 0.0, shift)) ^ board).volume()) / _DROP_MM


def _groove(frame: _Frame, middle: float) -> GrooveFound | None:
    """Measure the groove at the bottom's height, or return None where there is none."""
    lows, highs, behinds = [], [], []
    for share in _STATIONS:
        at = frame.along[0] + share * (frame.along[1] - frame.along[0])
        cut = section(frame.solid, frame.axis, at)
        below, above = _around(cut.runs(1, frame.place(frame.thick - SKIN_MM)), middle)
        wood = [run for run in cut.runs(0, middle) if run.high > run.low]
        if below is None or above is None or not wood:
            return None
        lows.append(below.high)
        highs.append(above.low)
        floors = [frame.depth(run.low if frame.far else run.high) for run in wood]
        behinds.append(min(floors))
    behind = min(behinds)
    plan = section(frame.solid, "z", middle)
    along = 0 if frame.axis == "x" else 1
    before, after = _around(plan.runs(along, frame.place((frame.thick + behind) / 2)), sum(frame.along) / 2)
    start = frame.along[0] if before is None else before.high
    end = frame.along[1] if after is None else after.low
    half, centre = (frame.thick + behind) / 2, sum(frame.along) / 2
    return GrooveFound(
        low_mm=min(lows),
        high_mm=max(highs),
        depth_mm=frame.thick - behind,
        behind_mm=behind,
        below_mm=min(lows) - float(frame.low_z),
        slant_mm=max(max(lows) - min(lows), max(highs) - min(highs)),
        start_mm=start,
        end_mm=end,
        open_mm=(start - frame.along[0], frame.along[1] - end),
        places=(
            frame.spot(start, half, middle),
            frame.spot(centre, half, min(lows)),
            frame.spot(centre, behind, middle),
            frame.spot(end, half, middle),
        ),
    )


def _around(runs: list[Stretch], middle: float) -> tuple[Stretch | None, Stretch | None]:
    """Return the wood next below and next above a place that is free; None on a side where there is none."""
    if any(run.low < middle < run.high for run in runs):
        return None, None
    below = [run for run in runs if run.high <= middle]
    above = [run for run in runs if run.low >= middle]
    return (below[-1] if below else None), (above[0] if above else None)


def open_face_mm2(part: Part, solid: Manifold, outside: Triple, beside_mm: float) -> tuple[float, Triple]:
    """Return the area of holes in a board's outside face in mm2, and where the largest is in the drawer.

    Parameters
    ----------
    part, solid
        The board, and how it stands in the drawer.
    outside
        Width, depth and height of the drawer in mm.
    beside_mm
        How much of the board is left aside at both of its ends.
    """
    frame = _Frame(part, solid, outside)
    # The face lies at depth 0; a board's ends may stand proud beside it.
    axis = "y" if frame.axis == "x" else "x"
    at = frame.place(SKIN_MM)
    face = section(solid, axis, at).area()
    region = shapely.box(frame.along[0] + beside_mm, frame.low_z, frame.along[1] - beside_mm, frame.high_z)
    holes = shapely.difference(region, face)
    if holes.buffer(-_HOLE_MM / 2, quad_segs=2).is_empty:
        return 0.0, (0.0, 0.0, 0.0)
    largest = max(shapely.get_parts(holes), key=lambda part: part.area)
    where = largest.representative_point()
    return float(holes.area), place_of(axis, at, (where.x, where.y))
