"""The still picture of a drawer: the same each time, true in outline, the nearer before the farther."""

from __future__ import annotations

import io

import numpy as np
import pytest
from manifold3d import Manifold
from numpy.typing import NDArray
from PIL import Image

from camtools.page.facts import PacketFacts
from camtools.page.portrait import Body, portrait, portraits_of
from camtools.page.solids import Solid

RED, BLUE = (220, 40, 40), (40, 40, 220)


def cube(side: float = 10.0, at: tuple[float, float, float] = (0.0, 0.0, 0.0)) -> Solid:
    mesh = Manifold.cube((side, side, side)).translate(at).to_mesh64()
    return Solid(np.asarray(mesh.vert_properties)[:, :3], np.asarray(mesh.tri_verts).astype(np.int64))


def pixels(content: bytes) -> NDArray[np.int64]:
    return np.asarray(Image.open(io.BytesIO(content)).convert("RGB")).astype(np.int64)


def test_a_drawer_is_drawn_the_same_each_time(drawer: PacketFacts) -> None:
    again = portraits_of(drawer.manifest, drawer.solids)
    assert again == drawer.portraits
    assert len(again) == len(drawer.manifest.drawers)


def test_a_cube_covers_what_its_parallel_projection_covers() -> None:
    """Seen along a direction d a cube of side s covers s² (|dx| + |dy| + |dz|) (geometry of parallel projection)."""
    turn, tilt = np.radians(32.0), np.radians(30.0)
    towards = np.array([np.sin(turn) * np.cos(tilt), np.cos(turn) * np.cos(tilt), np.sin(tilt)])
    image = pixels(portrait([Body(cube(), RED)], 400))
    covered = (image < 250).any(axis=2)
    columns = np.flatnonzero(covered.any(axis=0))
    scale = (columns[-1] - columns[0] + 1) / (10.0 * (np.cos(turn) + np.sin(turn)))  # px a mm
    assert covered.sum() / scale**2 == pytest.approx(100.0 * towards.sum(), rel=0.02)


@pytest.mark.parametrize("first", [0, 1])
def test_the_nearer_body_hides_the_farther_in_whichever_order_they_are_drawn(first: int) -> None:
    """The eye stands before the front, at the left and above: what lies there hides what is behind it, right and below."""
    near, far = Body(cube(4.0, (-12.0, -18.0, 13.0)), RED), Body(cube(4.0), BLUE)
    image = pixels(portrait([near, far] if first == 0 else [far, near], 300))
    reds = ((image[:, :, 0] > 100) & (image[:, :, 2] < 80)).sum()
    alone = pixels(portrait([near], 300))
    assert reds > 0
    assert alone.size > 0
    blues = ((image[:, :, 2] > 100) & (image[:, :, 0] < 80)).sum()
    assert blues < 0.6 * reds


def test_a_packet_that_was_not_carved_has_no_pictures(sample: PacketFacts) -> None:
    assert sample.portraits == {}
