"""Moves on the grid of a program's decimals: what the controller will read, decided before it is written.

Places are whole numbers of the last decimal, so a number is written without exponent or ``-0``, and arcs are judged as the
controller judges them: from the rounded start, centre and end. Source of the arc rule: NISTIR 6556, section 3.5.3.2.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

from camtools.faults import Fault, PacketFault
from camtools.output.dialects import Dialect
from camtools.toolpath.moves import Arc, Line, Move, Pause, Point, Rapid
from camtools.wording import MM_PER_INCH, fine, quantity

__all__ = ["Grid", "RoundedMove", "steps_of"]

Place = tuple[int, int, int]
_ARC_TOLERANCE = {"mm": 0.002, "inch": 0.0002}  # start radius against end radius, N 3.5.3.2
_FURTHEST_MM = 100_000.0  # a place beyond this is a mistake, not a drawer
_SAME_RADIUS_MM = 0.001  # an arc whose own ends differ by more was drawn wrong
_DOT_STEPS = 5  # an arc of a smaller radius is no arc any more once it is rounded


@dataclass(frozen=True, slots=True)
class Grid:
    """The grid of a dialect: ``decimals`` places of its unit."""

    units: Literal["mm", "inch"]
    decimals: int

    @property
    def step_mm(self) -> float:
        """Width of one step."""
        return (1.0 if self.units == "mm" else MM_PER_INCH) / float(10**self.decimals)

    @property
    def arc_tolerance(self) -> int:
        """How many whole steps an arc's radius at its start and end may differ."""
        return int(_ARC_TOLERANCE[self.units] * 10**self.decimals + 1e-9)

    def steps(self, mm: float) -> int:
        """Return the nearest grid point.

        Raises
        ------
        PacketFault
            Where the number is not finite, or absurdly large.
        """
        if not abs(mm) <= _FURTHEST_MM:
            raise PacketFault(Fault("a program's coordinate", "is no place on a machine", quantity(mm, "mm"), quantity(_FURTHEST_MM, "mm")))
        return round(mm / self.step_mm)

    def place(self, point: Point) -> Place:
        """Return the grid point of a place."""
        return self.steps(point[0]), self.steps(point[1]), self.steps(point[2])

    def text(self, steps: int) -> str:
        """Return the number as a program has it: always a point, no needless zeros, no exponent."""
        whole, rest = divmod(abs(steps), 10**self.decimals)
        digits = f"{rest:0{self.decimals}d}".rstrip("0") or "0"
        return f"{'-' if steps < 0 else ''}{whole}.{digits}"


@dataclass(frozen=True, slots=True)
class RoundedMove:
    """A move as it will be written: G code, rounded end, and of an arc the centre from the rounded start."""

    code: Literal[0, 1, 2, 3, 4]
    end: Place
    offset: tuple[int, int] | None = None  # I, J
    feed_mm_min: float = 0.0
    pause_s: float = 0.0


def steps_of(moves: Sequence[Move], start: Point, dialect: Dialect) -> Iterator[RoundedMove]:
    """Return the moves on the dialect's grid; those that vanish in rounding are left out.

    Raises
    ------
    PacketFault
        Where an arc can not be written so that a controller would follow it.
    """
    grid = Grid(dialect.units, dialect.decimals)
    at, here = start, grid.place(start)
    for move in moves:
        for step in _written(move, at, here, dialect, grid):
            if step.end != here or step.pause_s:
                yield step
                here = step.end
        at = move.end


def _written(move: Move, at: Point, here: Place, dialect: Dialect, grid: Grid) -> Iterator[RoundedMove]:
    match move:
        case Rapid(end):
            yield RoundedMove(0, grid.place(end))
        case Pause(_, seconds):
            yield RoundedMove(4, here, pause_s=seconds)
        case Line(end, feed):
            yield RoundedMove(1, grid.place(end), None, feed)
        case Arc():
            sweep, radius = _sweep(at, move)
            # Where rounding moves a point as far as the arc bulges, a line is as true, and can not be read the wrong way round.
            if radius <= _DOT_STEPS * grid.step_mm or (sweep < math.pi and radius * (1 - math.cos(sweep / 2)) <= grid.step_mm):
                yield RoundedMove(1, grid.place(move.end), None, move.feed_mm_min)
            elif dialect.arcs:
                parts = max(1, math.ceil(sweep / math.pi - 1e-9))
                for point in _along(at, move, sweep, radius, parts):
                    step = _arc(here, point, move, grid)
                    yield step
                    here = step.end
            else:
                reach = dialect.arc_tolerance_mm - grid.step_mm  # rounding a corner may take it this much further
                parts = math.ceil(sweep / (2 * math.acos(max(0.0, 1 - reach / radius))) - 1e-9)
                for point in _along(at, move, sweep, radius, max(1, parts)):
                    yield RoundedMove(1, grid.place(point), None, move.feed_mm_min)


def _sweep(at: Point, arc: Arc) -> tuple[float, float]:
    """Return an arc's sweep (radians, up to a full turn) and radius (mm). An end at the start is a full circle."""
    (cx, cy), (ex, ey, _) = arc.centre, arc.end
    first, last = math.hypot(at[0] - cx, at[1] - cy), math.hypot(ex - cx, ey - cy)
    if not abs(first - last) <= _SAME_RADIUS_MM or first == 0:
        problem = "its two ends do not lie on one circle, so a controller would refuse it"
        found = f"radius {fine(first)} at the start, {fine(last)} at the end"
        limit = f"equal within {fine(_SAME_RADIUS_MM)}, and not 0"
        remedy = "this is a defect in the toolpath; please report the job"
        raise PacketFault(Fault(f"the arc from X{at[0]:.4f} Y{at[1]:.4f} to X{ex:.4f} Y{ey:.4f}", problem, found, limit, remedy))
    turn = math.atan2(ey - cy, ex - cx) - math.atan2(at[1] - cy, at[0] - cx)
    return (-turn if arc.clockwise else turn) % (2 * math.pi) or 2 * math.pi, first


def _along(at: Point, arc: Arc, sweep: float, radius: float, parts: int) -> Iterator[Point]:
    """Return the ends of equal parts of an arc, the last one being the arc's own end."""
    (cx, cy), sign = arc.centre, -1.0 if arc.clockwise else 1.0
    first = math.atan2(at[1] - cy, at[0] - cx)
    for i in range(1, parts):
        angle = first + sign * sweep * i / parts
        yield cx + radius * math.cos(angle), cy + radius * math.sin(angle), at[2] + (arc.end[2] - at[2]) * i / parts
    yield arc.end


def _arc(here: Place, point: Point, arc: Arc, grid: Grid) -> RoundedMove:
    """Return an arc of at most half a turn whose rounded radii agree: about the nearest centre on the grid that makes them so."""
    end = grid.place(point)
    centre = grid.steps(arc.centre[0]), grid.steps(arc.centre[1])
    tried = [(centre[0] + dx, centre[1] + dy) for dx in range(-2, 3) for dy in range(-2, 3)]
    tried.sort(key=lambda c: (math.dist(c, centre), abs(math.dist(c, here[:2]) - math.dist(c, end[:2])), c))
    for x, y in tried:
        if abs(math.dist((x, y), here[:2]) - math.dist((x, y), end[:2])) <= grid.arc_tolerance - 0.01:
            return RoundedMove(2 if arc.clockwise else 3, end, (x - here[0], y - here[1]), arc.feed_mm_min)
    where = f"the arc to X{point[0]:.4f} Y{point[1]:.4f} about X{arc.centre[0]:.4f} Y{arc.centre[1]:.4f}"
    problem = "can not be written so that its start and end radius agree"
    found = f"{grid.decimals} decimals of {grid.units}"
    limit = f"within {_ARC_TOLERANCE[grid.units]:g} {grid.units}"
    remedy = "take a dialect with one decimal more"
    raise PacketFault(Fault(where, problem, found, limit, remedy))
