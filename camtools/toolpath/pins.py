"""Through pins: the back stands upright, outside face to the operator, and a straight cutter clears the sockets.

In the machine frame the outside face lies at ``Y = -back``, the backing at ``Y = 0``. A light pass along the face comes first, where
fibres would break out. Then the cutter goes round and round in the socket and sinks as it goes, all walls on its left, against its
own turning, and a little wood left on them: in so small a room a machine spends most of its time in gathering speed, and a round
halts least. At the bottom come a level round, and a last one along the walls at full depth.
"""

from __future__ import annotations

import itertools
import math
from itertools import pairwise

from camtools.drawer.boards import Tail, Through
from camtools.faults import CannotCut, Fault
from camtools.geometry.through import PinSocket, pin_socket_of
from camtools.toolpath.drawn_cut import AIR_MM, CLOSE_MM, OVERRUN_MM, RAMP, THIN_MM, DrawnCut, even_steps, levels_of
from camtools.toolpath.moves import Air, Cut
from camtools.toolpath.tails import across
from camtools.wording import Told, mm

__all__ = ["pins_cut"]

_LEFT_MM = 0.15  # left on the walls by the rounds
_OVERLAP_MM = 0.1  # of neighbouring passes
_EDGE_MM = 1.0  # how far a socket that is open at the edge is cleared beyond it

Place = tuple[float, float]


class _Walls:
    """Where the cutter's centre may go in one socket: between two walls, at any distance ``y`` from the outside face.

    A socket that is open at the board's edge has an upright line in place of a wall.
    """

    def __init__(self, socket: PinSocket, joint: Through, edge: float | None, edge_is_low: bool) -> None:
        self._socket = socket
        self._back = joint.back_mm
        self.edge = edge
        self.edge_is_low = edge_is_low
        self._radius = radius = joint.straight.diameter_mm / 2
        # Past its contact with the wall the centre lies nearer to the outside face, as the wall leans.
        lean = math.hypot(1.0, socket.slope)
        enough = joint.back_mm - radius * socket.slope / lean
        self.far = joint.back_mm + OVERRUN_MM
        self._open: tuple[float | None, float | None] = (None, None)
        if edge is None:
            self.far = min(self.far, socket.apex_mm)
            if self.far < enough:
                widest = 2 * (socket.half_mm(joint.back_mm) + radius * lean) * lean
                problem = "the straight cutter is too thick for the narrow end of the socket"
                found = mm(joint.straight.diameter_mm)
                raise CannotCut(Fault(f"through socket at {mm(socket.middle_mm)}", problem, value=found, limit=mm(widest)))
        elif edge_is_low:
            self._open = (min(edge - _EDGE_MM + radius, socket.middle_mm + socket.half_mm(self.far)), None)
        else:
            self._open = (None, max(edge + _EDGE_MM - radius, socket.middle_mm - socket.half_mm(self.far)))

    def low(self, y: float) -> float:
        return self._socket.middle_mm - self._socket.half_mm(y) if self._open[0] is None else self._open[0]

    def high(self, y: float) -> float:
        return self._socket.middle_mm + self._socket.half_mm(y) if self._open[1] is None else self._open[1]

    def chord(self, y: float) -> Place:
        """Low and high X of a line before the face, ``y`` < 0: as far as the cutter may go and not cut the edge of wall and face."""
        reach = self._radius * math.hypot(1.0, self._socket.slope) - (self._radius**2 - y**2) ** 0.5
        low, high = self.low(0.0), self.high(0.0)
        return low - reach if self._open[0] is None else low, high + reach if self._open[1] is None else high

    def ring(self) -> tuple[list[Place], list[Place], list[Place]]:
        """Corners ``(x, y)`` of a round, clockwise as seen from above: along the face, before the backing, on the way back.

        There are none where a round has no room. What it leaves along the walls and in their corners is nowhere thicker than the
        last round may take at full depth.
        """
        radius, room = self._radius, THIN_MM - _LEFT_MM
        beside = (radius**2 - (radius - room) ** 2) ** 0.5  # so far off its middle the cutter's rim falls back by that much
        near = beside / 2  # about half of the room goes to the walls, which part towards the face
        while radius - (radius**2 - near**2) ** 0.5 + near * self._socket.slope > room:
            near -= 0.1
        far = self._back - beside
        if far <= near or self._high(far) <= self._low(far):
            return [], [], []
        rows = self._rows(near, far)
        inner: list[Place] = []
        for y in rows[-2:0:-1]:  # on the way back along the high wall, into what would stay in the middle
            if (end := self._low(y) + radius * (1 - self._socket.slope) - _OVERLAP_MM) < self._high(y) - radius:
                inner += [(self._high(y), y), (end, y), (self._high(y), y)]
        front = [(self._high(near), near), *reversed(self._bowed(near, near, rows[0])), (self._low(near), near)]
        return front, [(self._low(far), far), *self._bowed(near, far, rows[-1]), (self._high(far), far)], inner

    def _rows(self, near: float, far: float) -> list[float]:
        """Y of the middle of a round's passes along X, of those at the face and at the backing first and last."""
        step = 2 * self._radius - _OVERLAP_MM
        first = max(near, self._radius - _OVERLAP_MM)
        last = min(far, first + step)
        if last < self._back - self._radius - THIN_MM / 2:  # the last round takes what stands before the backing
            last = max(first, self._back - self._radius + _OVERLAP_MM)
        return even_steps(first, last, step)

    def _bowed(self, near: float, y: float, middle: float) -> list[Place]:
        """Places of a pass along X between its ends at the walls, from low to high X, where it must leave the line from end to end."""
        if y == middle or self._high(near) - self._low(near) <= 2 * self._radius - _OVERLAP_MM:  # the passes along the walls meet
            return []
        low, high = self._low(y), self._high(y)
        lean = max(0.0, y - (middle - self._radius)) * self._socket.slope  # of the wall, from where the pass ends to where the next begins
        inner = min(self._radius - lean - _OVERLAP_MM, (high - low) / 2)
        return [(low + inner, middle), (high - inner, middle)] if inner < (high - low) / 2 else [((low + high) / 2, middle)]

    def _low(self, y: float) -> float:
        return self.low(y) + _LEFT_MM

    def _high(self, y: float) -> float:
        return self.high(y) - _LEFT_MM


def pins_cut(joint: Through, stop: str, air: Air) -> Cut:
    """Cut every socket of one end of the back.

    Raises
    ------
    CannotCut
        If the cutter is too thick for the narrow end of a socket.
    """
    cutter, back = joint.straight, joint.back_mm
    lift = joint.raise_mm
    width = joint.width_mm - lift
    edges = (0.0, width) if stop == "left" else (-width, 0.0)
    tails = [Tail(tail.middle_mm - lift, tail.width_mm) for tail in joint.tails]
    depth = joint.side_mm + joint.proud_mm
    radius = cutter.diameter_mm / 2
    near, out = -(radius + AIR_MM) - back, -radius / 2  # before the face: in air, and where the wall's end is cut
    pen = DrawnCut(cutter, air)
    for low, high in across(tails, stop):
        if not air.takes((low + high) / 2):
            continue
        edge = edges[0] if low <= edges[0] else edges[1] if high >= edges[1] else None
        walls = _Walls(pin_socket_of(joint, Tail((low + high) / 2, high - low)), joint, edge, low <= edges[0])
        last_round = [(walls.low(y), y - back) for y in (out, walls.far)] + [(walls.high(y), y - back) for y in (walls.far, out)]
        front, rear, inner = ([(x, y - back) for x, y in side] for side in walls.ring())
        if not pen.drawn:
            pen.over(last_round[0][0], near)
        if joint.light_pass_mm:
            _light_pass(pen, walls, joint)
        if front:
            _sink(pen, [front[-1], *rear, *inner, *front[:-1]], depth)
            pen.along([*rear, *inner, *front[:-1], *last_round])  # a round level, as the last one sank too
            pen.clear(last_round[-1][0], near)
        else:  # the socket is hardly wider than the cutter
            for level in levels_of(depth, cutter):
                pen.clear(pen.at[0], near)
                pen.clear(last_round[0][0], near, level)
                pen.along(last_round)
            pen.clear(pen.at[0], near)
    return pen.cut(Told("through pins, {:mm} deep, entered on a ramp", (depth,)))


def _light_pass(pen: DrawnCut, walls: _Walls, joint: Through) -> None:
    """Score a socket's bottom from air before the face: along the face from low to high X, and along the board's edge where it is open.

    A strip so thin may be taken at full depth, so that it comes first of all; a thicker one goes down level by level.
    """
    edge, depth, radius = walls.edge, joint.side_mm + joint.proud_mm, joint.straight.diameter_mm / 2
    over = radius - joint.light_pass_mm
    chord = (radius**2 - over**2) ** 0.5  # half of what the pass takes off a face at once
    near, skim = -(radius + AIR_MM) - joint.back_mm, -over - joint.back_mm
    low, high = walls.chord(-over)
    for level in [-depth] if joint.light_pass_mm <= THIN_MM else levels_of(depth, joint.straight):
        if edge is not None and walls.edge_is_low:
            pen.clear(edge - over, near)
            pen.clear(edge - over, near, level)
            pen.to(edge - over, OVERRUN_MM)
            pen.clear(edge - over, near)
            low = edge - chord
        pen.clear(low, near)
        pen.clear(low, near, level)
        pen.clear(low, -(radius + CLOSE_MM) - joint.back_mm)
        pen.to(low, skim)
        if edge is None or walls.edge_is_low:
            pen.to(high, skim)
        else:
            pen.to(edge + chord, skim)
            pen.clear(edge + over, skim)
            pen.clear(edge + over, -joint.back_mm - chord)
            pen.to(edge + over, OVERRUN_MM)


def _sink(pen: DrawnCut, ring: list[Place], depth: float) -> None:
    """Go down round a ring, as steeply as the cutter may, from where the way will end at the ring's first corner at full depth."""
    sides = [math.dist(a, b) for a, b in pairwise([*ring, ring[0]])]
    slope = min(pen.cutter.depth_per_pass_mm / sum(sides), RAMP)
    way = [(*ring[0], -depth)]
    for i in itertools.cycle(range(len(ring) - 1, -1, -1)):  # from the end back to the start
        x, y, z = way[-1]
        share = min(1.0, -z / slope / sides[i])
        way.append((x + (ring[i][0] - x) * share, y + (ring[i][1] - y) * share, z + sides[i] * share * slope))
        if share < 1.0 or way[-1][2] > -1e-9:
            break
    way.reverse()
    pen.clear(*pen.at[:2], AIR_MM)
    pen.clear(*way[0][:2])
    pen.height(0.0, pen.cutter.plunge_mm_min)
    pen.along(way[1:])
