"""A drawer pulled apart, seen from the right, in front and above (isometric, ISO 5456-3)."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from itertools import product

import numpy as np
import shapely
from numpy.typing import NDArray

from camtools.drawer.boards import Board, Drawer, Role
from camtools.drawings.ends import outline_of, section_of
from camtools.drawings.sheet import Drawing
from camtools.templates.letters import line_of_text
from camtools.templates.outlines import flattened

__all__ = ["exploded_view"]

Floats = NDArray[np.float64]

_WIDTH_MM = 225.0  # of the picture on paper
_HEIGHT_MM = 138.0
_SIGHT = np.array([-1.0, 1.0, -1.0])  # the way the eye looks
_TO_PAPER = np.array([[1.0, 1.0, 0.0], [-1.0, 1.0, 2.0]]) / np.sqrt([[2.0], [6.0]])
_APART = 0.30  # of the drawer's longest side
_WAYS: Mapping[Role, tuple[float, float, float]] = {
    "front": (0.0, -1.0, 0.0),
    "back": (0.0, 1.0, 0.0),
    "left side": (-1.0, 0.0, 0.0),
    "right side": (1.0, 0.0, 0.0),
    "bottom": (0.0, 0.0, -1.15),
}
_TONES = {"face": 0.97, "top": 0.90, "end": 0.84, "recess": 0.62}


def exploded_view(drawer: Drawer) -> Drawing:
    """Return the five boards drawn apart along the ways they are put together, with their names."""
    reach = max(drawer.outside_mm) * _APART
    shifts: dict[Role, Floats] = {role: np.array(way) * reach for role, way in _WAYS.items()}
    boards = (drawer.back, drawer.left, drawer.bottom, drawer.right, drawer.front)  # the farthest first
    corners = [_placed(board, shifts, product(*((0.0, side) for side in board.piece.size_mm))) @ _TO_PAPER.T for board in boards]
    to_paper = _TO_PAPER * np.min([_WIDTH_MM, _HEIGHT_MM] / np.ptp(np.concatenate(corners), axis=0))
    drawing = Drawing([])
    for way in _joining(drawer, shifts):
        drawing.line((way @ to_paper.T).tolist(), "hidden")
    for board in boards:
        for patch, tone in _patches(board, shifts):
            points = (patch @ to_paper.T).tolist()
            drawing.area(points, tone)
            drawing.line(points, "thin", closed=True)
    for board in boards:
        length, width, thick = board.piece.size_mm
        x, y = (_placed(board, shifts, [(length / 2, width / 2, thick / 2)]) @ to_paper.T)[0].tolist()
        _name(drawing, board.piece.role, x, y)
    return drawing


def _placed(board: Board, shifts: Mapping[Role, Floats], places: Iterable[Sequence[float]]) -> Floats:
    """Map places of a board, ``(n, 3)``, to where it is drawn in the drawer's frame."""
    frame = np.array(board.to_drawer)
    placed: Floats = np.array(list(places)) @ frame[:, :3].T + frame[:, 3] + shifts[board.piece.role]
    return placed


def _joining(drawer: Drawer, shifts: Mapping[Role, Floats]) -> list[Floats]:
    """Return lines along which the joints go together, from the middle of one part of each to the other's."""
    width, depth, height = drawer.outside_mm
    ways = []
    sides: tuple[tuple[Role, float], ...] = (("left side", 0.0), ("right side", width))
    ends: tuple[tuple[Role, float], ...] = (("front", 0.0), ("back", depth))
    for (side, x), (end, y), z in product(sides, ends, (0.1 * height, 0.9 * height)):
        corner = np.array([x, y, z])
        met = corner + shifts[side] + shifts[end]
        ways += [np.array([corner + shifts[side], met]), np.array([corner + shifts[end], met])]
    return ways


def _patches(board: Board, shifts: Mapping[Role, Floats]) -> list[tuple[Floats, float]]:
    """Return corners ``(n, 3)`` and grey of each flat piece of a board's surface that is seen, the farthest first."""
    piece = board.piece
    length, _, thick = piece.size_mm
    if piece.outline:
        outer = inner = list(piece.outline)
    else:
        # Both faces with equally many corners, so that walls run from one to the other.
        outer = outline_of(piece, "outside")
        inner = outline_of(piece, "inside") if piece.role == "back" else outer
    low, high = (_placed(board, shifts, [(u, v, w) for u, v in face]) for face, w in ((outer, 0.0), (inner, thick)))
    turn = np.array(board.to_drawer)[:, :3]
    along = np.roll(outer, -1, axis=0) - outer
    out = along[:, ::-1] * ((1.0, -1.0) if shapely.is_ccw(shapely.linearrings(outer)) else (-1.0, 1.0)) @ turn[:, :2].T
    walls = []
    for i in np.flatnonzero(out @ _SIGHT < -1e-9):
        j = (i + 1) % len(outer)
        upwards = abs(out[i, 2]) > abs(out[i, :2]).max()
        walls.append((np.array([low[i], low[j], high[j], high[i]]), _TONES["top" if upwards else "end"]))
    walls.sort(key=lambda wall: -float((wall[0] @ _SIGHT).mean()))
    inside_seen = turn[:, 2] @ _SIGHT < 0  # w grows from the outside face to the inside
    found = [*walls, (high if inside_seen else low, _TONES["top" if piece.role == "bottom" else "face"])]
    if piece.groove is not None and inside_seen:
        ends = max(0.0, piece.groove.start_mm), min(length, piece.groove.stop_mm)
        bed = shapely.box(ends[0], piece.groove.edge_mm, ends[1], piece.groove.edge_mm + piece.groove.width_mm)
        found.append((_placed(board, shifts, [(u, v, thick) for u, v in bed.exterior.coords[:-1]]), _TONES["recess"]))
    if piece.role == "front":
        for part in section_of(piece)[0]:
            found.append((_placed(board, shifts, [(length, v, w) for w, v in flattened(part, closed=True)]), _TONES["recess"]))
    return found


def _name(drawing: Drawing, text: str, x: float, y: float) -> None:
    half = line_of_text(text, 3.0)[2] / 2 + 1.6
    drawing.area([(x - half, y - 2.9), (x + half, y - 2.9), (x + half, y + 2.9), (x - half, y + 2.9)], 1.0, "thin")
    drawing.words(text, x, y, 3.0, pen="heavy")
