"""An oblique view of things on the machine: X to the right and Z up in true size, Y away, drawn up and to the right.

Drawn back to front, so that what is nearer covers what is further.
"""

from __future__ import annotations

from typing import Literal

import shapely

from camtools.pictures.paper import XY, Paper, Scale
from camtools.pictures.signs import face_dots, torn
from camtools.pictures.traces import section_of, swept_of, trace_of
from camtools.toolpath.moves import Program

__all__ = ["Face", "Stage"]

Point3 = tuple[float, float, float]
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

    def shifted(self, right_px: float) -> Stage:
        """Return the same view moved sideways on the paper."""
        return Stage(self._paper, self._factor, (self._origin[0] + right_px, self._origin[1]), self._away)

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

    def board(self, program: Program, low: Point3, high: Point3, *, dotted: Face | None, broken: tuple[str, ...] = ()) -> None:
        """Draw the part of a board between two corners with what the program takes off its visible faces.

        Parameters
        ----------
        dotted
            Which visible face is the inside, if one is.
        broken
            Directions such as ``-z`` in which the board goes on beyond this part.
        """
        paper = self._paper
        upright = program.setup.hold == "upright"
        tones: dict[Face, str] = {"front": "wood side", "top": "wood end" if upright else "wood", "side": "wood side"}
        if upright:
            tones["front"] = "wood"
        cut = program.cuts[-1]
        trace = trace_of(cut)
        depth = -float(trace.ends[:, 2].min())
        (x0, y0, z0), (x1, y1, z1) = low, high
        gone = {
            "front": section_of(cut, "y", y0 + _JUST_MM).intersection(shapely.box(x0, z0, x1, z1)),
            "top": swept_of(trace.deepest(), cut.cutter.radius_at(depth)).intersection(shapely.box(x0, y0, x1, y1)),
            "side": section_of(cut, "x", x1 - _JUST_MM).intersection(shapely.box(y0, z0, y1, z1)),
        }
        places = {
            "front": lambda across, up: self.at(across, y0, up),
            "top": lambda across, up: self.at(across, up, z1),
            "side": lambda across, up: self.at(x1, across, up),
        }
        faces: tuple[Face, ...] = ("side", "top", "front")
        for face in faces:
            if face == "side" and "+x" in broken:
                continue
            if face == "front" and "-y" in broken:
                gone["front"] = shapely.Polygon()
            shape = self.corners(face, low, high)
            paper.fill([self._torn(shape, face, broken)], tones[face], "outline")
            if face == dotted:
                along = (shape[1][0] - shape[0][0], shape[1][1] - shape[0][1])
                across = (shape[3][0] - shape[0][0], shape[3][1] - shape[0][1])
                face_dots(paper, shape[0], along, across, 20.0, 1.3)
            paper.fill_region(shapely.transform(gone[face], places[face], interleaved=False), _PX, "tip", "band")

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
