"""Tails, half-blind and through: the dovetail cutter clears the waste between flanks of an upright board, a straight one in a flat board.

In the machine frame the operator's face of the board lies at ``Y = -side``, the backing at ``Y = 0``. The cutter goes
round every gap with the wood on its left, against its own turning, so that it can not pull itself in.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import NamedTuple

from camtools.drawer.boards import Flat, HalfBlind, Tail, TailedJoint, Through
from camtools.geometry.flat_tails import FlatTail, flat_tail_of
from camtools.geometry.half_blind import tail_corner_of
from camtools.geometry.through import flank_offset_mm
from camtools.toolpath.drawn_cut import (
    AIR_MM,
    CLOSE_MM,
    OVERLAP,
    OVERRUN_MM,
    DrawnCut,
    clear_slot,
    even_steps,
    levels_of,
    past_edge,
    roughed,
)
from camtools.toolpath.moves import Air, Cut
from camtools.wording import Told

__all__ = ["Gap", "across", "flat_tails_cut", "gaps_between", "rough_tails_cut", "tails_cut"]

_EDGE_MM = 1.0  # how far the waste is cleared beyond the board's edges
_ENOUGH = 0.7  # of which may be left where that saves a pass


@dataclass(frozen=True, slots=True)
class Gap:
    """Waste across the joint, from one tail's tip to the next; None where it is open at the board's edge."""

    low: float | None
    high: float | None


def across(tails: Sequence[Tail], stop: str) -> list[tuple[float, float]]:
    """Return the tails as spans of machine X, ascending: X grows from a left stop, and falls from a right one."""
    if stop == "left":
        return [(tail.low_mm, tail.high_mm) for tail in tails]
    return [(-tail.high_mm, -tail.low_mm) for tail in reversed(tails)]


def gaps_between(spans: Sequence[tuple[float, float]], edges: tuple[float, float]) -> list[Gap]:
    """Return the waste beside and between the tails. A tail that reaches an edge leaves no waste there."""
    gaps = [Gap(low[1], high[0]) for low, high in pairwise(spans)]
    if spans[0][0] > edges[0]:
        gaps.insert(0, Gap(None, spans[0][0]))
    if spans[-1][1] < edges[1]:
        gaps.append(Gap(spans[-1][1], None))
    return gaps


def _edges(joint: TailedJoint, stop: str) -> tuple[float, float]:
    return (0.0, joint.width_mm) if stop == "left" else (-joint.width_mm, 0.0)


def _gaps(joint: TailedJoint, stop: str, air: Air) -> list[Gap]:
    """Return the waste that is cut in this setting."""
    gaps = gaps_between(across(joint.tails, stop), _edges(joint, stop))
    return [gap for gap in gaps if any(air.takes(x) for x in (gap.low, gap.high) if x is not None)]


class _Corner(NamedTuple):
    """How the centre passes a tail's corner at the operator's face: rounded in a half-blind joint, an edge in a through one."""

    offset_mm: float  # of the centre's line along a flank from that flank at the tip plane
    y: float  # where the centre joins that line
    turn_mm: float  # radius of its way round the corner; 0 for an edge
    inset_mm: float  # how far beyond that line it may stand on the line of the light pass


def _corner_of(joint: HalfBlind | Through) -> _Corner:
    tip, light = joint.dovetail.diameter_mm / 2, joint.light_pass_mm
    if isinstance(joint, Through):
        inset, back = past_edge(tip, light)
        return _Corner(flank_offset_mm(joint), -joint.side_mm - back, 0.0, inset)
    corner = tail_corner_of(joint)
    turn, y = corner.radius_mm, -corner.depth_mm
    return _Corner(corner.offset_mm, y, turn, turn - max(0.0, turn**2 - (turn - light) ** 2) ** 0.5)


def tails_cut(joint: HalfBlind | Through, stop: str, air: Air) -> Cut:
    """Cut every tail of one end: in each gap light passes along its faces, then round it."""
    cutter, side, corner = joint.dovetail, joint.side_mm, _corner_of(joint)
    tip = cutter.diameter_mm / 2
    touch, far = -(side + tip), OVERRUN_MM
    near, skim = touch - AIR_MM, touch + joint.light_pass_mm
    turn, over = corner.turn_mm, tip - joint.light_pass_mm
    chord = (tip**2 - over**2) ** 0.5  # half of what a light pass takes off a face at once
    edges = _edges(joint, stop)
    pen = DrawnCut(cutter, air)

    for gap in _gaps(joint, stop, air):
        low = None if gap.low is None else gap.low + corner.offset_mm
        high = None if gap.high is None else gap.high - corner.offset_mm
        lines = _lines(low, high, edges, cutter.radius_at(joint.length_mm))
        first, last = lines[0], lines[-1]
        upwards = high is None  # the light pass goes towards an open edge of the board, otherwise to where the round begins
        begin = first - corner.inset_mm if upwards else last + corner.inset_mm
        round_begin = begin + (corner.inset_mm - turn) * (1 if upwards else -1) if turn else begin
        if not pen.at[2] < 0:
            pen.over(round_begin, near)
            pen.clear(round_begin, near, -joint.length_mm)
        if joint.light_pass_mm:
            pen.clear(round_begin, touch - CLOSE_MM)
            if turn:
                pen.to(round_begin, touch)
                pen.bend(begin, skim, (round_begin, corner.y), clockwise=not upwards)
            else:
                pen.to(begin, skim)
            if low is None or upwards:  # along the edge of the board too, so that it does not break out
                edge, way = edges[upwards], 1 if upwards else -1
                pen.to(edge + way * chord, skim)
                pen.clear(x := edge + way * over, skim)
                pen.clear(x, -side - chord)
                pen.to(x, far)
                pen.clear(x, near)
            else:
                pen.to(first - corner.inset_mm, skim)
                if turn:
                    pen.bend(first - turn, touch, (first - turn, corner.y), clockwise=True)
        if low is not None and turn:
            if pen.at[1] < touch:
                pen.clear(first - turn, touch - CLOSE_MM)
                pen.to(first - turn, touch)
            pen.bend(first, corner.y, (first - turn, corner.y), clockwise=False)
        elif pen.at[1] > touch:
            pen.to(first, corner.y)
        else:
            pen.clear(first, touch - CLOSE_MM)
        pen.to(first, far)
        inwards = True
        for line in lines[1:]:
            pen.to(line, far if inwards else -side - OVERRUN_MM)
            inwards = not inwards
            if line != last:
                pen.to(line, far if inwards else -side - OVERRUN_MM)
        if high is not None and turn:
            pen.to(last, corner.y)
            end = (last + corner.inset_mm, skim)  # beyond, the light pass has been
            pen.bend(*end, (last + turn, corner.y), clockwise=False)
        elif len(lines) > 1:
            pen.to(last, -side - OVERRUN_MM)
        pen.clear(pen.at[0], near)
    kind = "half-blind" if isinstance(joint, HalfBlind) else "through"
    return pen.cut(Told("{} tails, full depth {:mm} in one pass, entered from your side", (kind, joint.length_mm)))


def _lines(low: float | None, high: float | None, edges: tuple[float, float], narrow_mm: float) -> list[float]:
    """Centre lines through a gap, ascending, an even number, to end on the operator's side; one where it clears the edge."""
    first = edges[0] - _EDGE_MM + narrow_mm if low is None else low
    last = edges[1] + _EDGE_MM - narrow_mm if high is None else high
    if low is None and first > last - _ENOUGH * _EDGE_MM:
        return [last]
    if high is None and last < first + _ENOUGH * _EDGE_MM:
        return [first]
    return even_steps(first, last, 2 * narrow_mm * OVERLAP, even=True)


def rough_tails_cut(joint: HalfBlind | Through, stop: str, air: Air) -> Cut | None:
    """Clear the waste between tails with a straight cutter first, stock left on every face; None where it fits nowhere."""
    cutter = joint.rough
    if cutter is None:
        return None
    radius, stock = cutter.diameter_mm / 2, joint.rough_stock_mm
    # The waste is narrowest at the end of the board, where a proud tail is wider than at the tip plane.
    wider = 0.0 if isinstance(joint, HalfBlind) else joint.proud_mm * joint.dovetail.slope
    keep = radius + stock + wider
    near, far = -(joint.side_mm + radius + AIR_MM), OVERRUN_MM
    edges = _edges(joint, stop)
    pen = DrawnCut(cutter, air)
    gaps, cleared = _gaps(joint, stop, air), 0
    for gap in gaps:
        low = edges[0] - _EDGE_MM + radius if gap.low is None else gap.low + keep
        high = edges[1] + _EDGE_MM - radius if gap.high is None else gap.high - keep
        if gap.low is None:
            low = min(low, high)
        if gap.high is None:
            high = max(low, high)
        if high < low:
            continue
        cleared += 1
        lines = even_steps(low, high, cutter.diameter_mm * OVERLAP, even=True)
        clear_slot(pen, lines, near, [far] * len(lines), levels_of(joint.length_mm - stock, cutter))
    return pen.cut(roughed("gaps between tails", cleared, len(gaps), stock)) if pen.drawn else None


_LEFT_MM = 0.2  # left at the shoulder by the passes in the middle of a gap, for the round to take


def flat_tails_cut(joint: HalfBlind | Through, flat: Flat, stop: str, air: Air) -> Cut:
    """Cut every tail of one end of a board that lies flat, its end at ``Y = 0``: right through, from beyond the end.

    In each gap, level by level, a light pass goes first along the end, and along the board's edge where the gap is open; then passes in
    the middle, and a way round the wall, which runs into each corner of flank and shoulder to relieve it.
    """
    cutter, light, way = flat.straight, joint.light_pass_mm, flat_tail_of(joint, flat)
    depth = joint.side_mm + flat.below_mm
    first = min(light, cutter.depth_per_pass_mm)  # a shallow one, so that the upper face does not splinter
    levels = [*([-first] if first else []), *(z - first for z in levels_of(depth - first, cutter))]
    edges = _edges(joint, stop)
    pen = DrawnCut(cutter, air)
    for gap in reversed(_gaps(joint, stop, air)):
        middle, wall = _flat_ways(gap, way, cutter.diameter_mm / 2, edges)
        scores = _flat_light_ways(gap, way, joint, cutter.diameter_mm / 2, edges) if light else []
        for level in levels:
            for one in (*scores, *middle, wall):
                _flat_pass(pen, one, level, sunk=level < -joint.side_mm)
    kind = "half-blind" if isinstance(joint, HalfBlind) else "through"
    return pen.cut(
        Told(
            f"{kind} tails {{:mm}} long in {len(levels)} levels, {{:mm}} into the waste sheet, entered from beyond the end; corners "
            "relieved",
            (joint.length_mm, flat.below_mm),
        )
    )


def _flat_pass(pen: DrawnCut, way: Sequence[tuple[float, float]], level: float, *, sunk: bool) -> None:
    """Go along a way that begins and ends in air, from beyond the end, where no sheet lies; beside the board it may be sunk in one."""
    out = pen.cutter.diameter_mm / 2 + AIR_MM
    if not pen.drawn:
        pen.over(way[0][0], out)
    elif pen.at[1] < out:
        (pen.to if sunk else pen.clear)(pen.at[0], out)
    pen.clear(way[0][0], out)
    pen.clear(way[0][0], out, level)
    (pen.to if sunk else pen.clear)(*way[0])
    pen.along(way[1:])


def _flat_ways(
    gap: Gap, way: FlatTail, radius: float, edges: tuple[float, float]
) -> tuple[list[list[tuple[float, float]]], list[tuple[float, float]]]:
    """Return the ways in the middle of a gap, and the one round its wall, each from air to air, with the wood that stays on its left."""
    near, shoulder, away = radius + AIR_MM, -way.shoulder_mm, radius + AIR_MM

    def low(y: float) -> float:
        return min(edges[0] - _EDGE_MM + radius, high(y)) if gap.low is None else gap.low + way.beside_mm(-y)

    def high(y: float) -> float:
        return max(edges[1] + _EDGE_MM - radius, low(y)) if gap.high is None else gap.high - way.beside_mm(-y)

    count = max(1, math.ceil((high(shoulder) - low(shoulder)) / (2 * radius * OVERLAP) - 1e-9))
    open_ends = (gap.low is None) + (gap.high is None)
    # Fanned out between the flanks; at an open edge there is no wall, so that a pass goes there too.
    shares = [i / count for i in range(0 if gap.high is None else 1, count + (gap.low is None))] if open_ends or count > 1 else []
    middle = []
    end = shoulder + _LEFT_MM
    lines = [[(high(y) + (low(y) - high(y)) * share, y) for y in (near, end)] for share in shares]
    for i in range(0, len(lines), 2):
        out = lines[i + 1] if i + 1 < len(lines) else lines[i]
        middle.append([*lines[i], *reversed(out)])
    wall = [(high(near), near), (high(shoulder), shoulder)]
    if gap.high is None:
        wall = [(edges[1] + away, shoulder)]
    else:
        wall += [(gap.high - way.relief_mm[0], -way.relief_mm[1]), (high(shoulder), shoulder)]
    if gap.low is None:
        wall.append((edges[0] - away, shoulder))
    else:
        wall += [(low(shoulder), shoulder), (gap.low + way.relief_mm[0], -way.relief_mm[1]), (low(shoulder), shoulder), (low(near), near)]
    return middle, wall


def _flat_light_ways(
    gap: Gap, way: FlatTail, joint: HalfBlind | Through, radius: float, edges: tuple[float, float]
) -> list[list[tuple[float, float]]]:
    """Return the ways of light passes: along the end of the board, then along its edge, down to the shoulder, where the gap is open."""
    near, skim = radius + AIR_MM, max(radius - joint.light_pass_mm, 0.0)
    chord = math.sqrt(radius**2 - skim**2)  # half of what it takes off a face at once
    foot = -joint.length_mm + chord
    first = edges[1] + chord if gap.high is None else gap.high - way.wider_mm - chord
    last = edges[0] - skim if gap.low is None else gap.low + way.wider_mm + chord
    found = [[(first, near), (first, skim), (last, skim)]]
    found[0] += [(last, near)] if gap.low is not None else [(last, foot), (edges[0] - near, foot)]
    if gap.high is None:
        found.append([(edges[1] + near, foot), (edges[1] + skim, foot), (edges[1] + skim, near)])
    return found
