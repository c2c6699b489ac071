"""How long a program takes: trapezoids of speed with limited acceleration, joined by look-ahead.

Formulas: those of uniformly accelerated motion (docs/sources.md section 9). On the exact path a corner is a stop. Elsewhere its
speed is limited as if the path were rounded by a circle that misses it by a small distance and the pull to its centre were the
acceleration.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

from camtools.job.job import Machine
from camtools.toolpath.moves import Arc, Cut, Line, Move, Pause, Point, Rapid

__all__ = ["Pace", "corner_speed", "move_seconds", "moves_seconds", "program_seconds", "ramp_seconds"]

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


def corner_speed(before: Vector, after: Vector, acceleration: float, miss_mm: float = 0.0) -> float:
    """Speed (mm/s) at which a corner between two unit directions may be passed and missed by so much; it is 0 on the exact path."""
    straight = sum(a * b for a, b in zip(before, after, strict=True))
    if straight > 0.999999:
        return math.inf
    half = math.sqrt(max(0.0, (1 + straight) / 2))  # sine of half the inside angle
    return math.sqrt(acceleration * miss_mm * half / (1 - half))


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


def move_seconds(moves: Sequence[Move], start: Point, pace: Pace | Machine, miss_mm: float = 0.0) -> list[float]:
    """Seconds of each move of a run from and to standstill; at a pause the machine stands still."""
    seconds: list[float] = []
    first = 0
    for i, move in enumerate(moves):
        if isinstance(move, Pause):
            seconds += [*_run_seconds(moves[first:i], start, pace, miss_mm), move.seconds]
            first, start = i + 1, move.end
    return seconds + _run_seconds(moves[first:], start, pace, miss_mm)


def moves_seconds(moves: Sequence[Move], start: Point, pace: Pace | Machine, miss_mm: float = 0.0) -> float:
    """Seconds for moves from and to standstill, with what pauses there are."""
    return sum(move_seconds(moves, start, pace, miss_mm))


def _run_seconds(moves: Sequence[Move], start: Point, pace: Pace | Machine, miss_mm: float) -> list[float]:
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
            corner = math.inf if last_way is None or not length else corner_speed(last_way, way_in, acceleration, miss_mm)
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


def program_seconds(cuts: Sequence[Cut], machine: Machine, *, dry: bool = False, miss_mm: float = 0.0) -> float:
    """Seconds of a program, from the safe height over its first place back to the safe height.

    Motion, the ways from cut to cut, and the spindle's run-up, which a dry run lacks.
    """
    safe = max(machine.retract_mm, *(cut.moves[0].end[2] for cut in cuts))
    seconds, at = 0.0 if dry else machine.spin_up_s, None
    for i, cut in enumerate(cuts):
        over, end = cut.moves[1].end, cut.moves[-1].end
        start = over[0], over[1], safe if i == 0 else over[2]
        if at is not None:
            seconds += moves_seconds([Rapid(start)], at, machine, miss_mm)
        at = end[0], end[1], safe if i == len(cuts) - 1 else end[2]
        seconds += moves_seconds([Rapid(over), *cut.moves[2:], Rapid(at)], start, machine, miss_mm)
    return seconds
