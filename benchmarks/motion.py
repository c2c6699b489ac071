"""How much of a program's motion is needed: ``python -m benchmarks.motion [JOB]``, about ten seconds.

For each kind of work: how many runs, how long they move, how much of that is spent in wood and how much in air at a cutting
feed, and how many times the bound it is. The bound is worked out from geometry alone: the volume of wood that a cut takes
away, over its cutter's section times its feed, and the way there and back, 2 mm of it at the feed each way. Spin-up is left out.
No machine keeps that bound, for it has to gather speed. So another stands beside it, also from geometry alone: the same way, cut
into as many passes from standstill to standstill as the cutter is times narrower than a place. "halting" is the motion over that.
"""

from __future__ import annotations

import math
import sys
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, fields
from itertools import pairwise
from pathlib import Path

import numpy as np

from camtools.drawer import drawers_of
from camtools.geometry.frames import box_of
from camtools.job import read_job
from camtools.job.job import Cutter, Machine
from camtools.resources import samples
from camtools.toolpath.moves import Arc, Cut, Line, Pause, Point, Program
from camtools.toolpath.programs import programs_of
from camtools.toolpath.timing import corner_speed, ramp_seconds

__all__ = ["Moved", "moved", "print_motion", "table"]

_STEP_MM = 0.5  # along the way
_MISS_MM = 0.01  # by which a corner may be missed
_CELL_MM = 0.2
_SLAB_MM = 0.5  # most height of a layer of cells
_NEAR_MM = 2.0  # way at the cutting feed into the wood, and out
_KINDS = ("pins", "grooves", "half-blind tails", "sockets", "through tails")


@dataclass(frozen=True, slots=True)
class Moved:
    """Seconds of motion: all, in wood, in air at a cutting feed, the bound of all, and that with acceleration."""

    total: float = 0.0
    wood: float = 0.0
    air: float = 0.0
    bound: float = 0.0
    halting_bound: float = 0.0

    def __add__(self, other: Moved) -> Moved:
        return Moved(*(getattr(self, part.name) + getattr(other, part.name) for part in fields(self)))

    def times(self, runs: int) -> Moved:
        """Return it as often."""
        return Moved(*(runs * getattr(self, part.name) for part in fields(self)))


@dataclass(frozen=True, slots=True)
class _Step:
    """A short straight part of the way: its ends, the highest speed on it and where it is entered, in mm/s."""

    start: Point
    end: Point
    top: float
    entry: float
    feed: bool


def _kind_of(program: Program) -> str:
    """Name the work of a program."""
    setup = program.setup
    if setup.end == "groove":
        return "grooves"
    if "side" in setup.piece.role:
        return "half-blind tails" if setup.end == "front end" else "through tails"
    return "sockets" if setup.piece.role == "front" else "pins"


def _steps(cut: Cut, machine: Machine) -> Iterator[_Step]:
    """Yield a cut's way from standstill, in short steps."""
    at, way, before = cut.moves[0].end, None, 0.0
    for move in cut.moves[1:]:
        if isinstance(move, Pause) or move.end == at:
            continue
        top = (move.feed_mm_min if isinstance(move, Line | Arc) else machine.rapid_mm_min) / 60
        if isinstance(move, Arc):
            radius = math.dist(at[:2], move.centre)
            first, last = (math.atan2(p[1] - move.centre[1], p[0] - move.centre[0]) for p in (at, move.end))
            sign = -1 if move.clockwise else 1
            turn = (sign * (last - first)) % (2 * math.pi)
            count = math.ceil(radius * turn / _STEP_MM)
            angles = [first + sign * turn * i / count for i in range(count + 1)]
            places = [(move.centre[0] + radius * math.cos(a), move.centre[1] + radius * math.sin(a), at[2]) for a in angles]
            into, out = ((-sign * math.sin(a), sign * math.cos(a), 0.0) for a in (first, last))
            top = min(top, math.sqrt(machine.acceleration_mm_s2 * radius))
        else:
            length = math.dist(at, move.end)
            count = math.ceil(length / _STEP_MM)
            dx, dy, dz = (q - p for p, q in zip(at, move.end, strict=True))
            shares = [i / count for i in range(count + 1)]
            places = [(at[0] + dx * share, at[1] + dy * share, at[2] + dz * share) for share in shares]
            into = out = (dx / length, dy / length, dz / length)
        entry = 0.0 if way is None else min(before, top, corner_speed(way, into, machine.acceleration_mm_s2, _MISS_MM))
        for start, end in pairwise(places):
            yield _Step(start, end, top, entry, isinstance(move, Line | Arc) and move.feed_mm_min <= cut.cutter.feed_mm_min)
            entry = top
        at, way, before = move.end, out, top


def _seconds(steps: Sequence[_Step], acceleration: float) -> list[float]:
    """Return the seconds of each step, where the speed is the highest that its limits and those before and after allow."""
    lengths = [math.dist(step.start, step.end) for step in steps]
    speeds = [*(step.entry for step in steps), 0.0]
    for i in range(len(steps) - 1, -1, -1):
        speeds[i] = min(speeds[i], math.sqrt(speeds[i + 1] ** 2 + 2 * acceleration * lengths[i]))
    for i, length in enumerate(lengths):
        speeds[i + 1] = min(speeds[i + 1], math.sqrt(speeds[i] ** 2 + 2 * acceleration * length))
    return [ramp_seconds(lengths[i], step.top, acceleration, speeds[i], speeds[i + 1]) for i, step in enumerate(steps)]


class _Wood:
    """A board as cells in layers, of which cutters take away."""

    def __init__(self, program: Program) -> None:
        low, high = box_of(program.setup.to_machine, program.setup.piece.size_mm)
        ends = [move.end for cut in program.cuts for move in cut.moves]
        widest = max(cut.cutter.diameter_mm for cut in program.cuts) / 2
        spans = [(max(low[i], min(e[i] for e in ends) - widest), min(high[i], max(e[i] for e in ends) + widest)) for i in (0, 1)]
        spans[1] = spans[1][0], max(e[1] for e in ends) + widest if program.setup.hold == "upright" else spans[1][1]
        self._x, self._y = (np.arange(a + _CELL_MM / 2, b, _CELL_MM) for a, b in spans)
        levels = sorted({0.0, *(round(z, 6) for _, _, z in ends if z < 0)})
        bounds = [a + (b - a) * i / n for a, b in pairwise(levels) for n in [math.ceil((b - a) / _SLAB_MM)] for i in range(n)]
        self._bounds = np.array([*bounds, 0.0])
        self._middle = (self._bounds[1:] + self._bounds[:-1]) / 2
        self._there = np.ones((len(self._middle), len(self._y), len(self._x)), dtype=bool)
        self._board = self._y < high[1]  # the rows of cells that are not of the backing

    def take(self, step: _Step, cutter: Cutter) -> tuple[bool, float]:
        """Sweep a cutter along a step; return whether it met wood, and the mm³ that it took from the board."""
        (ax, ay, az), (bx, by, bz) = step.start, step.end
        if az >= 0 and bz >= 0:
            return False, 0.0
        reach = cutter.diameter_mm / 2
        columns, rows = (
            slice(*np.searchsorted(axis, (min(p, q) - reach, max(p, q) + reach))) for axis, p, q in ((self._x, ax, bx), (self._y, ay, by))
        )
        x, y = self._x[columns] - ax, (self._y[rows] - ay)[:, None]
        if not x.size or not y.size:
            return False, 0.0
        dx, dy = bx - ax, by - ay
        share = np.clip((x * dx + y * dy) / (dx * dx + dy * dy or 1.0), 0.0, 1.0)
        off = (x - share * dx) ** 2 + (y - share * dy) ** 2
        lowest = min(az, bz)
        met, taken = False, 0.0
        for layer in np.flatnonzero(self._middle > lowest):
            cells = self._there[layer, rows, columns]
            gone = cells & (off < cutter.radius_at(self._middle[layer] - lowest) ** 2)
            if gone.any():
                met = True
                cells[gone] = False
                height = float(self._bounds[layer + 1] - self._bounds[layer])
                taken += np.count_nonzero(gone[self._board[rows]]) * height * _CELL_MM**2
        return met, taken

    def places(self) -> list[tuple[float, float]]:
        """Return where along X wood was taken from the board, a span for each place."""
        clear = np.concatenate(([True], self._there[:, self._board].all(axis=(0, 1)), [True]))
        bounds = self._x[0] + _CELL_MM * (np.flatnonzero(np.diff(clear)) - 0.5)
        return list(zip(bounds[::2].tolist(), bounds[1::2].tolist(), strict=True))


def _bounds(cut: Cut, volume_mm3: float, places: Sequence[tuple[float, float]], machine: Machine) -> tuple[float, float]:
    """Return the fewest seconds for taking so much wood at these places with this cutter at its feed, without and with acceleration."""
    cutter, deepest = cut.cutter, -min(move.end[2] for move in cut.moves)
    depth, feed = min(deepest, cutter.depth_per_pass_mm), cutter.feed_mm_min / 60
    section = depth * (cutter.radius_at(0.0) + cutter.radius_at(depth))
    levels = math.ceil(deepest / cutter.depth_per_pass_mm - 1e-9)
    height = 2 * ramp_seconds(machine.clearance_mm + deepest, machine.rapid_mm_min / 60, machine.acceleration_mm_s2)
    middles = [(low + high) / 2 for low, high in places]
    even = height + (volume_mm3 / section + len(places) * levels * 2 * _NEAR_MM) / feed
    even += (max(middles) - min(middles)) / (machine.rapid_mm_min / 60)
    widths = [high - low for low, high in places]
    breadth = volume_mm3 / deepest / sum(widths)  # mean, of what is taken, across the places
    halting = height + sum(ramp_seconds(b - a, machine.rapid_mm_min / 60, machine.acceleration_mm_s2) for a, b in pairwise(middles))
    for width in widths:
        passes = math.ceil(min(width, breadth) * depth / section)
        way = width * breadth * depth / section * deepest / depth / levels + 2 * _NEAR_MM
        halting += levels * passes * ramp_seconds(way / passes, feed, machine.acceleration_mm_s2)
    return even, halting


def moved(program: Program, machine: Machine) -> Moved:
    """Return how a program moves."""
    wood, sums = _Wood(program), Moved()
    for cut in program.cuts:
        steps = list(_steps(cut, machine))
        volume = 0.0
        for step, seconds in zip(steps, _seconds(steps, machine.acceleration_mm_s2), strict=True):
            met, taken = wood.take(step, cut.cutter)
            volume += taken
            sums += Moved(seconds, seconds if met else 0.0, seconds if step.feed and not met else 0.0)
        even, halting = _bounds(cut, volume, wood.places(), machine)
        sums += Moved(bound=even, halting_bound=halting)
    return sums


def table(job_file: Path) -> dict[str, tuple[int, Moved]]:
    """Return the runs of each kind of work, and of all, and how they move."""
    job, _ = read_job(job_file)
    drawers = drawers_of(job)
    boards = {board.id: board.count for drawer in drawers for board in drawer.boards}
    runs: Counter[str] = Counter()
    sums = dict.fromkeys((*_KINDS, "all"), Moved())
    for program in programs_of(job, drawers):
        count = sum(boards[board] for board in program.boards)
        own = moved(program, job.machine).times(count)
        for kind in (_kind_of(program), "all"):
            runs[kind] += count
            sums[kind] += own
    return {kind: (runs[kind], sums[kind]) for kind in sums if runs[kind]}


def print_motion(job_file: Path) -> None:
    """Print the table of a job."""
    print(f"Motion for all boards of {job_file.name}, without spin-up and changes")
    print(f"  {'work':<18}{'runs':>6}{'motion':>12}{'in wood':>10}{'air at feed':>13}{'over bound':>12}{'halting':>9}")
    for kind, (runs, own) in table(job_file).items():
        shares = (
            f"{own.wood / own.total:>10.0%}{own.air / own.total:>13.0%}{own.total / own.bound:>12.1f}{own.total / own.halting_bound:>9.1f}"
        )
        print(f"  {kind:<18}{runs:>6}{f'{own.total / 60:.1f} min':>12}{shares}", flush=True)


if __name__ == "__main__":
    print_motion(Path(sys.argv[1]) if len(sys.argv) > 1 else samples() / "specimen-chest.toml")
