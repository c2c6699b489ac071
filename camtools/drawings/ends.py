"""What is seen at each end of a board: its outline there, the waste, and where a pencil has to go.

Places are ``(d, v)``: ``d`` from the end inwards, ``v`` from the board's own reference edge.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import partial
from typing import Literal

from camtools.drawer.boards import HalfBlind, Piece, Tail, TailedJoint, Through
from camtools.drawings.sheet import vertices_of
from camtools.geometry.curves import Curve
from camtools.geometry.flat_tails import relief_outline
from camtools.geometry.half_blind import socket_of, socket_outline, tail_outline
from camtools.geometry.through import socket_half_width_mm
from camtools.pictures.board_sides import end_names
from camtools.templates.outlines import Vertex

__all__ = ["End", "Face", "ends_of", "outline_of", "section_of"]

Face = Literal["outside", "inside"]
Edges = Callable[[Tail, float], tuple[float, float]]  # of a tail at a depth
_SAMPLES = 12  # along a tail's edge on the inside face, which is slightly curved, most near the baseline


@dataclass(frozen=True, slots=True)
class End:
    """One end of a board on one face."""

    name: str
    edge: tuple[Vertex, ...]  # the board's outline from the reference edge to the other
    waste: tuple[tuple[Vertex, ...], ...]  # closed areas to be cut away
    baseline_mm: float | None  # from the end
    tips_mm: tuple[float, ...]  # pencil marks along the end
    bases_mm: tuple[float, ...]  # and along the baseline


def ends_of(piece: Piece, face: Face) -> tuple[End, End]:
    """Return the end at u = 0 and the one at u = length as they look on a face."""
    width = piece.size_mm[1]
    first, last = end_names(piece.role)
    plain = End("", ((0.0, 0.0, 0.0), (0.0, width, 0.0)), (), None, (), ())
    ends = [plain, plain]
    blind, through = piece.half_blind, piece.through
    if "side" in piece.role:
        if blind is not None:
            ends[0] = _tails(blind, blind.length_mm, *_blind_tails(blind, face))
        if through is not None:
            ends[1] = _tails(through, through.length_mm, (0.0, through.length_mm), partial(_through_tail, through))
    elif blind is not None and face == "inside":
        ends = [_sockets(width, joint) for joint in (blind, piece.right or blind) if isinstance(joint, HalfBlind)]
    elif through is not None:
        ends = [_pins(width, joint, face) for joint in (through, piece.right or through) if isinstance(joint, Through)]
    return replace(ends[0], name=first), replace(ends[1], name=last)


def outline_of(piece: Piece, face: Face) -> list[tuple[float, float]]:
    """Return a face's outline ``(u, v)``: up along the first end, down along the other. Sockets of a front leave its outline whole."""
    length, width, _ = piece.size_mm
    if piece.role == "front":
        return [(0.0, 0.0), (0.0, width), (length, width), (length, 0.0)]
    first, last = ends_of(piece, face)
    return [(d, v) for d, v, _ in first.edge] + [(length - d, v) for d, v, _ in reversed(last.edge)]


def _blind_tails(joint: HalfBlind, face: Face) -> tuple[Sequence[float], Edges]:
    """Return depths from the tip inwards, and what tells a tail's low and high edge there on a face."""

    def edges(tail: Tail, depth: float) -> tuple[float, float]:
        curve = tail_outline(joint, tail.middle_mm, tail.width_mm, depth)
        # On the outside face the outline starts and ends; on the inside face its rounded corners begin.
        start, end = (curve[2].start, curve[2].end) if rounded else (curve[0].start, curve[-1].end)
        return start[0], end[0]

    rounded = face == "inside" and joint.flat is None
    steps = range(_SAMPLES + 1) if rounded else (0, _SAMPLES)
    return [joint.length_mm * (1 - (1 - i / _SAMPLES) ** 2) for i in steps], edges


def _through_tail(joint: Through, tail: Tail, depth: float) -> tuple[float, float]:
    half = tail.width_mm / 2 + (joint.proud_mm - depth) * joint.dovetail.slope
    return (0.0 if tail.low_mm <= 0 else tail.middle_mm - half, joint.width_mm if tail.high_mm >= joint.width_mm else tail.middle_mm + half)


def _through_socket(joint: Through, tail: Tail, y: float, width: float) -> tuple[float, float]:
    """Return low and high edge of a socket between pins at a depth from the outside face."""
    half, middle = socket_half_width_mm(joint, tail, y), tail.middle_mm - joint.raise_mm
    return (0.0 if tail.low_mm <= joint.raise_mm else middle - half, width if tail.high_mm >= joint.width_mm else middle + half)


def _tails(joint: TailedJoint, baseline: float, depths: Sequence[float], edges: Edges) -> End:
    width = joint.width_mm
    edge: list[Vertex] = []
    waste: list[tuple[Vertex, ...]] = []
    below = _corners([(0.0, 0.0), (baseline, 0.0)])  # the edge of the waste under the next tail, tip first
    tips: list[float] = []
    bases: list[float] = []
    for tail in joint.tails:
        low, high = (_flank([(depth, edges(tail, depth)[side]) for depth in depths], joint, (-1, 1)[side]) for side in (0, 1))
        if low[0][1] > 0:
            if not edge:
                edge.append((baseline, 0.0, 0.0))
            waste.append((*below, *_back(low)))
        edge += (*_back(low), *high)
        tips += [low[0][1], high[0][1]]
        bases += edges(tail, depths[-1])
        below = high
    if tips[-1] < width:
        waste.append((*below, *_corners([(baseline, width), (0.0, width)])))
        edge.append((baseline, width, 0.0))
    return End("", tuple(edge), tuple(waste), baseline, _inside(tips, width), _inside(bases, width))


def _flank(places: Sequence[tuple[float, float]], joint: TailedJoint, way: int) -> tuple[Vertex, ...]:
    """Return a tail's flank from tip to base, with the relief of its corner where it was cut flat; the waste lies on the side ``way``."""
    (baseline, base), flat = places[-1], joint.flat
    if flat is None or not 0.0 < base < joint.width_mm:
        return _corners(places)
    shoulder, first, corner, last, flank = relief_outline(flat, joint.dovetail.angle_deg)
    bulge = way * math.tan(math.pi / 8)  # a quarter of a turn to the corner, and another from it
    vertices = ((*flank, 0.0), (*last, bulge), (*corner, bulge), (*first, 0.0), (*shoulder, 0.0))
    return (*_corners(places[:-1]), *((baseline + u, base + way * x, turn) for x, u, turn in vertices))


def _back(vertices: Sequence[Vertex]) -> tuple[Vertex, ...]:
    """Return vertices in the opposite order, their arcs turned round: a bulge stands at the vertex where its arc begins."""
    bulges = [*(-bulge for _, _, bulge in vertices[-2::-1]), 0.0]
    return tuple((d, v, bulge) for (d, v, _), bulge in zip(reversed(vertices), bulges, strict=True))


def _sockets(width: float, joint: HalfBlind) -> End:
    waste = tuple(_swapped(socket_outline(joint, tail.middle_mm, tail.width_mm, 0.0)) for tail in joint.tails)
    edge = ((0.0, 0.0, 0.0), *(vertex for part in waste for vertex in part), (0.0, width, 0.0))
    return End("", edge, waste, joint.side_mm, tuple(v for part in waste for v in (part[0][1], part[-1][1])), ())


def _pins(width: float, joint: Through, face: Face) -> End:
    depth = joint.side_mm + joint.proud_mm
    y = 0.0 if face == "outside" else joint.back_mm
    waste: list[tuple[Vertex, ...]] = []
    edge: list[Vertex] = []
    for tail in joint.tails:
        low, high = _through_socket(joint, tail, y, width)
        corners = _corners([(0.0, low), (depth, low), (depth, high), (0.0, high)])
        if joint.flat is not None:
            corners = _flat_socket(joint.laid, tail, joint.raise_mm, joint.back_mm - y)
        if not edge and low > 0:
            edge.append((0.0, 0.0, 0.0))
        edge += corners[1 if low <= 0 else 0 : -1 if high >= width else len(corners)]
        waste.append(corners)
    if edge[-1][1] < width:
        edge.append((0.0, width, 0.0))
    tips = [v for part in waste for v in (part[0][1], part[-1][1])]
    return End("", tuple(edge), tuple(waste), depth, _inside(tips, width), ())


def _flat_socket(joint: HalfBlind, tail: Tail, raise_mm: float, depth: float) -> tuple[Vertex, ...]:
    """Return a socket of a back that was cut flat, at a depth from its inside face; the lowest may be open at the edge."""
    vertices = _swapped(socket_outline(joint, tail.middle_mm - raise_mm, tail.width_mm, depth))
    if tail.low_mm > raise_mm:
        return vertices
    end = max(d for d, _, _ in vertices)
    return ((0.0, 0.0, 0.0), (end, 0.0, 0.0), *vertices[3:])


def _inside(values: Sequence[float], width: float) -> tuple[float, ...]:
    return tuple(value for value in values if 0.0 < value < width)


def _corners(points: Sequence[tuple[float, float]]) -> tuple[Vertex, ...]:
    return tuple((d, v, 0.0) for d, v in points)


def _swapped(curve: Curve) -> tuple[Vertex, ...]:
    """Turn ``(x, y)`` across the joint and inwards into ``(d, v)``: a mirror, so arcs turn the other way."""
    return tuple((y, x, -bulge) for x, y, bulge in vertices_of(curve))


def section_of(piece: Piece) -> tuple[list[tuple[Vertex, ...]], list[tuple[Vertex, ...]], list[tuple[Vertex, ...]]]:
    """Return what is seen on a board's end grain as ``(w, v)``: waste, areas of wood nearest to the eye, hidden lines.

    The end is the front end of a side, and either end of a front or back.
    """
    _, width, thick = piece.size_mm
    blind, through = piece.half_blind, piece.through
    waste: list[tuple[Vertex, ...]] = []
    wood: list[tuple[Vertex, ...]] = []
    hidden: list[tuple[Vertex, ...]] = []
    if "side" in piece.role and blind is not None:
        waste.append(_corners([(0.0, 0.0), (thick, 0.0), (thick, width), (0.0, width)]))
        for tail in blind.tails:
            wood.append(_swapped(tail_outline(blind, tail.middle_mm, tail.width_mm, 0.0)))
            hidden.append(_swapped(tail_outline(blind, tail.middle_mm, tail.width_mm, blind.length_mm)))
    elif blind is not None:
        waste += [_blind_socket(blind, tail, thick) for tail in blind.tails]
    elif through is not None:
        for tail in through.tails:
            (low, high), (low_in, high_in) = (_through_socket(through, tail, y, width) for y in (0.0, thick))
            waste.append(_corners([(0.0, low), (thick, low_in), (thick, high_in), (0.0, high)]))
    return waste, wood, hidden


def _blind_socket(joint: HalfBlind, tail: Tail, thick: float) -> tuple[Vertex, ...]:
    socket, depth = socket_of(joint, tail.middle_mm, tail.width_mm), joint.length_mm + joint.free_depth_mm
    narrow, wide = joint.dovetail.radius_at(depth), joint.dovetail.diameter_mm / 2
    bottom = thick - depth
    return _corners(
        [(thick, socket.low_mm - narrow), (bottom, socket.low_mm - wide), (bottom, socket.high_mm + wide), (thick, socket.high_mm + narrow)]
    )
