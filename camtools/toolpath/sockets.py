"""Half-blind sockets: the front lies flat, inside face up, and the cutter comes in from beyond its end.

In the machine frame the end lies at ``Y = 0`` and the wood at ``Y < 0``. The cutter goes round every socket with the wall
on its left, against its own turning.
"""

from __future__ import annotations

from itertools import zip_longest

from camtools.drawer.boards import HalfBlind, Tail
from camtools.geometry.half_blind import socket_of
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
from camtools.toolpath.tails import across
from camtools.wording import Told

__all__ = ["rough_sockets_cut", "sockets_cut"]

_LEFT_MM = 0.2  # left at a socket's end by the passes in its middle, for the last round to take


def _placed(joint: HalfBlind, stop: str, air: Air) -> list[Tail]:
    """Return the tails whose sockets are cut in this setting where these lie in machine X, from the largest X down."""
    tails = (Tail((low + high) / 2, high - low) for low, high in reversed(across(joint.tails, stop)))
    return [tail for tail in tails if air.takes(tail.middle_mm)]


def sockets_cut(joint: HalfBlind, stop: str, air: Air) -> Cut:
    """Cut every socket of one end: a light pass along the end, passes in the middle where it is wide, then round the wall."""
    cutter = joint.dovetail
    tip = cutter.diameter_mm / 2
    depth = joint.length_mm + joint.free_depth_mm
    narrow = cutter.radius_at(depth)
    near, skim = tip + AIR_MM, tip - joint.light_pass_mm
    inset, back = past_edge(tip, joint.light_pass_mm)
    relief = joint.relief_mm  # beyond both walls at the end, for the square corners of a tail that was cut flat
    pen = DrawnCut(cutter, air)
    for tail in _placed(joint, stop, air):
        socket = socket_of(joint, tail.middle_mm, tail.width_mm)
        low, high, end = socket.low_mm, socket.high_mm, -socket.reach_mm
        middle = even_steps(high, low, 2 * narrow * OVERLAP)[1:-1]
        ends = (low - inset, high + inset) if not middle else (high + inset, low - inset)
        if not pen.at[2] < 0:
            pen.over(ends[0], near)
            pen.clear(ends[0], near, -depth)
        if joint.light_pass_mm:
            pen.clear(ends[0], tip + CLOSE_MM)
            pen.along([(ends[0], skim), (ends[1], skim)])
        for first, second in zip_longest(middle[::2], middle[1::2]):
            pen.clear(first, skim)
            pen.to(first, end + _LEFT_MM)
            if second is not None:
                pen.along([(second, end + _LEFT_MM), (second, OVERRUN_MM)])
            pen.clear(pen.at[0], near)
        if pen.at[1] == skim and not middle:
            pen.to(high, back)
        else:
            pen.clear(high, tip + CLOSE_MM)
        pen.along([(high, end), (high + relief, end), (low - relief, end), (low, end), (low, OVERRUN_MM)])
        pen.clear(low, near)
    if joint.lap_mm == 0.0:
        what = "sockets between pins, right through the board and {:mm} into the waste sheet in one pass, entered from beyond the end"
        return pen.cut(Told(what, (joint.free_depth_mm,)))
    return pen.cut(Told("half-blind sockets, full depth {:mm} in one pass, entered from beyond the end", (depth,)))


def rough_sockets_cut(joint: HalfBlind, stop: str, air: Air) -> Cut | None:
    """Clear sockets with a straight cutter first, stock left on every face; None where it fits in none."""
    cutter = joint.rough
    if cutter is None:
        return None
    radius, stock = cutter.diameter_mm / 2, joint.rough_stock_mm
    pen = DrawnCut(cutter, air)
    tails, cleared = _placed(joint, stop, air), 0
    for tail in tails:
        # The socket is narrowest at the inside face.
        half = tail.width_mm / 2 + joint.clearance_mm - joint.length_mm * joint.dovetail.slope - stock - radius
        if half < 0:
            continue
        cleared += 1
        lines = even_steps(tail.middle_mm + half, tail.middle_mm - half, cutter.diameter_mm * OVERLAP, even=True)
        ends = [_rough_end(joint, tail, line, radius + stock) for line in lines]
        depth = joint.length_mm + joint.free_depth_mm - stock
        clear_slot(pen, lines, radius + AIR_MM, ends, levels_of(depth, cutter))
    return pen.cut(roughed("sockets", cleared, len(tails), stock)) if pen.drawn else None


def _rough_end(joint: HalfBlind, tail: Tail, line: float, keep: float) -> float:
    """Y to which the straight cutter may go along a line and stay ``keep`` off the socket's end and its rounded corner."""
    socket = socket_of(joint, tail.middle_mm, tail.width_mm)
    # The corner is tightest where the dovetail cutter is thinnest, at the inside face.
    room = joint.dovetail.radius_at(joint.length_mm + joint.free_depth_mm) - keep
    beside = max(0.0, abs(line - tail.middle_mm) - (socket.high_mm - socket.low_mm) / 2)
    return -(socket.reach_mm + (max(0.0, room**2 - beside**2) ** 0.5 if beside else room))
