"""The corners of a bottom that are cut back: the panel lies flat, a straight cutter clears each notch to chips and goes right through.

A notch lies at a corner, so the cutter comes in from beside the board and never plunges; at its last level it sinks a little into the waste
sheet below, on a slope. It goes round with the wood that stays on its left, but for a light way along the edges that goes before. Where
walls meet, it would leave its own rounding, and the corner would not go over the end of a groove: there it runs on by its radius into the
end of a tongue, where the groove hides it.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import partial

from camtools.drawer.boards import Corners, Notch
from camtools.geometry.curves import Point2
from camtools.toolpath.drawn_cut import AIR_MM, OVERLAP, DrawnCut, levels_of
from camtools.toolpath.moves import Air, Cut
from camtools.wording import Told

__all__ = ["clear_of_stop_mm", "corners_cut"]


def clear_of_stop_mm(corners: Corners) -> float:
    """Return how far an end must stand beyond the stop, so that the cutter passes it at the corner."""
    ways = (way for notch in corners.notches for way in _ways(_steps(notch), corners, mirrored=False))
    return max(u for way in ways for u, _ in way) + _beside_mm(corners)


def corners_cut(corners: Corners, size_mm: Sequence[float], stop: str, air: Air) -> Cut:
    """Cut back the corners at one end of a bottom, which lies away from the operator, first the one at the stop.

    Parameters
    ----------
    size_mm
        Length, width and thickness of the bottom.
    stop
        "left" or "right": from which machine X is counted. The reference edge lies at it.
    """
    pen = DrawnCut(corners.cutter, air)
    depth = size_mm[2] + corners.below_mm
    levels = levels_of(depth, corners.cutter)
    light_mm = min(corners.light_mm, corners.cutter.depth_per_pass_mm)
    if light_mm:  # a shallow one first, so that the upper face does not splinter
        levels = [-light_mm, *(z - light_mm for z in levels_of(depth - light_mm, corners.cutter))]
    notches = [notch for notch in corners.notches if air.takes(_across(size_mm[1] if notch.end == "rear" else 0.0, stop))]
    for notch in notches:
        far = notch.end == "rear"
        placed = partial(_placed, width_mm=size_mm[1], far=far, stop=stop)
        ways = _ways(_steps(notch), corners, mirrored=(stop == "right") != far)
        _clear(pen, [list(map(placed, way)) for way in ways], levels, placed((-_beside_mm(corners),) * 2))
    what = f"{len(notches)} corners" if len(notches) > 1 else "one corner"
    return pen.cut(
        Told(
            f"{what} cut back, all of the waste to chips, in {len(levels)} levels from the edge in, through the board and {{:mm}} into the "
            "waste sheet under it",
            (corners.below_mm,),
        )
    )


def _steps(notch: Notch) -> tuple[Point2, ...]:
    """Return the rectangles from the corner that a notch is made of, each by its reach along ``u`` and ``v``; one where it is square."""
    along_side, along_end = (notch.side_deep_mm, notch.side_mm), (notch.end_mm, notch.end_deep_mm)
    return (along_side, along_end) if notch.stepped else (along_side,)


def _placed(place: Point2, width_mm: float, far: bool, stop: str) -> Point2:
    """Bring a place of a corner, ``(along u, along v)`` from it, into the machine frame. docs/joinery.md section 3."""
    across = width_mm - place[1] if far else place[1]
    return _across(across, stop), -place[0]


def _across(v_mm: float, stop: str) -> float:
    """Return X of a place so far from the reference edge."""
    return v_mm if stop == "left" else -v_mm


def _ways(steps: Sequence[Point2], corners: Corners, mirrored: bool) -> list[list[Point2]]:
    """Return the ways round a notch, each from air to air: a light one along end and edge, then from outside in to the walls."""
    radius = corners.cutter.diameter_mm / 2
    over_mm = max(min(step) for step in steps) - 2 * radius  # what one way leaves of the waste
    count = max(0, math.ceil(over_mm / (OVERLAP * 2 * radius) - 1e-9))
    ways = [_way(steps, radius, over_mm * i / count if count else 0.0, first=i == count) for i in range(count, -1, -1)]
    light = [_light_way(steps, radius, corners.light_mm)] if corners.light_mm else []
    return [*light, *(way[::-1] if mirrored else way for way in ways)]


def _way(steps: Sequence[Point2], radius: float, off_mm: float, *, first: bool) -> list[Point2]:
    """Return the way of the cutter's axis, so far off the walls; along them it runs on where two meet.

    The first way looks in at the board's very corner too, so that no block is left there.
    """
    out, back = -(radius + AIR_MM), radius + off_mm
    way = [(out, steps[0][1] - back)]
    for i, (u, v) in enumerate(steps):
        if i:
            turn = (way[-1][0], v - back)
            way.append(turn)
            if first and min(turn) > 0.0 and math.hypot(*turn) > radius:
                way += [(turn[0] / 2, turn[1] / 2), turn]
        corner = (u - back, v - back)
        way.append(corner)
        if not off_mm:
            way += [(u, v - back) if i else (u - back, v), corner]
    return [*way, (way[-1][0], out)]


def _light_way(steps: Sequence[Point2], radius: float, light_mm: float) -> list[Point2]:
    """Return a way that cuts ``light_mm`` deep into both edges of the board, just as far as the others open them."""
    (first_u, first_v), (last_u, last_v) = steps[0], steps[-1]
    light_mm = min(light_mm, radius)
    chord = math.sqrt(radius**2 - (radius - light_mm) ** 2)
    along_v = first_v + _past(first_u, radius) - chord
    along_u = last_u + (_past(last_v, radius) if len(steps) > 1 else 0.0) - chord
    out, at = -(radius + AIR_MM), light_mm - radius
    return [(out, along_v), (at, along_v), (at, at), (along_u, at), (along_u, out)]


def _past(deep_mm: float, radius: float) -> float:
    """Return how far the end of a tongue that is so long is cut back beyond its line at the board's edge, where the cutter runs on."""
    return math.sqrt(max(0.0, radius**2 - (deep_mm - radius) ** 2))


def _beside_mm(corners: Corners) -> float:
    """Return how far from the board's edge the cutter's axis is when it stands beside it."""
    return corners.cutter.diameter_mm / 2 + AIR_MM


def _clear(pen: DrawnCut, ways: Sequence[Sequence[Point2]], levels: Sequence[float], beside: Point2) -> None:
    """Clear a notch level by level; from the end of a way to the start of the next the cutter goes round the corner, beside the board.

    Parameters
    ----------
    ways
        In the machine frame, each from air to air.
    beside
        Off the board's corner.
    """
    pen.over(*ways[0][0])
    pen.lower(levels[0])
    for level in levels:
        go = pen.to if level == levels[-1] else pen.clear  # it sinks into the sheet last of all
        for way in ways:
            if pen.at[:2] != way[0]:
                if not any(side == here == there for side, here, there in zip(beside, pen.at, way[0], strict=False)):
                    go(*beside, pen.at[2])
                sinks = go == pen.to and pen.at[2] != level
                go(*way[0], level, *([pen.cutter.plunge_mm_min] if sinks else []))
            pen.along(way[1:])
    pen.up()
