"""A drawer pulled apart, seen from the right, in front and above (isometric, ISO 5456-3)."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from itertools import product

import numpy as np
import shapely
from numpy.typing import NDArray

from camtools.drawer.boards import Board, Drawer, Role
from camtools.drawings.ends import outline_of, section_of
from camtools.drawings.sheet import Drawing
from camtools.templates.letters import line_of_text
from camtools.templates.outlines import circle, flattened

__all__ = ["exploded_view"]

Floats = NDArray[np.float64]

_WIDTH_MM = 225.0  # of the picture on paper
_HEIGHT_MM = 138.0
_SIGHT = np.array([-1.0, 1.0, -1.0])  # the way the eye looks
_TO_PAPER = np.array([[1.0, 1.0, 0.0], [-1.0, 1.0, 2.0]]) / np.sqrt([[2.0], [6.0]])
_APART = 0.30  # of the drawer's longest side
_TONES = {"face": 0.97, "top": 0.90, "end": 0.84, "recess": 0.62}
_ROUND_MM = 5.6  # radius of the ring about a number
_LETTER_MM = 5.6  # large: a telephone shows all of it
_CLEAR_MM = 1.2  # of a label from all that is drawn
_LABEL_STEPS = np.arange(8.0, 120.0, 4.0)  # how far from its board a label is tried
_LABEL_WAYS = np.arange(0.0, 2 * math.pi, math.pi / 12)


def exploded_view(drawer: Drawer) -> Drawing:
    """Return the five boards drawn apart along the ways they are put together, numbered in that order."""
    shifts = _shifts(drawer)
    order: tuple[Role, ...] = ("front", "back", "left side", "right side")
    order = (*order, "bottom") if _slides_in(drawer) else ("bottom", *order)
    boards = (drawer.back, drawer.left, drawer.bottom, drawer.right, drawer.front)  # the farthest first
    if _slides_in(drawer):
        boards = (drawer.bottom, drawer.back, drawer.left, drawer.right, drawer.front)
    corners = [_placed(board, shifts, product(*((0.0, side) for side in board.piece.size_mm))) @ _TO_PAPER.T for board in boards]
    to_paper = _TO_PAPER * np.min([_WIDTH_MM, _HEIGHT_MM] / np.ptp(np.concatenate(corners), axis=0))
    drawing = Drawing([])
    ways = [shapely.LineString(way @ to_paper.T) for way in _ways(drawer, shifts)]
    for way in ways:
        drawing.line(list(way.coords), "hidden")
    seen: dict[Role, shapely.Geometry] = {}
    edges = shapely.LineString()
    for board in boards:
        faces = []
        for patch, tone in _patches(board, shifts):
            points = (patch @ to_paper.T).tolist()
            drawing.area(points, tone)
            drawing.line(points, "thin", closed=True)
            faces.append(shapely.make_valid(shapely.Polygon(points)))
        whole = shapely.unary_union(faces)
        edges = shapely.union(edges, shapely.unary_union([face.boundary for face in faces]))
        seen = {role: shapely.difference(area, whole) for role, area in seen.items()}
        seen[board.piece.role] = whole
    taken = shapely.MultiLineString(ways)
    for number, role in enumerate(order, 1):
        taken = _label(drawing, f"{number}", role, seen, (edges, taken))
    return drawing


def _slides_in(drawer: Drawer) -> bool:
    """Tell whether the bottom comes in last, under a raised back."""
    through = drawer.left.piece.through
    return through is not None and through.raise_mm > 0


def _shifts(drawer: Drawer) -> dict[Role, Floats]:
    """Return how far each board is drawn from home: front and back off the bottom along Y, sides off both along X."""
    reach = max(drawer.outside_mm) * _APART
    ways: dict[Role, tuple[float, float, float]] = {
        "front": (0.0, -reach, 0.0),
        "back": (0.0, reach, 0.0),
        "left side": (-reach, 0.0, 0.0),
        "right side": (reach, 0.0, 0.0),
        "bottom": (0.0, reach * 1.3 + drawer.outside_mm[1] if _slides_in(drawer) else 0.0, 0.0),
    }
    return {role: np.array(way) for role, way in ways.items()}


def _placed(board: Board, shifts: Mapping[Role, Floats], places: Iterable[Sequence[float]]) -> Floats:
    """Map places of a board, ``(n, 3)``, to where it is drawn in the drawer's frame."""
    frame = np.array(board.to_drawer)
    placed: Floats = np.array(list(places)) @ frame[:, :3].T + frame[:, 3] + shifts[board.piece.role]
    return placed


def _ways(drawer: Drawer, shifts: Mapping[Role, Floats]) -> list[Floats]:
    """Return the ways that boards move, as lines from where they are drawn to home.

    At each corner front or back comes along Y, then the side along X.
    """
    width, depth, height = drawer.outside_mm
    ways = []
    front, back = (board.piece.size_mm[2] for board in (drawer.front, drawer.back))
    sides: tuple[tuple[Role, float], ...] = (("left side", 0.0), ("right side", width))
    ends: tuple[tuple[Role, float], ...] = (("front", front / 2), ("back", depth - back / 2))
    for (side, x), (end, y), z in product(sides, ends, (0.1 * height, 0.9 * height)):
        home = np.array([x, y, z])
        ways.append(np.array([home + shifts[end], home, home + shifts[side]]))
    length, across, thick = drawer.bottom.piece.size_mm
    frame = np.array(drawer.bottom.to_drawer)
    met: tuple[tuple[float, Role], ...] = ((0.0, "front"), (across, "back"))
    for u, (v, role) in product((0.3 * length, 0.7 * length), met):
        edge = frame[:, :3] @ (u, v, thick / 2) + frame[:, 3]
        if not _slides_in(drawer):
            ways.append(np.array([edge, edge + shifts[role]]))
        elif role == "front":
            ways.append(np.array([edge, edge + shifts["bottom"]]))
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


def _label(
    drawing: Drawing,
    number: str,
    role: Role,
    seen: Mapping[Role, shapely.Geometry],
    drawn: tuple[shapely.Geometry, shapely.Geometry],
) -> shapely.Geometry:
    """Write a board's number and name on a face of it, or in the open with a leader; return what is taken then.

    ``seen`` has what is seen of every board, ``drawn`` the edges of all and what else is taken, that no label may touch.
    """
    edges, taken = drawn
    wide = 2 * _ROUND_MM + 1.4 + line_of_text(role, _LETTER_MM)[2]
    own = seen[role]
    middle = shapely.maximum_inscribed_circle(own).coords[0] if not own.is_empty else (0.0, 0.0)
    others = shapely.unary_union([taken, *(area for other, area in seen.items() if other != role)])
    box = _room(middle, wide)
    if not own.covers(box) or edges.intersects(box) or taken.intersects(box):
        box, leader = _in_the_open(middle, wide, own, others)
        drawing.line(list(leader.coords), "thin")
        drawing.curve(circle(middle[0], middle[1], 1.2).vertices, None, closed=True, fill=0.0)
        taken = taken.union(leader)
    left, low, _, high = box.bounds
    x, y = left + _CLEAR_MM + _ROUND_MM, (low + high) / 2
    drawing.curve(circle(x, y, 2 * _ROUND_MM).vertices, "thin", closed=True)
    drawing.words(number, x, y, _LETTER_MM, pen="heavy")
    drawing.words(role, x + _ROUND_MM + 1.4, y, _LETTER_MM, "start", pen="heavy")
    return taken.union(box)


def _room(middle: tuple[float, float], wide: float) -> shapely.Geometry:
    """Return the room that a label takes about a place."""
    half, high = wide / 2 + _CLEAR_MM, _ROUND_MM + _CLEAR_MM
    return shapely.box(middle[0] - half, middle[1] - high, middle[0] + half, middle[1] + high)


def _in_the_open(
    middle: tuple[float, float], wide: float, own: shapely.Geometry, others: shapely.Geometry
) -> tuple[shapely.Geometry, shapely.Geometry]:
    """Return the nearest room for a label that touches nothing, with its leader, which crosses nothing where that can be."""
    found = []
    for far, way in product(_LABEL_STEPS, _LABEL_WAYS):
        place = (middle[0] + far * math.cos(way), middle[1] + far * math.sin(way))
        box = _room(place, wide)
        if box.intersects(own) or box.intersects(others):
            continue
        leader = shapely.shortest_line(shapely.Point(middle), box)
        if not leader.intersects(others):
            return box, leader
        found.append((box, leader))
    return found[0]  # beyond the picture there is always room
