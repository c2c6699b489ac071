"""How long a program takes: trapezoids of speed with limited acceleration, joined by look-ahead.

Formulas: those of uniformly accelerated motion (docs/sources.md section 9). At a corner the speed is limited as if the path
were rounded by a circle that misses it by a small distance and the pull to its centre were the acceleration.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

from camtools.job.job import Machine
from camtools.toolpath.moves import Arc, Cut, Line, Move, Pause, Point, Rapid

__all__ = ["Pace", "corner_speed", "cut_seconds", "move_seconds", "moves_seconds", "program_seconds", "ramp_seconds"]

_MISS_MM = 0.01  # by which the imagined rounding misses a corner
Vector = tuple[float, float, float]


class Pace(NamedTuple):
    """How briskly a machine moves."""

    rapid_mm_min: float
    acceleration_mm_s2: float


def ramp_seconds(length_mm: float, speed: float, acceleration: float, entry: float = 0.0, exit: float = 0.0) -> float:
    """Seconds for a move entered and left at given speeds (mm/s), never faster than ``speed``.

    Needs ``|exit**2 - entry**2| <= 2 * acceleration * length_mm``, as look-ahead provides.

    Parameters
    ----------
    speed, entry, exit
        In mm/s.
    acceleration
        In mm/s².
    """
    peak = min(speed, math.sqrt(acceleration * length_mm + (entry**2 + exit**2) / 2))
    if peak <= 0:
        return 0.0
    cruise = max(0.0, length_mm - (2 * peak**2 - entry**2 - exit**2) / (2 * acceleration))
    return (peak - entry) / acceleration + (peak - exit) / acceleration + cruise / peak


def corner_speed(before: Vector, after: Vector, acceleration: float) -> float:
    """Speed (mm/s) at which a corner between two unit directions may be passed."""
    straight = sum(a * b for a, b in zip(before, after, strict=True))
    if straight > 0.999999:
        return math.inf
    half = math.sqrt(max(0.0, (1 + straight) / 2))  # sine of half the inside angle
    return math.sqrt(acceleration * _MISS_MM * half / (1 - half))


def _ends(start: Point, move: Move) -> tuple[float, Vector, Vector, float]:
    """Length, direction at both ends, and the speed that the curvature allows per root of acceleration."""
    if isinstance(move, Arc):
        cx, cy = move.centre
        radius = math.dist(start[:2], move.centre)
        first, last = math.atan2(start[1] - cy, start[0] - cx), math.atan2(move.end[1] - cy, move.end[0] - cx)
        sign = -1.0 if move.clockwise else 1.0
        sweep = (sign * (last - first)) % (2 * math.pi) or 2 * math.pi
        length = math.hypot(radius * sweep, move.end[2] - start[2])
        return (
            length,
            (-sign * math.sin(first), sign * math.cos(first), 0.0),
            (-sign * math.sin(last), sign * math.cos(last), 0.0),
            math.sqrt(radius),
        )
    length = math.dist(start, move.end)
    if length == 0:
        return 0.0, (0.0, 0.0, 0.0), (0.0, 0.0, 0.0), math.inf
    way = tuple((b - a) / length for a, b in zip(start, move.end, strict=True))
    return length, (way[0], way[1], way[2]), (way[0], way[1], way[2]), math.inf


def move_seconds(moves: Sequence[Move], start: Point, pace: Pace | Machine) -> list[float]:
    """Seconds of each move of a run from and to standstill; at a pause the machine stands still."""
    seconds: list[float] = []
    first = 0
    for i, move in enumerate(moves):
        if isinstance(move, Pause):
            seconds += [*_run_seconds(moves[first:i], start, pace), move.seconds]
            first, start = i + 1, move.end
    return seconds + _run_seconds(moves[first:], start, pace)


def moves_seconds(moves: Sequence[Move], start: Point, pace: Pace | Machine) -> float:
    """Seconds for moves from and to standstill, with what pauses there are."""
    return sum(move_seconds(moves, start, pace))


def _run_seconds(moves: Sequence[Move], start: Point, pace: Pace | Machine) -> list[float]:
    acceleration = pace.acceleration_mm_s2
    lengths: list[float] = []
    speeds: list[float] = []
    joints: list[float] = [0.0]  # highest speed at the start of each move, in mm/s
    at, last_way, last_speed = start, None, 0.0
    for move in moves:
        length, way_in, way_out, root = _ends(at, move)
        at = move.end
        speed = (move.feed_mm_min if isinstance(move, Line | Arc) else pace.rapid_mm_min) / 60
        speed = min(speed, root * math.sqrt(acceleration)) if length else last_speed
        if lengths:
            corner = math.inf if last_way is None or not length else corner_speed(last_way, way_in, acceleration)
            joints.append(min(corner, speed, last_speed))
        lengths.append(length)
        speeds.append(speed)
        if length:
            last_way, last_speed = way_out, speed
    joints.append(0.0)
    for i in range(len(lengths) - 1, -1, -1):
        joints[i] = min(joints[i], math.sqrt(joints[i + 1] ** 2 + 2 * acceleration * lengths[i]))
    for i, length in enumerate(lengths):
        joints[i + 1] = min(joints[i + 1], math.sqrt(joints[i] ** 2 + 2 * acceleration * length))
    return [ramp_seconds(length, speeds[i], acceleration, joints[i], joints[i + 1]) if length else 0.0 for i, length in enumerate(lengths)]


def cut_seconds(cut: Cut, machine: Machine) -> float:
    """Seconds of motion of one cut."""
    return moves_seconds(cut.moves, cut.moves[0].end, machine)


def program_seconds(cuts: Sequence[Cut], machine: Machine) -> float:
    """Seconds of a program: motion, the ways from cut to cut, and for each new cutter its change and the spindle's run-up."""
    seconds, before = 0.0, None
    for cut in cuts:
        seconds += cut_seconds(cut, machine)
        if before is None or before.cutter != cut.cutter:
            seconds += machine.spin_up_s
        if before is not None:
            seconds += _way_seconds(before, cut, machine)
        before = cut
    return seconds


def _way_seconds(before: Cut, after: Cut, machine: Machine) -> float:
    """Seconds from the end of one cut to above the start of the next, with the change of cutter where there is one."""
    at, over = before.moves[-1].end, after.moves[0].end
    if before.cutter == after.cutter:
        height, seconds = over[2], 0.0
    else:
        height, seconds = max(machine.retract_mm, over[2]), machine.tool_change_s
    for place in ((at[0], at[1], height), (over[0], over[1], height), over):
        seconds += moves_seconds([Rapid(place)], at, machine)
        at = place
    return seconds
