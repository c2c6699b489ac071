"""Views of a board: its faces, broken in the middle, its end grain, and the bottom from above, with ordinates from the reference edge."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from itertools import pairwise
from typing import Literal

import shapely
from ezdxf.math import bulge_from_arc_angle

from camtools.drawer.boards import Board, Groove, Piece
from camtools.drawings.ends import End, Face, ends_of, section_of
from camtools.drawings.icons import ICON_MM, Seen, edge_sign, plan_icon
from camtools.drawings.sheet import WASTE, Drawing, spread
from camtools.geometry.frames import determinant
from camtools.templates.letters import line_of_text
from camtools.templates.outlines import Vertex, flattened
from camtools.wording import Units, bare, figure, units_told

__all__ = ["FIGURE_MM", "bottom_views", "face_view", "heights_beside", "lengths_below", "section_view"]

Side = Literal["left", "right"]
FIGURE_MM = 2.1  # height of figures
_APART_MM = 3.2  # between figures
_LEADER_MM = 7.0
_BELOW_MM = -6.4  # upper end of figures under a board
_BREAK_MM = {Units.MM: 38.0, Units.INCH: 50.0}  # of paper between the halves of a broken view: room for two columns of figures
_SAME_MM = 1e-6
_BEYOND_MM = 10.0  # of wood beyond the last feature before the break
_CORNER_SCALE = 2.0  # of a corner that is enlarged, on paper


def heights_beside(
    drawing: Drawing, values: Iterable[float], at_mm: float, side: Side = "right", starts: Sequence[float] = (), *, down: bool = False
) -> None:
    """Write heights in a column left or right of a part, leaders jogged apart.

    Parameters
    ----------
    values, at_mm
        The heights, and the x of the part's side, in mm of wood.
    starts
        The x from which leaders begin, of each height in its order, where they reach into the wood.
    down
        Count heights downwards.
    """
    scale, sign = drawing.scale, -1.0 if side == "left" else 1.0
    values = sorted(set(values), reverse=down)
    heights = [(-value if down else value) * scale for value in values]
    x = at_mm * scale
    for i, (value, height, place) in enumerate(zip(values, heights, spread(heights, _APART_MM), strict=True)):
        start = starts[i] * scale if starts else x + sign * 0.8
        knee, end = x + sign * 2.2, x + sign * (_LEADER_MM - 1.0)
        _paper_line(drawing, [(start, height), (knee, height), (end, place)])
        drawing.words(figure(value), end + sign * 0.9, place, FIGURE_MM, "end" if side == "left" else "start")


def lengths_below(drawing: Drawing, values: Iterable[float], base_mm: float = 0.0, far: float | None = None) -> None:
    """Write distances under a part, read from the right, with leaders up to it.

    Parameters
    ----------
    values, base_mm
        The distances, and the y of the part's lower edge, in mm of wood.
    far
        The x that distances are counted from to the left; None: they are counted from x = 0 to the right.
    """
    scale, y = drawing.scale, base_mm * drawing.scale
    values = sorted(set(values), reverse=far is not None)
    places_at = [(value if far is None else far - value) * scale for value in values]
    for value, x, place in zip(values, places_at, spread(places_at, _APART_MM), strict=True):
        _paper_line(drawing, [(x, y - 1.2), (x, y - 3.0), (place, y - 5.6)])
        drawing.words(figure(value), place, y + _BELOW_MM, FIGURE_MM, "end", upright=True)


def _paper_line(drawing: Drawing, points: Sequence[tuple[float, float]]) -> None:
    drawing.line([(x / drawing.scale, y / drawing.scale) for x, y in points], "thin")


def _titled(drawing: Drawing, title: str, icon: Drawing) -> Drawing:
    """Return a view with its title and icon above it."""
    low_x, _, high_x, high_y = drawing.bounds_mm()
    found = Drawing(list(drawing.items))
    middle = (low_x + high_x) / 2
    width = ICON_MM[0] + 2.0 + line_of_text(title, 3.0)[2]
    left = middle - width / 2
    found.put(icon, left, high_y + 3.0)
    found.words(title, left + ICON_MM[0] + 2.0, high_y + 3.0 + ICON_MM[1] / 2, 3.0, "start", pen="heavy")
    return found


def face_view(board: Board, face: Face, scale: float) -> Drawing:
    """Return a face of a board, its reference edge down, as someone standing before it sees it."""
    piece = board.piece
    length = piece.size_mm[0]
    ends = ends_of(piece, face)
    # Seen from outside, u runs to the right where the board's frame is left-handed in the drawer, and else to the left.
    forward = (determinant(board.to_drawer) < 0) == (face == "outside")
    left, right = ends if forward else ends[::-1]
    groove = piece.groove
    half = min(length / 2, max(_needed(end, groove, piece) for end in ends) + _BEYOND_MM)
    far = 2 * half + _BREAK_MM[units_told()[0]] / scale
    drawing = Drawing([], scale)
    for end, mirrored in ((left, False), (right, True)):
        _half(drawing, end, piece, face, half, far if mirrored else None)
    title = f"{piece.role} {face} face".upper()
    return _titled(drawing, title, plan_icon(piece.role, face))


def _is_first(end: End) -> bool:
    return end.name in ("front end", "left end")


def _groove_from(first: bool, groove: Groove, length: float) -> float:
    """Distance of the groove's round end from the first or the last end of the board; below 0 where it runs out."""
    return groove.start_mm if first else length - groove.stop_mm


def _needed(end: End, groove: Groove | None, piece: Piece) -> float:
    near = max((d for d, _, _ in end.edge), default=0.0)
    return max(near, _groove_from(_is_first(end), groove, piece.size_mm[0]) + groove.width_mm if groove else 0.0)


def _half(drawing: Drawing, end: End, piece: Piece, face: Face, half: float, far: float | None) -> None:
    """Draw one half of a broken view; ``far`` is the x of a right end, None for a left one."""
    width, groove = piece.size_mm[1], piece.groove

    def place(vertices: Sequence[Vertex]) -> list[Vertex]:
        return list(vertices) if far is None else [(far - d, v, -bulge) for d, v, bulge in vertices]

    def x_of(d: float) -> float:
        return d if far is None else far - d

    outer: Side = "left" if far is None else "right"
    inner: Side = "right" if far is None else "left"
    for part in end.waste:
        drawing.curve(place(part), None, closed=True, fill=WASTE)
    edge = list(end.edge)
    while len(edge) > 1 and edge[1][1] < _SAME_MM:
        edge.pop(0)  # what runs along the reference edge is drawn as that
    drawing.curve(place([*edge, (half, width, 0.0)]), "outline")
    for first, last in _cut_at(end.waste, 0.0):
        drawing.line([(x_of(0.0), first), (x_of(0.0), last)], "hidden")
    if end.edge[-1][0] > 0:
        drawing.line([(x_of(0.0), width), (x_of(end.edge[-1][0]), width)], "hidden")
    _zigzag(drawing, x_of(half), width)
    drawing.line([(x_of(0.0), 0.0), (x_of(half), 0.0)], "reference")
    edge_sign(drawing, (x_of(half - _BEYOND_MM / 2), 0.0), (0.0, -1.0))
    along: list[float] = []
    heights: list[tuple[float, float]] = [(v, end.baseline_mm or 0.0) for v in end.bases_mm]
    if end.baseline_mm is not None:
        for first, last in _left_of(_cut_at(end.waste, end.baseline_mm), width):
            drawing.line([(x_of(end.baseline_mm), first), (x_of(end.baseline_mm), last)], "baseline")
        along.append(end.baseline_mm)
    if groove is not None:
        begin = _groove_from(_is_first(end), groove, piece.size_mm[0])
        pen = "outline" if face == "inside" else "hidden"
        radius = groove.width_mm / 2 if groove.cutter.diameter_mm >= groove.width_mm - 0.01 else groove.cutter.diameter_mm / 2
        low, high = groove.edge_mm, groove.edge_mm + groove.width_mm
        if begin > 0:
            turn = bulge_from_arc_angle(-math.pi / 2)
            corners = [(begin + radius, low, turn), (begin, low + radius, 0.0), (begin, high - radius, turn), (begin + radius, high, 0.0)]
            drawing.curve(place([(half, low, 0.0), *corners, (half, high, 0.0)]), pen)
            along.append(begin)
        else:
            for v in (low, high):
                drawing.line([(x_of(0.0), v), (x_of(half), v)], pen)
        heights += [(v, half) for v in (low, high)]
    heights = [pair for i, pair in enumerate(sorted(heights)) if not i or pair[0] - sorted(heights)[i - 1][0] > _SAME_MM]
    heights_beside(drawing, [0.0, *end.tips_mm, width], x_of(0.0), outer)
    if heights:
        heights_beside(drawing, [v for v, _ in heights], x_of(half), inner, [x_of(d) for _, d in heights])
    lengths_below(drawing, along, far=far)
    name_x = x_of(0.0) * drawing.scale
    deep = max((line_of_text(figure(d), FIGURE_MM)[2] for d in along), default=0.0)
    drawing.words(end.name, name_x, min(-20.5, _BELOW_MM - deep - 3.2), 2.6, "start" if far is None else "end")


def _cut_at(parts: Sequence[Sequence[Vertex]], at: float) -> list[tuple[float, float]]:
    """Return the spans of v in which areas lie with a straight side on the line ``d = at``, ascending."""
    found = []
    for part in parts:
        on = [v for d, v, _ in part if abs(d - at) < _SAME_MM]
        if len(on) > 1 and max(on) - min(on) > _SAME_MM:
            found.append((min(on), max(on)))
    return sorted(found)


def _left_of(spans: Sequence[tuple[float, float]], width: float) -> list[tuple[float, float]]:
    """Return what spans leave of 0 to ``width``."""
    ends = [0.0, *(v for span in spans for v in span), width]
    return [(first, last) for first, last in zip(ends[::2], ends[1::2], strict=True) if last - first > _SAME_MM]


def _zigzag(drawing: Drawing, x: float, width: float) -> None:
    """A line of break: the board goes on behind it."""
    step = 1.6 / drawing.scale
    middle = width / 2
    tear = [(x, middle - step), (x + step, middle - step / 3), (x - step, middle + step / 3), (x, middle + step)]
    drawing.line([(x, -step), *tear, (x, width + step)], "thin")


def section_view(board: Board, scale: float, end: Literal["first", "last"] = "first") -> Drawing:
    """Return the end grain of a board: the front end of a side, the left or right end of a front or back."""
    piece = board.piece
    length, width, thick = piece.size_mm
    waste, wood, hidden = section_of(piece)
    side = "side" in piece.role
    seen: Seen = "front" if side else "left" if end == "first" else "right"
    # Which way the thickness runs: seen from the front the left side's outside is left, from the left the front's is right.
    outside_left = {"left side": True, "right side": False, "front": seen == "right", "back": seen == "left"}[piece.role]

    def place(vertices: Sequence[Vertex]) -> list[Vertex]:
        return list(vertices) if outside_left else [(thick - w, v, -bulge) for w, v, bulge in vertices]

    drawing = Drawing([], scale)
    for part in _without(waste, wood):
        drawing.curve(place(part), None, closed=True, fill=WASTE)
    for part in wood:
        drawing.curve(place(part), "outline")
        drawing.line([place(part)[0][:2], place(part)[-1][:2]], "outline")
    for w in (0.0, thick):
        x = w if outside_left else thick - w
        cut = _left_of(_cut_at(wood, w), width) if side else _cut_at(waste, w)
        for first, last in cut:
            drawing.line([(x, first), (x, last)], "hidden")
        for first, last in [] if side else _left_of(cut, width):
            drawing.line([(x, first), (x, last)], "outline")
    drawing.line([(0.0, width), (thick, width)], "hidden" if side else "outline")
    for part in waste if not side else ():
        corners = place(part)
        for here, there in pairwise([*corners, corners[0]]):
            on_face = abs(here[0] - there[0]) < _SAME_MM and (here[0] < _SAME_MM or here[0] > thick - _SAME_MM)
            on_edge = abs(here[1] - there[1]) < _SAME_MM and (here[1] < _SAME_MM or here[1] > width - _SAME_MM)
            if not on_face and not on_edge:
                drawing.line([here[:2], there[:2]], "outline")
    for part in hidden:
        drawing.curve(place(part)[:2], "hidden")
        drawing.curve(place(part)[-2:], "hidden")
    drawing.line([(0.0, 0.0), (thick, 0.0)], "reference")
    if piece.groove is not None:
        low, high, bed = piece.groove.edge_mm, piece.groove.edge_mm + piece.groove.width_mm, thick - piece.groove.depth_mm
        runs_out = _groove_from(seen in ("front", "left"), piece.groove, length) <= 0
        drawing.curve(place(_straight((thick, low), (bed, low), (bed, high), (thick, high))), "outline" if runs_out else "hidden")
    values = sorted(
        {round(v, 6) for part in (wood or waste) for w, v, _ in part if abs(v) > 1e-6 and abs(v - width) > 1e-6 and _deep(w, piece)}
    )
    heights_beside(drawing, [0.0, *values, width], thick, "right")
    marks = sorted({round(w, 6) for part in waste for w, _, _ in part if 1e-6 < w < thick - 1e-6} | {thick})
    lengths_below(drawing, marks, far=None if outside_left else thick)
    if piece.groove is not None:
        deep = max(line_of_text(figure(w), FIGURE_MM)[2] for w in marks)
        drawing.words(f"groove {figure(piece.groove.depth_mm)} deep", thick * scale / 2, min(-20.5, _BELOW_MM - deep - 3.2), FIGURE_MM)
    beyond = thick * scale + _LEADER_MM + 3.0 + max(line_of_text(figure(v), FIGURE_MM)[2] for v in (0.0, *values, width))
    drawing.words("outside", -3.4 if outside_left else beyond, width * scale / 2, 2.2, "middle", upright=True)
    name = {"front": "front end", "left": "left end", "right": "right end"}[seen]
    return _titled(drawing, name.upper(), plan_icon(piece.role, seen))


def _straight(*points: tuple[float, float]) -> list[Vertex]:
    return [(x, y, 0.0) for x, y in points]


def _without(waste: Sequence[Sequence[Vertex]], wood: Sequence[Sequence[Vertex]]) -> list[Sequence[Vertex]]:
    """Return areas of waste less the wood that stands before them."""
    if not wood:
        return list(waste)
    grounds = (shapely.Polygon(flattened(part, closed=True)) for part in waste)
    left = shapely.unary_union(list(grounds)) - shapely.unary_union([shapely.Polygon(flattened(part, closed=True)) for part in wood])
    return [[(x, y, 0.0) for x, y in part.exterior.coords[:-1]] for part in shapely.get_parts(left)]


def bottom_views(board: Board, scale: float) -> list[Drawing]:
    """Return the bottom from above, its front edge down, and where its corners are cut back the left ones enlarged."""
    length, width, _ = board.piece.size_mm
    outline = board.piece.outline or ((0.0, 0.0), (length, 0.0), (length, width), (0.0, width))
    drawing = Drawing([], scale)
    base = min(v for _, v in outline)
    front = [u for u, v in outline if v - base < _SAME_MM]
    drawing.line([(min(front), base), (max(front), base)], "reference")
    edge_sign(drawing, (0.14 * length, base), (0.0, -1.0))
    for here, there in pairwise([*outline, outline[0]]):
        if max(here[1], there[1]) - base > _SAME_MM:
            drawing.line([here, there], "outline")
    heights_beside(drawing, [0.0, width], 0.0, "left")
    lengths_below(drawing, [0.0, length])
    drawing.words("front edge", length / 2 * scale, 4.0, 2.4)
    drawing.words("rear edge", length / 2 * scale, width * scale - 4.0, 2.4)
    found = [_titled(drawing, "BOTTOM FROM ABOVE", plan_icon("bottom", "above"))]
    for name, low, high in (("front", 0.0, width / 2), ("rear", width / 2, width)):
        corner = [(u, v) for u, v in outline if u < length / 2 and low <= v <= high]
        if len(corner) > 1:
            found.append(_corner(name, corner, (0.0, 0.0 if name == "front" else width), scale))
    return found


def _corner(name: str, steps: Sequence[tuple[float, float]], tip: tuple[float, float], scale: float) -> Drawing:
    """Return a left corner of the bottom, enlarged; ``steps`` run round the outline from the front left, ``tip`` is the sawn corner."""
    front = tip[1] == 0.0
    if front:  # the outline begins here, at the front edge
        side = next(i for i, (u, _) in enumerate(steps) if u < _SAME_MM)
        steps = [*steps[side:], *steps[:side]]
    else:
        steps = steps[::-1]
    # Now from the side edge to the front or rear edge.
    inwards = 1.0 if front else -1.0
    (u0, v0), (u1, v1) = steps[0], steps[-1]
    start, end = (u0, v0 + inwards * _BEYOND_MM), (u1 + _BEYOND_MM, v1)
    drawing = Drawing([], _CORNER_SCALE)
    drawing.area([*steps, tip], WASTE)
    drawing.line([start, *steps], "outline")
    drawing.line([steps[-1], end], "reference" if front else "outline")
    drawing.line([start, (end[0], start[1]), end], "thin")
    drawing.line([steps[0], tip, steps[-1]], "hidden")
    if front:
        edge_sign(drawing, (u1 + _BEYOND_MM / 2, v1), (0.0, -1.0))
    us, vs = (sorted({round(step[i], 6) for step in (*steps, tip)}) for i in (0, 1))
    heights_beside(drawing, vs, 0.0, "left")
    lengths_below(drawing, us, min(tip[1], start[1]))
    low_x, low_y, _, _ = drawing.bounds_mm()
    for i, told in enumerate((f"{bare(_CORNER_SCALE / scale)} times the sheet's scale", "the right one is its mirror image")):
        drawing.words(told, low_x, low_y - 4.0 * (i + 1), 2.2, "start")
    return _titled(drawing, f"{name} left corner".upper(), plan_icon("bottom", "above"))


def _deep(w: float, piece: Piece) -> bool:
    """Whether a corner of the waste is one that is marked: at the wide end of sockets, on the outside face of tails and pins."""
    if "side" in piece.role or piece.role == "back":
        return w < 1e-6
    return w < piece.size_mm[2] - 1e-6
