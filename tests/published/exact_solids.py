"""Boards as exact solids of an open kernel for solid modelling: planes, cones and cylinders, from the equations of docs/joinery.md.

Nothing of geometry, toolpath or verify is used: of a board only its sizes and the places of its tails and grooves are read.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import reduce

import numpy as np
import shapely
from numpy.typing import NDArray

from camtools.drawer.boards import Affine, Groove, HalfBlind, Piece, Tail, Through
from tests.published.other_hands import outside

outside("OCP")

from OCP.BRep import BRep_Tool  # noqa: E402
from OCP.BRepAlgoAPI import BRepAlgoAPI_Common, BRepAlgoAPI_Cut, BRepAlgoAPI_Fuse  # noqa: E402
from OCP.BRepBuilderAPI import (  # noqa: E402
    BRepBuilderAPI_MakeEdge,
    BRepBuilderAPI_MakeFace,
    BRepBuilderAPI_MakeVertex,
    BRepBuilderAPI_MakeWire,
    BRepBuilderAPI_Transform,
)
from OCP.BRepExtrema import BRepExtrema_DistShapeShape  # noqa: E402
from OCP.BRepGProp import BRepGProp  # noqa: E402
from OCP.BRepMesh import BRepMesh_IncrementalMesh  # noqa: E402
from OCP.BRepOffsetAPI import BRepOffsetAPI_ThruSections  # noqa: E402
from OCP.BRepPrimAPI import BRepPrimAPI_MakeBox, BRepPrimAPI_MakeCone, BRepPrimAPI_MakeCylinder, BRepPrimAPI_MakeRevol  # noqa: E402
from OCP.GC import GC_MakeArcOfCircle  # noqa: E402
from OCP.gp import gp_Ax1, gp_Ax2, gp_Dir, gp_Pnt, gp_Trsf  # noqa: E402
from OCP.GProp import GProp_GProps  # noqa: E402
from OCP.TopAbs import TopAbs_FACE, TopAbs_REVERSED  # noqa: E402
from OCP.TopExp import TopExp_Explorer  # noqa: E402
from OCP.TopLoc import TopLoc_Location  # noqa: E402
from OCP.TopoDS import TopoDS, TopoDS_Shape  # noqa: E402

Solid = TopoDS_Shape
Point = tuple[float, float, float]
Flat = tuple[float, float]
Place = Callable[[Flat], Point]
BEYOND_MM = 3.0  # tools of a cut are carried this far beyond the board's faces
DEFLECTION_MM = 1e-3  # of the exact surface from the triangles that stand for it in a comparison


def union(parts: Sequence[Solid]) -> Solid:
    return reduce(lambda a, b: BRepAlgoAPI_Fuse(a, b).Shape(), parts)


def less(solid: Solid, *cuts: Solid) -> Solid:
    return reduce(lambda a, b: BRepAlgoAPI_Cut(a, b).Shape(), cuts, solid)


def common(a: Solid, b: Solid) -> Solid:
    return BRepAlgoAPI_Common(a, b).Shape()


def volume(solid: Solid) -> float:
    properties = GProp_GProps()
    BRepGProp.VolumeProperties_s(solid, properties)
    return float(properties.Mass())


def box(low: Point, high: Point) -> Solid:
    return BRepPrimAPI_MakeBox(gp_Pnt(*low), gp_Pnt(*high)).Shape()


def cone(tip: Point, radius: float, top_radius: float, height: float) -> Solid:
    """Return what a cutter of this shape fills about a place of its tip."""
    axes = gp_Ax2(gp_Pnt(*tip), gp_Dir(0, 0, 1))
    if radius == top_radius:
        return BRepPrimAPI_MakeCylinder(axes, radius, height).Shape()
    return BRepPrimAPI_MakeCone(axes, radius, top_radius, height).Shape()


def ring(start: Point, centre: Flat, sweep_deg: float, radius: float, top_radius: float, height: float) -> Solid:
    """Return what a cutter sweeps along an arc: its section turned about the arc's centre, and the cutter at both ends."""
    x, y, z = start
    out = math.dist((x, y), centre)
    ux, uy = (x - centre[0]) / out, (y - centre[1]) / out
    section = [(-radius, 0.0), (radius, 0.0), (top_radius, height), (-top_radius, height)]
    wire = _wire([(x + r * ux, y + r * uy, z + k) for r, k in section])
    axis = gp_Ax1(gp_Pnt(*centre, z), gp_Dir(0, 0, 1 if sweep_deg > 0 else -1))
    turned = BRepPrimAPI_MakeRevol(BRepBuilderAPI_MakeFace(wire).Face(), axis, math.radians(abs(sweep_deg))).Shape()
    turn = math.radians(sweep_deg)
    end = (centre[0] + out * (ux * math.cos(turn) - uy * math.sin(turn)), centre[1] + out * (uy * math.cos(turn) + ux * math.sin(turn)), z)
    return union([turned, cone(start, radius, top_radius, height), cone(end, radius, top_radius, height)])


def _wire(points: Sequence[Point], arcs: dict[int, Point] | None = None) -> object:
    """Return a closed wire of straight lines; the one from corner ``i`` is an arc through ``arcs[i]`` where that is given."""
    made = BRepBuilderAPI_MakeWire()
    for i, (a, b) in enumerate(zip(points, [*points[1:], points[0]], strict=True)):
        if arcs and i in arcs:
            made.Add(BRepBuilderAPI_MakeEdge(GC_MakeArcOfCircle(gp_Pnt(*a), gp_Pnt(*arcs[i]), gp_Pnt(*b)).Value()).Edge())
        else:
            made.Add(BRepBuilderAPI_MakeEdge(gp_Pnt(*a), gp_Pnt(*b)).Edge())
    return made.Wire()


def between(sections: Sequence[tuple[Sequence[Flat], dict[int, Flat], Place]]) -> Solid:
    """Return the solid between two parallel sections, ruled from each line or arc to its like: planes and cones."""
    made = BRepOffsetAPI_ThruSections(True, True)
    for corners, arcs, place in sections:
        made.AddWire(_wire([place(corner) for corner in corners], {i: place(middle) for i, middle in arcs.items()}))
    made.Build()
    return made.Shape()


def _rounded_end(middle: float, flat_half: float, far: float, radius: float, near: float) -> tuple[list[Flat], dict[int, Flat]]:
    """Section across a joint, open at ``near``, with two round corners about ``(middle +- flat_half, far)``."""
    low, high, eighth = middle - flat_half, middle + flat_half, radius * math.sqrt(0.5)
    corners = [
        (low - radius, near),
        (high + radius, near),
        (high + radius, far),
        (high, far + radius),
        (low, far + radius),
        (low - radius, far),
    ]
    return corners, {2: (high + eighth, far + eighth), 4: (low - eighth, far + eighth)}


@dataclass(frozen=True, slots=True)
class _Blind:
    """The letters of docs/joinery.md section 5."""

    joint: HalfBlind

    @property
    def t(self) -> float:
        return math.tan(math.radians(self.joint.dovetail.angle_deg))

    @property
    def big(self) -> float:
        return self.joint.dovetail.diameter_mm / 2

    @property
    def h(self) -> float:
        return self.joint.front_mm - self.joint.lap_mm

    @property
    def p(self) -> float:
        return self.joint.clearance_mm + self.joint.free_depth_mm * self.t

    @property
    def r0(self) -> float:
        return self.big - self.h * self.t

    def centre(self, tail: Tail) -> Flat:
        """Of a corner: from the tail's middle, and from the outside face or the front's end."""
        return tail.width_mm / 2 + self.p - self.big, self.joint.side_mm + self.p - self.r0

    def tail(self, tail: Tail) -> Solid:
        """A tail from its tip at ``u = 0`` to the baseline, too thick: the board's inside face cuts it off."""
        out, far = self.centre(tail)
        return between(
            [
                (*_rounded_end(tail.middle_mm, out, far, self.r0 - self.p + (self.h - u) * self.t, -BEYOND_MM), _at_u(u))
                for u in (0.0, self.h)
            ]
        )

    def socket(self, tail: Tail, place: Callable[[float, float, float], Point]) -> Solid:
        """A socket, ``place`` told across, from the end, and down from the inside face."""
        out, far = self.centre(tail)
        deep = self.h + self.joint.free_depth_mm
        sections = []
        for s in (deep, -BEYOND_MM):
            corners, arcs = _rounded_end(tail.middle_mm, out, far, self.big - (deep - s) * self.t, -BEYOND_MM)
            sections.append((corners, arcs, lambda flat, s=s: place(*flat, s)))
        return between(sections)


def _at_u(u: float) -> Place:
    return lambda flat: (u, *flat)


def _prism(corners: Sequence[Flat], low: float, high: float, place: Callable[[Flat, float], Point]) -> Solid:
    return between([(corners, {}, lambda flat, at=at: place(flat, at)) for at in (low, high)])


def _groove(groove: Groove, thick: float) -> Solid:
    """A slot with the corners that a cutter leaves; beyond the board where it runs out."""
    r = groove.cutter.diameter_mm / 2
    x0, x1 = groove.start_mm, groove.stop_mm
    y0, y1 = groove.edge_mm, groove.edge_mm + groove.width_mm
    corners = [(x0 + r, y0), (x1 - r, y0), (x1, y0 + r), (x1, y1 - r), (x1 - r, y1), (x0 + r, y1), (x0, y1 - r), (x0, y0 + r)]
    e = r * (1 - math.sqrt(0.5))
    arcs = {1: (x1 - e, y0 + e), 3: (x1 - e, y1 - e), 5: (x0 + e, y1 - e), 7: (x0 + e, y0 + e)}
    return between([(corners, arcs, lambda flat, w=w: (*flat, w)) for w in (thick - groove.depth_mm, thick + BEYOND_MM)])


def _through_tail(joint: Through, tail: Tail, length: float) -> Solid:
    """A tail of section 6 at the rear end: straight through the thickness, widths told at the back's outside face."""
    t = math.tan(math.radians(joint.dovetail.angle_deg))
    h = joint.back_mm + joint.proud_mm
    halves = {d: tail.width_mm / 2 + (joint.proud_mm - d) * t for d in (0.0, h)}
    corners = [(length - d, tail.middle_mm + sign * halves[d]) for d, sign in ((h, -1), (0.0, -1), (0.0, 1), (h, 1))]
    return _prism(corners, -BEYOND_MM, joint.side_mm + BEYOND_MM, lambda flat, w: (*flat, w))


def _through_socket(joint: Through, tail: Tail, place: Callable[[float, float, float], Point]) -> Solid:
    """A socket of section 6 between pins, ``place`` told from the end, across, and through from the outside face."""
    t = math.tan(math.radians(joint.dovetail.angle_deg))
    middle, deep = tail.middle_mm - joint.raise_mm, joint.side_mm + joint.proud_mm
    corners = [
        (middle + sign * (tail.width_mm / 2 + joint.clearance_mm - y * t), y)
        for y, sign in ((-BEYOND_MM, -1), (joint.back_mm + BEYOND_MM, -1), (joint.back_mm + BEYOND_MM, 1), (-BEYOND_MM, 1))
    ]
    return _prism(corners, -BEYOND_MM, deep, lambda flat, along: place(along, *flat))


def board(piece: Piece) -> Solid:
    """Return a finished board in its own frame."""
    length, width, thick = piece.size_mm
    whole = box((0.0, 0.0, 0.0), piece.size_mm)
    grooves = [_groove(piece.groove, thick)] if piece.groove else []
    if "side" in piece.role:
        assert piece.half_blind is not None
        assert piece.through is not None
        front, rear = _Blind(piece.half_blind), piece.through
        middle = box((front.h, 0.0, 0.0), (length - rear.back_mm - rear.proud_mm, width, thick))
        tails = [front.tail(tail) for tail in front.joint.tails] + [_through_tail(rear, tail, length) for tail in rear.tails]
        return less(union([middle, *(common(whole, tail) for tail in tails)]), *grooves)
    cuts = list(grooves)
    for at in (lambda y: y, lambda y: length - y):
        if piece.half_blind is not None:
            blind = _Blind(piece.half_blind)
            cuts += [blind.socket(tail, lambda x, y, s, at=at: (at(y), x, thick - s)) for tail in blind.joint.tails]
        if piece.through is not None:
            cuts += [_through_socket(piece.through, tail, lambda d, x, y, at=at: (at(d), x, y)) for tail in piece.through.tails]
    return less(whole, *cuts)


def placed(solid: Solid, frame: Affine) -> Solid:
    """Return a solid mapped by three rows of a rotation or mirror and a constant."""
    map_ = gp_Trsf()
    map_.SetValues(*(value for row in frame for value in row))
    return BRepBuilderAPI_Transform(solid, map_, True).Shape()


def distance(solid: Solid, place: Point) -> float:
    """Return how far a place lies from a solid."""
    return float(BRepExtrema_DistShapeShape(solid, BRepBuilderAPI_MakeVertex(gp_Pnt(*place)).Shape()).Value())


def triangles(solid: Solid) -> tuple[NDArray[np.float64], NDArray[np.int64]]:
    """Return corners on the exact surface and triangles nowhere further from it than `DEFLECTION_MM`."""
    BRepMesh_IncrementalMesh(solid, DEFLECTION_MM, False, 0.5, True)
    corners, faces, before = [], [], 0
    explorer = TopExp_Explorer(solid, TopAbs_FACE)
    while explorer.More():
        face = TopoDS.Face(explorer.Current())
        mesh = BRep_Tool.Triangulation_s(face, TopLoc_Location())
        corners += [(p.X(), p.Y(), p.Z()) for p in (mesh.Node(i) for i in range(1, mesh.NbNodes() + 1))]
        own = np.array([mesh.Triangle(i).Get() for i in range(1, mesh.NbTriangles() + 1)]) - 1 + before
        faces.append(own[:, ::-1] if face.Orientation() == TopAbs_REVERSED else own)
        before = len(corners)
        explorer.Next()
    return np.array(corners), np.vstack(faces)


def furthest_mm(points: NDArray[np.float64], corners: NDArray[np.float64], faces: NDArray[np.int64], within_mm: float = 0.05) -> float:
    """Return the largest distance of points from a surface of triangles; infinite where one is further than ``within_mm`` in plan."""
    a, b, c = (corners[faces[:, i]] for i in range(3))
    plan = [np.minimum(np.minimum(a, b), c)[:, :2], np.maximum(np.maximum(a, b), c)[:, :2]]
    tree = shapely.STRtree(shapely.box(*plan[0].T, *plan[1].T))
    near = np.full(len(points), np.inf)
    point, face = tree.query(shapely.points(points[:, :2]), predicate="dwithin", distance=within_mm)
    np.minimum.at(near, point, _point_triangle(points[point], a[face], b[face], c[face]))
    return float(near.max())


def _point_triangle(p: NDArray[np.float64], a: NDArray[np.float64], b: NDArray[np.float64], c: NDArray[np.float64]) -> NDArray[np.float64]:
    """Distances of points from triangles, row by row: over the face where the foot lies in it, else to the nearest side."""
    normal = np.cross(b - a, c - a)
    size = np.linalg.norm(normal, axis=1)
    inside = size > 1e-12
    for q, r in ((a, b), (b, c), (c, a)):
        inside &= np.einsum("ij,ij->i", np.cross(r - q, p - q), normal) >= 0
    over = np.abs(np.einsum("ij,ij->i", p - a, normal)) / np.maximum(size, 1e-12)
    beside = np.full(len(p), np.inf)
    for q, r in ((a, b), (b, c), (c, a)):
        way = r - q
        along = np.clip(np.einsum("ij,ij->i", p - q, way) / np.maximum((way**2).sum(axis=1), 1e-24), 0.0, 1.0)
        beside = np.minimum(beside, np.linalg.norm(p - q - along[:, None] * way, axis=1))
    return np.where(inside, over, beside)
