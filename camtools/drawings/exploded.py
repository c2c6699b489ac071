"""A drawer pulled apart, seen from the right, in front and above (isometric, ISO 5456-3)."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from camtools.drawer.boards import Board, Drawer
from camtools.drawings.ends import Face, ends_of, section_of
from camtools.drawings.sheet import Drawing
from camtools.geometry.frames import apply
from camtools.templates.letters import line_of_text
from camtools.templates.outlines import flattened

__all__ = ["exploded_view"]

Point2 = tuple[float, float]
Point3 = tuple[float, float, float]

_WIDTH_MM = 225.0  # of the picture on paper
_HEIGHT_MM = 138.0
_SIGHT = (-1.0, 1.0, -1.0)  # the way the eye looks
_APART = 0.30  # of the drawer's longest side
_TONES = {"face": 0.97, "top": 0.90, "end": 0.84, "recess": 0.62}


@dataclass(frozen=True, slots=True)
class _Patch:
    """A flat piece of a board's surface: corners in the drawer's frame, run so that its normal points out."""

    corners: tuple[Point3, ...]
    tone: float


def exploded_view(drawer: Drawer) -> Drawing:
    """Return the five boards drawn apart along the ways they are put together, with their names."""
    reach = max(drawer.outside_mm) * _APART
    shifts = {
        "front": (0.0, -reach, 0.0),
        "back": (0.0, reach, 0.0),
        "left side": (-reach, 0.0, 0.0),
        "right side": (reach, 0.0, 0.0),
        "bottom": (0.0, 0.0, -1.15 * reach),
    }
    order = (drawer.back, drawer.left, drawer.bottom, drawer.right, drawer.front)  # the farthest first
    scale = _scale(drawer, shifts)
    drawing = Drawing([])

    def on_paper(point: Point3) -> Point2:
        x, y, z = point
        return ((x + y) / math.sqrt(2) * scale, (-x + y + 2 * z) / math.sqrt(6) * scale)

    for start, end in _ways(drawer, shifts):
        drawing.line([on_paper(start), on_paper(end)], "hidden")
    for board in order:
        for patch in _patches(board, shifts[board.piece.role]):
            points = [on_paper(corner) for corner in patch.corners]
            drawing.area(points, patch.tone)
            drawing.line(points, "thin", closed=True)
    for board in order:
        _name(drawing, board, on_paper(_middle(board, shifts[board.piece.role])))
    return drawing


def _scale(drawer: Drawer, shifts: dict[str, Point3]) -> float:
    xs, ys = [], []
    for board in drawer.boards:
        for u in (0.0, board.piece.size_mm[0]):
            for v in (0.0, board.piece.size_mm[1]):
                for w in (0.0, board.piece.size_mm[2]):
                    x, y, z = (a + b for a, b in zip(apply(board.to_drawer, (u, v, w)), shifts[board.piece.role], strict=True))
                    xs.append((x + y) / math.sqrt(2))
                    ys.append((-x + y + 2 * z) / math.sqrt(6))
    return min(_WIDTH_MM / (max(xs) - min(xs)), _HEIGHT_MM / (max(ys) - min(ys)))


def _middle(board: Board, shift: Point3) -> Point3:
    length, width, thick = board.piece.size_mm
    at = apply(board.to_drawer, (length / 2, width / 2, thick / 2))
    return (at[0] + shift[0], at[1] + shift[1], at[2] + shift[2])


def _ways(drawer: Drawer, shifts: dict[str, Point3]) -> list[tuple[Point3, Point3]]:
    """Return lines along which the joints go together, from the middle of one part of each to the other's."""
    width, depth, height = drawer.outside_mm
    ways = []
    for side, x in (("left side", 0.0), ("right side", width)):
        for end, y in (("front", 0.0), ("back", depth)):
            for z in (0.1 * height, 0.9 * height):
                corner = (x, y, z)
                ways.append((_plus(corner, shifts[side]), _plus(corner, _plus(shifts[side], shifts[end]))))
                ways.append((_plus(corner, shifts[end]), _plus(corner, _plus(shifts[side], shifts[end]))))
    return ways


def _plus(a: Point3, b: Point3) -> Point3:
    return (a[0] + b[0], a[1] + b[1], a[2] + b[2])


def _patches(board: Board, shift: Point3) -> list[_Patch]:
    """Return what is seen of a board, the farthest first."""
    piece = board.piece
    length, width, thick = piece.size_mm
    if piece.outline:
        outer = inner = list(piece.outline)
    else:
        # Both faces with equally many corners, so that walls run from one to the other.
        outer = _around(board, "outside")
        inner = _around(board, "inside") if piece.role == "back" else outer

    def place(u: float, v: float, w: float) -> Point3:
        return _plus(apply(board.to_drawer, (u, v, w)), shift)

    low = [place(u, v, 0.0) for u, v in outer]
    high = [place(u, v, thick) for u, v in inner]
    centre = place(length / 2, width / 2, thick / 2)
    faces = [_outwards(tuple(low), centre), _outwards(tuple(high), centre)]
    inside = _outwards(tuple(high), centre)
    walls = []
    turn = 1.0 if _signed(outer) > 0 else -1.0
    for i in range(len(outer)):
        j = (i + 1) % len(outer)
        corners = (low[i], low[j], high[j], high[i])
        du, dv = outer[j][0] - outer[i][0], outer[j][1] - outer[i][1]
        out_u, out_v = dv * turn, -du * turn
        origin, tip = place(0.0, 0.0, 0.0), place(out_u, out_v, 0.0)
        out = (tip[0] - origin[0], tip[1] - origin[1], tip[2] - origin[2])
        if _dot(out, _SIGHT) < -1e-9:
            tone = _TONES["top"] if abs(out[2]) > max(abs(out[0]), abs(out[1])) else _TONES["end"]
            walls.append(_Patch(corners, tone))
    walls.sort(key=lambda patch: -_depth(patch.corners))
    seen = [face for face in faces if _dot(_normal(face), _SIGHT) < 0]
    tone = _TONES["top"] if piece.role == "bottom" else _TONES["face"]
    found = [*walls, *(_Patch(face, tone) for face in seen)]
    if piece.groove is not None and _dot(_normal(inside), _SIGHT) < 0:
        groove = piece.groove
        start, stop = max(0.0, groove.start_mm), min(length, groove.stop_mm)
        edge = groove.edge_mm
        bed = tuple(
            place(u, v, thick) for u, v in ((start, edge), (stop, edge), (stop, edge + groove.width_mm), (start, edge + groove.width_mm))
        )
        found.append(_Patch(bed, _TONES["recess"]))
    if piece.role == "front":
        for part in section_of(piece)[0]:
            found.append(_Patch(tuple(place(length, v, w) for w, v in flattened(part, closed=True)), _TONES["recess"]))
    return found


def _around(board: Board, face: Face) -> list[Point2]:
    """Return a face's outline ``(u, v)``: up along the first end, down along the other."""
    piece = board.piece
    length = piece.size_mm[0]
    if piece.role == "front":
        return [(0.0, 0.0), (0.0, piece.size_mm[1]), (length, piece.size_mm[1]), (length, 0.0)]
    first, last = ends_of(piece, face)
    return [(d, v) for d, v, _ in first.edge] + [(length - d, v) for d, v, _ in reversed(last.edge)]


def _signed(points: Sequence[Point2]) -> float:
    return sum(x0 * y1 - x1 * y0 for (x0, y0), (x1, y1) in zip(points, [*points[1:], points[0]], strict=True))


def _normal(corners: tuple[Point3, ...]) -> Point3:
    """Return the normal of a flat outline by Newell's method."""
    x = y = z = 0.0
    for a, b in zip(corners, (*corners[1:], corners[0]), strict=True):
        x += (a[1] - b[1]) * (a[2] + b[2])
        y += (a[2] - b[2]) * (a[0] + b[0])
        z += (a[0] - b[0]) * (a[1] + b[1])
    return (x, y, z)


def _outwards(corners: tuple[Point3, ...], centre: Point3) -> tuple[Point3, ...]:
    away = tuple(a - b for a, b in zip(corners[0], centre, strict=True))
    return corners if _dot(_normal(corners), away) > 0 else corners[::-1]


def _dot(a: Sequence[float], b: Sequence[float]) -> float:
    return sum(x * y for x, y in zip(a, b, strict=True))


def _depth(corners: Sequence[Point3]) -> float:
    return sum(_dot(corner, _SIGHT) for corner in corners) / len(corners)


def _name(drawing: Drawing, board: Board, at: Point2) -> None:
    text, height = board.piece.role, 3.0
    half = line_of_text(text, height)[2] / 2 + 1.6
    x, y = at
    drawing.area([(x - half, y - 2.9), (x + half, y - 2.9), (x + half, y + 2.9), (x - half, y + 2.9)], 1.0, "thin")
    drawing.words(text, x, y, height, pen="heavy")
