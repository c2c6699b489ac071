"""Through pins: the back stands upright, outside face to the operator, and a straight cutter clears the sockets.

In the machine frame the outside face lies at ``Y = -back``, the backing at ``Y = 0``. The cutter comes in sideways from
the operator's side at every level, so it never plunges.
"""

from __future__ import annotations

import math

from camtools.drawer.boards import Tail, Through
from camtools.faults import CannotCut, Fault
from camtools.geometry.through import PinSocket, pin_socket_of
from camtools.toolpath.drawn_cut import AIR_MM, OVERLAP, OVERRUN_MM, DrawnCut, even_steps, levels_of
from camtools.toolpath.moves import Cut
from camtools.toolpath.tails import across

__all__ = ["pins_cut"]

_LEFT_MM = 0.3  # left on the walls by the passes in the middle
_EDGE_MM = 1.0  # how far a socket that is open at the edge is cleared beyond it


class _Walls:
    """Where the cutter's centre may go in one socket: between two walls, at any distance ``y`` from the outside face.

    A socket that is open at the board's edge has an upright line in place of a wall.
    """

    def __init__(self, socket: PinSocket, joint: Through, edge: float | None, edge_is_low: bool) -> None:
        self._socket = socket
        radius = joint.straight.diameter_mm / 2
        # Past its contact with the wall the centre lies nearer to the outside face, as the wall leans.
        lean = math.hypot(1.0, socket.slope)
        enough = joint.back_mm - radius * socket.slope / lean
        self.far = joint.back_mm + OVERRUN_MM
        self._open: tuple[float | None, float | None] = (None, None)
        if edge is None:
            self.far = min(self.far, socket.apex_mm)
            if self.far < enough:
                widest = 2 * (socket.half_mm(joint.back_mm) + radius * lean) * lean
                raise CannotCut(
                    Fault(
                        f"through socket at {socket.middle_mm:.2f} mm",
                        "the straight cutter is too thick for the narrow end of the socket",
                        value=f"{joint.straight.diameter_mm:.4g} mm",
                        limit=f"{widest:.2f} mm",
                        remedy="take a thinner straight cutter or wider tails",
                    )
                )
        elif edge_is_low:
            self._open = (min(edge - _EDGE_MM + radius, socket.middle_mm + socket.half_mm(self.far)), None)
        else:
            self._open = (None, max(edge + _EDGE_MM - radius, socket.middle_mm - socket.half_mm(self.far)))

    def low(self, y: float) -> float:
        return self._socket.middle_mm - self._socket.half_mm(y) if self._open[0] is None else self._open[0]

    def high(self, y: float) -> float:
        return self._socket.middle_mm + self._socket.half_mm(y) if self._open[1] is None else self._open[1]

    def depth_at(self, x: float) -> float:
        """How far a line at ``x`` may go in and leave the walls some wood."""
        depth = self.far
        if self._open[0] is None:
            depth = min(depth, (x - self.low(0.0) - _LEFT_MM) / self._socket.slope)
        if self._open[1] is None:
            depth = min(depth, (self.high(0.0) - x - _LEFT_MM) / self._socket.slope)
        return depth


def pins_cut(joint: Through, stop: str, clearance_mm: float) -> Cut:
    """Cut every socket of one end of the back, level by level: a light pass along the face, the middle, the walls.

    Raises
    ------
    CannotCut
        If the cutter is too thick for the narrow end of a socket.
    """
    cutter, back = joint.straight, joint.back_mm
    radius = cutter.diameter_mm / 2
    lift = joint.raise_mm
    width = joint.width_mm - lift
    edges = (0.0, width) if stop == "left" else (-width, 0.0)
    tails = [Tail(tail.middle_mm - lift, tail.width_mm) for tail in joint.tails]
    start = -(radius + AIR_MM)
    skim = -(radius - joint.light_pass_mm)
    pen = DrawnCut(cutter, clearance_mm)
    levels = levels_of(joint.side_mm + joint.proud_mm, cutter)
    for low, high in across(tails, stop):
        edge = edges[0] if low <= edges[0] else edges[1] if high >= edges[1] else None
        walls = _Walls(pin_socket_of(joint, Tail((low + high) / 2, high - low)), joint, edge, low <= edges[0])
        pen.over(walls.low(start), start - back)
        for level in levels:
            pen.to(walls.low(start), start - back)
            pen.height(level)
            if joint.light_pass_mm:
                pen.to(walls.low(skim), skim - back)
                pen.to(walls.high(skim), skim - back)
                pen.to(walls.high(skim), start - back)
            for x in even_steps(walls.low(0.0), walls.high(0.0), cutter.diameter_mm * OVERLAP)[1:-1]:
                depth = walls.depth_at(x)
                if depth > -radius:
                    pen.to(x, start - back)
                    pen.to(x, depth - back)
                    pen.to(x, start - back)
            pen.to(walls.low(start), start - back)
            pen.to(walls.low(walls.far), walls.far - back)
            pen.to(walls.high(walls.far), walls.far - back)
            pen.to(walls.high(start), start - back)
    depth = joint.side_mm + joint.proud_mm
    return pen.cut(f"through pins, {depth:.4g} mm deep in {len(levels)} passes, entered from your side")
