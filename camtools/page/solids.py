"""Carved boards as meshes for pictures and views: thinned, with their creases, and put in their place."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from manifold3d import Manifold
from numpy.typing import NDArray

from camtools.output.manifest import BoardEntry
from camtools.verify.carving.carve import Carved, solid_of
from camtools.verify.checking import Checked

__all__ = ["MESH_MM", "PARTS", "Solid", "edges_of", "meshed", "placed", "solids_of"]

MESH_MM = 0.02  # the view's meshes lie within this of the carved ones
PARTS = ("front", "back", "left", "right", "bottom")
_SLIVER_MM = 0.05
_CREASE_DEG = 20.0  # two faces that meet at a sharper angle have an edge drawn between them


@dataclass(frozen=True, slots=True)
class Solid:
    """A board as carved, in its own frame: ``(n, 3)`` corners in mm and ``(m, 3)`` triangles."""

    corners: NDArray[np.float64]
    triangles: NDArray[np.int64]


def solids_of(checked: Checked) -> dict[str, Solid]:
    """Return the boards that a check carved, by id; boards that were carved as one share what comes out."""
    done: dict[int, Solid] = {}
    solids: dict[str, Solid] = {}
    for assembly in checked.assemblies:
        for part in PARTS:
            carved = assembly.carved[part]
            if id(carved) not in done:
                done[id(carved)] = _thinned(carved)
            solids[assembly.entries[part].id] = done[id(carved)]
    return solids


def _thinned(carved: Carved) -> Solid:
    return meshed(solid_of(carved), MESH_MM)


def meshed(solid: Manifold, within_mm: float = 0.05) -> Solid:
    """Return a solid's mesh, thinned."""
    mesh = solid.simplify(within_mm).to_mesh64()
    return Solid(np.asarray(mesh.vert_properties)[:, :3].astype(np.float64), np.asarray(mesh.tri_verts).astype(np.int64))


def placed(solid: Solid, board: BoardEntry) -> Solid:
    """Put a board into its drawer; a frame that mirrors turns the triangles over."""
    rows = np.asarray(board.to_drawer)
    corners = solid.corners @ rows[:, :3].T + rows[:, 3]
    turned = solid.triangles if np.linalg.det(rows[:, :3]) > 0 else solid.triangles[:, ::-1]
    return Solid(corners, turned)


def edges_of(solid: Solid) -> NDArray[np.int64]:
    """Return the creases of a solid as ``(k, 2)`` pairs of corners."""
    a, b, c = (solid.corners[solid.triangles[:, i]] for i in range(3))
    normals = np.cross(b - a, c - a)
    doubled = np.linalg.norm(normals, axis=1)
    normals /= np.maximum(doubled, 1e-12)[:, None]
    longest = np.sqrt(np.max([((q - p) ** 2).sum(axis=1) for p, q in ((a, b), (b, c), (c, a))], axis=0))
    sliver = doubled < longest * _SLIVER_MM  # so thin that its normal means nothing
    sides = np.sort(np.vstack([solid.triangles[:, [0, 1]], solid.triangles[:, [1, 2]], solid.triangles[:, [2, 0]]]), axis=1)
    faces = np.tile(np.arange(len(solid.triangles)), 3)
    order = np.lexsort((sides[:, 1], sides[:, 0]))
    sides, faces = sides[order], faces[order]
    pairs = np.flatnonzero((sides[1:] == sides[:-1]).all(axis=1))
    whole = ~(sliver[faces[pairs]] | sliver[faces[pairs + 1]])
    sharp = whole & (np.einsum("ij,ij->i", normals[faces[pairs]], normals[faces[pairs + 1]]) < np.cos(np.radians(_CREASE_DEG)))
    return np.asarray(sides[pairs[sharp]], dtype=np.int64)
