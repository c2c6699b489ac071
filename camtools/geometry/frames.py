"""Maps between the frames of board, machine and drawer. docs/joinery.md sections 2 and 3.

A map is three rows X, Y, Z of the columns u, v, w and a constant. A board placed the wrong way round is the classic ruin
of this work; the sign of the determinant tells a true placing from a mirror image.
"""

from __future__ import annotations

from camtools.drawer.boards import Affine

__all__ = ["apply", "box_of", "determinant", "mirrors"]

Point3 = tuple[float, float, float]


def determinant(frame: Affine) -> float:
    """Determinant of the linear part: +1 keeps left and right, -1 swaps them."""
    (a, b, c, _), (d, e, f, _), (g, h, i, _) = frame
    return a * (e * i - f * h) - b * (d * i - f * g) + c * (d * h - e * g)


def mirrors(to_machine: Affine, to_drawer: Affine) -> bool:
    """Tell whether a program made for ``to_machine`` would cut the mirror image of the board that ``to_drawer`` places."""
    return determinant(to_machine) * determinant(to_drawer) <= 0


def apply(frame: Affine, point: Point3) -> Point3:
    """Map a point of the board."""
    u, v, w = point
    x, y, z = (row[0] * u + row[1] * v + row[2] * w + row[3] for row in frame)
    return (x, y, z)


def box_of(frame: Affine, size_mm: Point3) -> tuple[Point3, Point3]:
    """Low and high corner of a board of this size after mapping."""
    first, last = apply(frame, (0.0, 0.0, 0.0)), apply(frame, size_mm)
    low = (min(first[0], last[0]), min(first[1], last[1]), min(first[2], last[2]))
    high = (max(first[0], last[0]), max(first[1], last[1]), max(first[2], last[2]))
    return low, high
