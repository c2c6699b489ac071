"""Carves a board: the blank less everything that its programs' cutters sweep."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from manifold3d import CrossSection, Error, FillRule, Manifold, Mesh64, OpType
from numpy.typing import NDArray

from camtools.output.manifest import Matrix, ToolEntry, Triple
from camtools.verify.carving.sweep import FURTHEST_MM, Box, Sweep, sweeps_of
from camtools.verify.reader.motion import Motion

__all__ = ["BoardWork", "Carved", "Carving", "CarvingFault", "board_box", "carve", "solid_of", "swept_solids"]

_MOST_SWEEPS = 1500  # in one board, once joined: some five times those of a large one
_MARGIN_MM = 1.0  # around the board, to which sweeps are cut back before they are joined


class CarvingFault(Exception):
    """A board could not be carved: the reason, in words."""


@dataclass(frozen=True, slots=True)
class BoardWork:
    """What one program did to the board, and how the board stood."""

    file: str
    to_machine: Matrix
    motions: tuple[Motion, ...]

    def slid_to(self, to_machine: Matrix) -> BoardWork:
        """Return the same work on the board slid along X to where it stands in another program."""
        x_mm = to_machine[0][3] - self.to_machine[0][3]
        return BoardWork(self.file, to_machine, tuple(motion.moved(x_mm) for motion in self.motions)) if x_mm else self


@dataclass(frozen=True, slots=True)
class Carving:
    """A board before work, and the work done on it; it travels between processes."""

    size: Triple  # length, width, thickness
    works: tuple[BoardWork, ...]
    tools: dict[int, ToolEntry]  # by number; motions of any other are left out
    outline: tuple[tuple[float, float], ...] = ()  # where it is not a rectangle


@dataclass(frozen=True, slots=True)
class Carved:
    """A carved board as a mesh in its own frame ``(u, v, w)``; it travels between processes."""

    corners: NDArray[np.float64]  # (n, 3)
    triangles: NDArray[np.uint64]  # (m, 3)
    bound_mm: float  # its surface lies at most this far from the true one
    sweeps: int
    removed_mm3: float


def board_box(size: Triple, to_machine: Matrix) -> Box:
    """Return the box that a board fills in a program's machine frame."""
    rows = np.asarray(to_machine)
    with np.errstate(over="ignore", invalid="ignore"):  # a frame that is no such thing is told of by itself
        ends = np.stack((rows[:, 3], rows[:, 3] + rows[:, :3] @ np.asarray(size)))
    low, high = ends.min(axis=0).tolist(), ends.max(axis=0).tolist()
    return Box((low[0], low[1], low[2]), (high[0], high[1], high[2]))


def carve(carving: Carving) -> Carved:
    """Carve a board.

    Raises
    ------
    CarvingFault
        If motions reach too far or are too many, or the solids can not be computed.
    """
    cutters: list[Manifold] = []
    bound = 0.0
    for work in carving.works:
        _refuse_far(work)
        rows = np.asarray(work.to_machine)
        linear, origin = rows[:, :3], rows[:, 3]  # orthonormal: its inverse is its transpose
        sweep = sweeps_of(work.motions, carving.tools, board_box(carving.size, work.to_machine))
        if len(cutters) + len(sweep.hulls) + len(sweep.rings) > _MOST_SWEEPS:
            raise CarvingFault(f"more than {_MOST_SWEEPS} motions touch this board")
        bound = max(bound, sweep.bound_mm)
        cutters += swept_solids(sweep, linear, origin)
    solid = _blank_solid(carving)
    whole = solid.volume()
    around = Manifold.cube(tuple(side + 2 * _MARGIN_MM for side in carving.size)).translate((-_MARGIN_MM,) * 3)
    unions = [Manifold.batch_boolean(cluster, OpType.Add) for cluster in _clusters([cutter ^ around for cutter in cutters])]
    solid = Manifold.batch_boolean([solid, *unions], OpType.Subtract)
    if solid.status() != Error.NoError:
        raise CarvingFault(f"the solids could not be computed: {solid.status().name}")
    mesh = solid.to_mesh64()
    removed = whole - solid.volume()
    return Carved(np.array(mesh.vert_properties[:, :3]), np.array(mesh.tri_verts), bound, len(cutters), removed)


def swept_solids(sweep: Sweep, linear: NDArray[np.float64], origin: NDArray[np.float64]) -> list[Manifold]:
    """Return what is swept as solids in a board's frame, which lies at ``origin`` of the machine's, turned by ``linear``."""
    found = [Manifold.hull_points((points - origin) @ linear) for points in sweep.hulls]
    for ring in sweep.rings:
        turned = ring.triangles if np.linalg.det(linear) > 0 else ring.triangles[:, ::-1].copy()
        found.append(Manifold(Mesh64((ring.corners - origin) @ linear, turned)))
    return found


def solid_of(carved: Carved) -> Manifold:
    """Return the carved board as a solid in its own frame."""
    return Manifold(Mesh64(carved.corners, carved.triangles))


def _clusters(solids: list[Manifold]) -> list[list[Manifold]]:
    """Sort solids into clusters whose boxes do not touch those of other clusters: joined by themselves they stay small."""
    solids = [solid for solid in solids if not solid.is_empty()]
    boxes = np.array([solid.bounding_box() for solid in solids]).reshape(-1, 6)
    clusters: list[list[Manifold]] = []
    free = np.ones(len(solids), dtype=bool)
    for first in range(len(solids)):
        if not free[first]:
            continue
        free[first] = False
        members, waiting = [], [first]
        while waiting:
            current = waiting.pop()
            members.append(solids[current])
            low, high = boxes[current, :3], boxes[current, 3:]
            touching = np.flatnonzero(free & (boxes[:, :3] <= high).all(axis=1) & (boxes[:, 3:] >= low).all(axis=1))
            free[touching] = False
            waiting.extend(touching.tolist())
        clusters.append(members)
    return clusters


def _blank_solid(carving: Carving) -> Manifold:
    if carving.outline:
        return Manifold.extrude(CrossSection([np.asarray(carving.outline)], FillRule.NonZero), carving.size[2])
    return Manifold.cube(carving.size)


def _refuse_far(work: BoardWork) -> None:
    for motion in work.motions:
        places = (*motion.start, *motion.end, *(motion.centre or ()))
        if any(abs(value) > FURTHEST_MM for value in places):
            raise CarvingFault(f"line {motion.line} moves further than {FURTHEST_MM / 1000:g} m")
