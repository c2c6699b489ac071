"""Signs of the pictures: one head for each stroke that an eye takes for one."""

from __future__ import annotations

import numpy as np

from camtools.pictures.signs import longest_of_curves


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
