"""An oblique view of things on the machine: X to the right and Z up in true size, Y away, drawn up and to the right.

Drawn back to front, so that what is nearer covers what is further.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from itertools import pairwise
from typing import Literal

import numpy as np
import shapely

from camtools.job.job import Cutter
from camtools.pictures.paper import XY, Paper, Scale
from camtools.pictures.setups.captions import write_clear
from camtools.pictures.setups.progress import Progress, Taken
from camtools.pictures.signs import arrowheads, face_dots, torn, zero_mark
from camtools.toolpath.moves import Program

__all__ = ["Face", "Stage", "half_outline"]

Point3 = tuple[float, float, float]
Box = tuple[float, float, float, float]
Face = Literal["front", "top", "side"]

_PX = Scale(1.0, (0.0, 0.0), (0.0, 0.0))
_JUST_MM = 1e-3  # inside a face, so that what only touches it leaves no mark
_TEETH_PX = 16.0


class Stage:
    """A view with its size and place on the paper."""

    def __init__(self, paper: Paper, px_per_mm: float, origin_px: XY, away: XY) -> None:
        self._paper = paper
        self._factor = px_per_mm
        self._origin = origin_px
        self._away = away

    def moved(self, x_mm: float, y_mm: float, z_mm: float) -> Stage:
        """Return the same view of things that are drawn so far from where they stand."""
        right, up = self._factor * (x_mm + self._away[0] * y_mm), self._factor * (z_mm + self._away[1] * y_mm)
        return Stage(self._paper, self._factor, (self._origin[0] + right, self._origin[1] + up), self._away)

    def at(self, x: float, y: float, z: float) -> XY:
        """Map a place of the machine frame to the paper."""
        return self._origin[0] + self._factor * (x + self._away[0] * y), self._origin[1] + self._factor * (z + self._away[1] * y)

    def corners(self, face: Face, low: Point3, high: Point3) -> list[XY]:
        """Corners of the front, top or right side of a box."""
        (x0, y0, z0), (x1, y1, z1) = low, high
        if face == "front":
            return [self.at(x0, y0, z0), self.at(x1, y0, z0), self.at(x1, y0, z1), self.at(x0, y0, z1)]
        if face == "top":
            return [self.at(x0, y0, z1), self.at(x1, y0, z1), self.at(x1, y1, z1), self.at(x0, y1, z1)]
        return [self.at(x1, y0, z0), self.at(x1, y1, z0), self.at(x1, y1, z1), self.at(x1, y0, z1)]

    def box(self, low: Point3, high: Point3, tones: tuple[str, str, str]) -> None:
        """Draw a box; tones of its front, top and side."""
        faces: tuple[Face, ...] = ("front", "top", "side")
        for face, tone in zip(faces, tones, strict=True):
            self._paper.fill([self.corners(face, low, high)], tone, "thin")

    def board(
        self, program: Program, progress: Progress, low: Point3, high: Point3, *, dotted: Face | None, broken: tuple[str, ...] = ()
    ) -> None:  # fmt: skip
        """Draw the part of a board between two corners, what is cut of its visible faces and what the program takes off them.

        Parameters
        ----------
        dotted
            Which visible face is the inside, if one is.
        broken
            Directions such as ``-z`` in which the board goes on beyond this part; that face is not seen.
        """
        paper = self._paper
        upright = program.setup.hold == "upright"
        tones: dict[Face, str] = {"front": "wood side", "top": "wood end" if upright else "wood", "side": "wood side"}
        if upright:
            tones["front"] = "wood"
        faces: tuple[tuple[Face, str], ...] = (("side", "+x"), ("top", "+z"), ("front", "-y"))
        for face, hidden in faces:
            if hidden in broken and face != "front":
                continue
            shape = self.corners(face, low, high)
            paper.fill([self._torn(shape, face, broken)], tones[face], "outline")
            if face == dotted:
                along = (shape[1][0] - shape[0][0], shape[1][1] - shape[0][1])
                across = (shape[3][0] - shape[0][0], shape[3][1] - shape[0][1])
                face_dots(paper, shape[0], along, across, 20.0, 1.3)
            if hidden not in broken:
                taken, within = self.taken(program, progress, face, low, high)
                for region, tone, pen in ((taken.before, "cut", "thin"), (taken.now, "tip", "band")):
                    paper.fill_region(within(region), _PX, tone, pen)
                paper.draw([shapely.get_coordinates(ring) for ring in _rings(within(taken.perhaps))], "perhaps")
            for joint in range(1, program.stacked if face != "front" else 0):  # where one board of a stack bears on the next
                y = low[1] + (high[1] - low[1]) * joint / program.stacked
                ends = ((low[0], y, high[2]), (high[0], y, high[2])) if face == "top" else ((high[0], y, low[2]), (high[0], y, high[2]))
                paper.draw([[self.at(*end) for end in ends]], "outline")

    def taken(
        self, program: Program, progress: Progress, face: Face, low: Point3, high: Point3
    ) -> tuple[Taken, Callable[[shapely.Geometry], shapely.Geometry]]:  # fmt: skip
        """Return what is taken of a face of a box, and what cuts such a region to the face and maps it to the paper."""
        axis: Literal[0, 1, 2] = {"front": 1, "top": 2, "side": 0}[face]  # type: ignore[assignment]
        at = (high[0] - _JUST_MM, low[1] + _JUST_MM, high[2] - _JUST_MM)[axis]
        across, up = (i for i in range(3) if i != axis)
        clip = shapely.box(low[across], low[up], high[across], high[up])
        fixed = (high[0], low[1], high[2])[axis]

        shape = np.array([self.at(*(float(i == own) for own in range(3))) for i in range(3)]) - self._origin

        def place(places: np.ndarray) -> np.ndarray:
            mapped: np.ndarray = places @ shape[[across, up]] + fixed * shape[axis] + self._origin
            return mapped

        return progress.taken(program, axis, at), lambda region: shapely.transform(region.intersection(clip), place)

    def cutter(self, cutter: Cutter, tip: Point3, high_mm: float) -> Box:
        """Draw the first so many mm of a cutter as a ghost, in its true shape; return the box that it fills, in px."""
        rings = [self._ring(tip, radius, height) for radius, height in half_outline(cutter, high_mm)]
        parts = [shapely.MultiPoint(np.concatenate(pair)).convex_hull for pair in pairwise(rings)]
        body = shapely.union_all(parts)
        self._paper.fill([shapely.get_coordinates(body.exterior)], "cutter", "ghost", seen_through=True)
        self._paper.draw([rings[0]], "ghost")
        left, bottom, right, top = body.bounds
        return left, bottom, right, top

    def _ring(self, tip: Point3, radius: float, height: float) -> np.ndarray:
        turn = np.linspace(0.0, 2 * math.pi, 33)
        places = np.column_stack([tip[0] + radius * np.cos(turn), tip[1] + radius * np.sin(turn), np.full_like(turn, tip[2] + height)])
        return np.array([self.at(*place) for place in places.tolist()])

    def axes(self, at: Point3, length_px: float = 54.0) -> None:
        """Draw program zero with its axes, each of a length on the paper; they are of another colour than anything else."""
        zero = self.at(*at)
        ends: list[tuple[str, XY]] = []
        for name, (x, y, z) in {"X": (1, 0, 0), "Y": (0, 1, 0), "Z": (0, 0, 1)}.items():
            tip = self.at(at[0] + x, at[1] + y, at[2] + z)
            way = ((tip[0] - zero[0]), (tip[1] - zero[1]))
            far = length_px / math.hypot(*way)
            end = (zero[0] + way[0] * far, zero[1] + way[1] * far)
            self._paper.draw([[zero, end]], "axes")
            arrowheads(self._paper, np.array([[zero, end]]), "axes", 15.0, at_end=True)
            ends.append((name, (end[0] + way[0] * 13 / math.hypot(*way), end[1] + way[1] * 13 / math.hypot(*way))))
            self._paper.keep_line_free(zero, end, 2.0, f"axis of {name}")
        for name, (right, up) in ends:
            places = [(right, up), *((right + x, up + y) for x in (10, -10, 16, -16, 26) for y in (-8, 4, -14, 12))]
            write_clear(self._paper, places, name, "small", "axes", "paper")
        zero_mark(self._paper, zero, 10.0)

    @staticmethod
    def _torn(shape: list[XY], face: Face, broken: tuple[str, ...]) -> list[XY]:
        """Replace edges of a face at which the board goes on by torn ones."""
        # Edge i runs from corner i to the next; the direction it faces, for each face.
        edges = {
            "front": ("-z", "+x", "+z", "-x"),
            "top": ("-y", "+x", "+y", "-x"),
            "side": ("-z", "+y", "+z", "-y"),
        }[face]
        corners: list[XY] = []
        for index, direction in enumerate(edges):
            start, end = shape[index], shape[(index + 1) % 4]
            corners.append(start)
            if direction in broken or (face == "front" and direction[1] == "z" and "-y" in broken):
                corners.extend(torn(start, end, (4.0, 0.0) if direction[1] == "x" else (0.0, 4.0), _TEETH_PX)[1:-1].tolist())
        return corners


def half_outline(cutter: Cutter, high_mm: float) -> list[tuple[float, float]]:
    """Return a cutter's outline as (radius, height over the tip) in mm, up to a height."""
    edge = min(cutter.cutting_length_mm, high_mm)
    half = [(cutter.diameter_mm / 2, 0.0), (cutter.radius_at(edge), edge)]
    return half if edge == high_mm else [*half, (cutter.shank_mm / 2, edge), (cutter.shank_mm / 2, high_mm)]


def _rings(region: shapely.Geometry) -> Iterator[shapely.LinearRing]:
    for polygon in shapely.get_parts(region):
        if polygon.geom_type == "Polygon" and not polygon.is_empty:
            yield from (polygon.exterior, *polygon.interiors)
