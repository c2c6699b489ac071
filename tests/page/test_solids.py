"""Meshes of carved boards: thinned within what is stated, placed without turning inside out, creased where faces meet."""

from __future__ import annotations

import numpy as np
import pytest
from manifold3d import Manifold, Mesh64

from camtools.output.manifest import BoardEntry
from camtools.page.facts import PacketFacts
from camtools.page.solids import MESH_MM, PARTS, Solid, edges_of, placed
from camtools.verify.carving.carve import solid_of
from camtools.verify.checking import Checked

CORNERS = np.array([[x, y, z] for x in (0.0, 3.0) for y in (0.0, 2.0) for z in (0.0, 1.0)])


def cuboid() -> Solid:
    mesh = Manifold.cube((3.0, 2.0, 1.0)).to_mesh64()
    return Solid(np.asarray(mesh.vert_properties)[:, :3], np.asarray(mesh.tri_verts).astype(np.int64))


def volume(solid: Solid) -> float:
    a, b, c = (solid.corners[solid.triangles[:, i]] for i in range(3))
    return float(np.einsum("ij,ij->i", a, np.cross(b, c)).sum() / 6)


def test_a_cuboid_has_twelve_edges_and_no_diagonals() -> None:
    solid = cuboid()
    edges = solid.corners[edges_of(solid)]
    assert len(edges) == 12
    assert all(np.count_nonzero(a != b) == 1 for a, b in edges)


def test_a_round_body_has_creases_at_its_rims_only() -> None:
    mesh = Manifold.cylinder(5.0, 4.0, circular_segments=64).to_mesh64()
    solid = Solid(np.asarray(mesh.vert_properties)[:, :3], np.asarray(mesh.tri_verts).astype(np.int64))
    heights = solid.corners[edges_of(solid)][:, :, 2]
    assert 0.9 * 2 * 64 <= len(heights) <= 2 * 64  # slivers of its ends have no sure normal, and lose their piece of the rim
    assert (heights[:, 0] == heights[:, 1]).all()


@pytest.mark.parametrize("mirrored", [False, True])
def test_a_board_put_in_its_place_keeps_its_inside(mirrored: bool) -> None:
    to_drawer = ((0, 0, -1 if mirrored else 1, 5), (1, 0, 0, 2), (0, 1, 0, 0))
    rows = tuple(tuple(float(value) for value in row) for row in to_drawer)
    board = BoardEntry(id="b", role="right side", size=(3.0, 2.0, 1.0), count=1, to_drawer=rows)
    put = placed(cuboid(), board)
    assert volume(put) == pytest.approx(6.0)
    assert put.corners[:, 0].min() == (4.0 if mirrored else 5.0)


def test_thinned_boards_lie_within_the_stated_distance_of_the_carved(drawer: PacketFacts, drawer_checked: Checked) -> None:
    (assembly,) = drawer_checked.assemblies
    for part in PARTS:
        shown = drawer.solids[assembly.entries[part].id]
        carved = solid_of(assembly.carved[part])
        mesh = Manifold(Mesh64(shown.corners, shown.triangles.astype(np.uint64)))
        assert mesh.num_tri() <= carved.num_tri()
        area = carved.surface_area()
        assert abs(mesh.volume() - carved.volume()) < MESH_MM * area
        assert (mesh - carved).volume() + (carved - mesh).volume() < MESH_MM * area
        assert mesh.bounding_box() == pytest.approx(carved.bounding_box(), abs=MESH_MM)
