"""Signs of the pictures: one head for each stroke that an eye takes for one."""

from __future__ import annotations

import re

import numpy as np
import pytest

from camtools.pictures.board_sides import placing_of
from camtools.pictures.drawing_style import TONES
from camtools.pictures.paper import Paper
from camtools.pictures.signs import longest_of_curves
from tests.output.picture_specimens import PICTURED, preview, setup


def _strokes(*points: tuple[float, float]) -> np.ndarray:
    return np.stack([np.array(points[:-1], float), np.array(points[1:], float)], axis=1)


def test_a_corner_parts_strokes_and_a_gap_does_too() -> None:
    square = _strokes((0, 0), (100, 0), (100, 50), (0, 50))
    assert list(longest_of_curves(square)) == [0, 1, 2]
    apart = np.concatenate([_strokes((0, 0), (100, 0)), _strokes((120, 0), (200, 0))])
    assert list(longest_of_curves(apart)) == [0, 1]


def test_an_arc_with_its_tangents_is_one_stroke_told_by_its_longest_part() -> None:
    turn = np.linspace(0, np.pi / 2, 12)
    arc = [(100 + 60 * float(np.sin(t)), 60 - 60 * float(np.cos(t))) for t in turn]
    curve = _strokes((0, 0), *arc, (160, 90))
    assert list(longest_of_curves(curve)) == [0]
    assert list(longest_of_curves(np.concatenate([curve, _strokes((160, 90), (60, 90))]))) == [0, len(curve)]


def test_nothing_has_no_strokes() -> None:
    assert len(longest_of_curves(np.zeros((0, 2, 2)))) == 0


def _edge_signs(paper: Paper) -> list[tuple[int, int]]:
    """Return where each pair of triangles points: right and up are positive. A triangle of the sign is as wide as it is long."""
    found = []
    for path in re.findall(rf'<path fill="{TONES["ink"]}" d="([^"]*)"', paper.svg().decode()):
        outlines = [part.split() for part in re.findall(r"M([^Z]*)Z", path)]
        if [len(outline) for outline in outlines] == [6, 6]:
            triangles = [np.array(outline, float).reshape(3, 2) for outline in outlines]
            way = [triangle[0] - triangle[1:].mean(axis=0) for triangle in triangles]
            wide = np.hypot(*(triangles[0][2] - triangles[0][1]))
            if np.allclose(*way, atol=0.2) and abs(np.hypot(*way[0]) - wide) < 0.3:
                x, y = np.round(way[0] / wide).astype(int).tolist()
                found.append((x, -y))
    return found


@pytest.mark.parametrize("name", PICTURED)
def test_sign_of_the_reference_edge_points_out_of_the_wood_in_every_view(name: str) -> None:
    """Towards stop or fence, by the map of the board; across a groove the operator stands at the left of the section."""
    towards = placing_of(PICTURED[name].setup).towards("reference edge")
    way = {"-x": (-1, 0), "+x": (1, 0), "-y": (0, -1)}[towards]
    assert _edge_signs(setup(name)) == [way, (1, 0)]  # the last one in the legend
    plan, *section, legend = _edge_signs(preview(name))
    assert (plan, legend) == (way, (1, 0))
    assert section in ([], [way if towards != "-y" else (-1, 0)])
    assert section or any(word in name for word in ("high", "large", "slid end"))  # only where the section shows another part of the board
