"""Times of motion against published formulas, and against the time-optimal motion that a linear program finds."""

from __future__ import annotations

import math
import random
import re
from collections.abc import Sequence
from pathlib import Path

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from camtools.drawer import drawers_of
from camtools.job import read_job
from camtools.job.job import Machine
from camtools.output.dialects import dialect_of
from camtools.output.rs274 import program_file
from camtools.toolpath.moves import Arc, Line, Move, Point, Rapid
from camtools.toolpath.programs import programs_of
from camtools.toolpath.timing import corner_speed, moves_seconds, ramp_seconds
from camtools.verify.reader.interpreter import run
from camtools.verify.reader.motion import Motion
from tests.published.other_hands import outside
from tests.specimens import JOBS, MACHINE

optimize = outside("scipy.optimize")
sparse = outside("scipy.sparse")
integrate = outside("scipy.integrate")

MISS_MM = 0.01
speeds = st.floats(0.0, 100.0)


@given(length=st.floats(0.01, 500.0), top=st.floats(1.0, 100.0), rate=st.floats(50.0, 2000.0), entry=speeds, leave=speeds)
def test_a_move_takes_what_the_textbook_has_for_a_trapezoid(length: float, top: float, rate: float, entry: float, leave: float) -> None:
    """L. Biagiotti, C. Melchiorri, Trajectory Planning for Automatic Machines and Robots (2008), section 3.2, from memory."""
    entry, leave = min(entry, top), min(leave, top)
    assume(abs(entry**2 - leave**2) <= 2 * rate * length)
    if length * rate > top**2 - (entry**2 + leave**2) / 2:
        expected = length / top + top / (2 * rate) * ((1 - entry / top) ** 2 + (1 - leave / top) ** 2)
    else:
        peak = math.sqrt(length * rate + (entry**2 + leave**2) / 2)
        expected = (2 * peak - entry - leave) / rate
    assert ramp_seconds(length, top, rate, entry, leave) == pytest.approx(expected, rel=1e-9)


@pytest.mark.parametrize(("length", "top", "rate"), [(200.0, 50.0, 500.0), (3.0, 50.0, 500.0), (40.0, 66.7, 250.0)])
def test_a_move_ends_where_and_when_integration_says(length: float, top: float, rate: float) -> None:
    """Newton's law integrated: speed rises at the rate until half the way or the top, and falls as it rose."""
    seconds = ramp_seconds(length, top, rate)

    def motion(time: float, state: np.ndarray) -> tuple[float, float]:
        speeding = min(rate * time, top, rate * (seconds - time))
        return speeding, 0.0

    done = integrate.solve_ivp(motion, (0.0, seconds), (0.0, 0.0), max_step=seconds / 400, rtol=1e-8)
    assert done.y[0, -1] == pytest.approx(length, rel=1e-5)


def _limits(moves: list[Move], start: Point, machine: Machine, step_mm: float) -> tuple[np.ndarray, np.ndarray]:
    """Cut a way into short steps: their lengths, and the highest speed at each place between them."""
    lengths, caps, way, at = [], [0.0], None, start
    for move in moves:
        if isinstance(move, Arc):
            radius = math.dist(at[:2], move.centre)
            first, last = (math.atan2(p[1] - move.centre[1], p[0] - move.centre[0]) for p in (at, move.end))
            sign = -1 if move.clockwise else 1
            long, most = radius * ((sign * (last - first)) % (2 * math.pi)), math.sqrt(machine.acceleration_mm_s2 * radius)
            into, out = ((-sign * math.sin(turn), sign * math.cos(turn), 0.0) for turn in (first, last))
        else:
            long, most = math.dist(at, move.end), math.inf
            if long < 1e-9:
                continue
            into = out = tuple((q - p) / long for p, q in zip(at, move.end, strict=True))
        top = min((machine.rapid_mm_min if isinstance(move, Rapid) else move.feed_mm_min) / 60, most)
        if way is not None:
            caps[-1] = min(caps[-1], top, corner_speed(way, into, machine.acceleration_mm_s2, MISS_MM))
        count = max(4, math.ceil(long / step_mm))
        lengths += [long / count] * count
        caps += [top] * count
        way, at = out, move.end
    caps[-1] = 0.0
    return np.array(lengths), np.array(caps)


def _least_seconds(moves: list[Move], start: Point, machine: Machine, step_mm: float) -> float:
    """Time of the fastest motion that keeps every limit.

    The square of the speed along the way changes with its length by twice the acceleration, so the limits are linear in it and
    the fastest motion is where its sum is largest. D. Verscheure and others, Time-optimal path tracking for robots: a convex
    optimization approach, IEEE Transactions on Automatic Control 54 (2009) 2318. The solver knows nothing of look-ahead.
    """
    lengths, caps = _limits(moves, start, machine, step_mm)
    count = len(caps)
    change = sparse.diags([-np.ones(count - 1), np.ones(count - 1)], [0, 1], shape=(count - 1, count))
    most = 2 * machine.acceleration_mm_s2 * lengths
    rows, limits = sparse.vstack([change, -change]), np.concatenate([most, most])
    found = optimize.linprog(-np.ones(count), A_ub=rows, b_ub=limits, bounds=np.column_stack([0 * caps, caps**2]))
    assert found.status == 0
    speed = np.sqrt(np.maximum(found.x, 0.0))
    return float((2 * lengths / (speed[1:] + speed[:-1])).sum())


@pytest.mark.parametrize("name", ["one drawer", "thin wood"])
def test_cuts_take_as_long_as_the_fastest_motion_within_the_limits(name: str) -> None:
    job = JOBS[name]
    cuts = [cut for program in programs_of(job, drawers_of(job)) for cut in program.cuts]
    assert len(cuts) >= 12
    for cut in cuts:
        least = _least_seconds(list(cut.moves), cut.moves[0].end, MACHINE, 0.1)
        assert moves_seconds(cut.moves, cut.moves[0].end, MACHINE, MISS_MM) == pytest.approx(least, rel=0.001)


@pytest.mark.parametrize("seed", range(6))
def test_winding_ways_take_as_long_as_the_fastest_motion_within_the_limits(seed: int) -> None:
    """Short lines and tight arcs that turn gently, at feeds that rise and fall: where looking ahead matters."""
    chance = random.Random(seed)
    moves: list[Move] = []
    x, y, way = 0.0, 0.0, 0.0
    for _ in range(60):
        feed = chance.choice((400.0, 1500.0, 4000.0))
        if chance.random() < 0.3:
            radius, turn = chance.uniform(0.5, 4.0), chance.uniform(0.2, 1.5) * chance.choice((-1, 1))
            side = math.copysign(math.pi / 2, turn)
            centre = (x + radius * math.cos(way + side), y + radius * math.sin(way + side))
            way += turn
            x, y = centre[0] - radius * math.cos(way + side), centre[1] - radius * math.sin(way + side)
            moves.append(Arc((x, y, 0.0), centre, turn < 0, feed))
        else:
            way += chance.uniform(-0.4, 0.4) * chance.random() ** 2
            long = chance.choice((0.3, 1.0, 4.0))
            x, y = x + long * math.cos(way), y + long * math.sin(way)
            moves.append(Line((x, y, 0.0), feed))
    least = _least_seconds(moves, (0.0, 0.0, 0.0), MACHINE, 0.01)
    assert moves_seconds(moves, (0.0, 0.0, 0.0), MACHINE, MISS_MM) == pytest.approx(least, rel=0.001)


def test_short_lines_take_as_long_as_the_fastest_motion_within_the_limits() -> None:
    """An arc written as short lines: the machine speeds up and slows down over dozens of them."""
    places = [(15 * math.cos(i / 60), 15 * math.sin(i / 60), 0.0) for i in range(150)]
    moves: list[Move] = [Line(place, 4000.0 if i < 90 else 2500.0) for i, place in enumerate(places[1:])]
    least = _least_seconds(moves, places[0], MACHINE, 0.02)
    assert moves_seconds(moves, places[0], MACHINE, MISS_MM) == pytest.approx(least, rel=0.001)


def _stepped_seconds(motions: Sequence[Motion], machine: Machine, miss_mm: float, step_s: float = 0.0005) -> float:
    """Step through motions in time: as fast as limits, corners and stops ahead allow, with no more acceleration than there is."""
    rate = machine.acceleration_mm_s2
    lengths, tops, corners, way = [], [], [], None
    for motion in motions:
        length, top = math.dist(motion.start, motion.end), math.inf
        if motion.centre is not None:
            radius, turn = math.dist(motion.start[:2], motion.centre), math.radians(motion.sweep_deg)
            length, top = radius * abs(turn), math.sqrt(rate * radius)
            first = np.array(motion.start[:2]) - motion.centre
            last = np.array(motion.end[:2]) - motion.centre
            into, out = (np.array((-y, x, 0.0)) * math.copysign(1 / math.hypot(x, y), turn) for x, y in (first, last))
        elif length > 1e-9:
            into = out = (np.array(motion.end) - motion.start) / length
        else:
            continue
        turned = math.pi if way is None else math.acos(min(1.0, max(-1.0, float(way @ into))))
        # The circle that misses a corner by so much has this radius; its pull is the acceleration.
        rounding = math.inf if turned < 0.001 else miss_mm / (1 / math.cos(turned / 2) - 1) if turned < math.pi else 0.0
        corners.append(math.sqrt(rate * rounding))
        lengths.append(length)
        tops.append(min(top, (machine.rapid_mm_min if motion.kind == "rapid" else motion.feed_mm_min) / 60))
        way = out
    corners = [min(corner, *tops[max(0, i - 1) : i + 1]) for i, corner in enumerate(corners)] + [0.0]
    for i in reversed(range(len(lengths))):
        corners[i] = min(corners[i], math.sqrt(corners[i + 1] ** 2 + 2 * rate * lengths[i]))
    seconds = speed = 0.0
    for length, top, leave in zip(lengths, tops, corners[1:], strict=True):
        done = 0.0
        while length - done > 1e-6:
            ahead = max(0.0, length - done - speed * step_s / 2)
            before, speed = speed, min(speed + rate * step_s, top, math.sqrt(leave**2 + 2 * rate * ahead))
            mean = (before + speed) / 2
            step = min(step_s, (length - done) / mean)
            done += mean * step
            seconds += step
    return seconds


@pytest.mark.parametrize("name", ["mm", "plain", "short-lines", "cutter-files"])
def test_a_written_program_takes_as_long_as_its_motions_stepped_through_in_time(name: str, samples: Path) -> None:
    """The text, read by the check's reader, from the safe height and back, with dwells and stops at corners."""
    job, _ = read_job(samples / "first-drawer.toml")
    dialect = dialect_of(name)
    programs = programs_of(job, drawers_of(job))
    files = [program_file(program, dialect, job) for program in programs]
    for file in files[::3]:
        made = run(file.text, file.name, fitted=file.program.cutter.number)
        dwells = sum(map(float, re.findall(r"G4 P([0-9.]+)", file.text))) if dialect.spindle_wait == "dwell" else job.machine.spin_up_s
        stepped = _stepped_seconds(made.motions, job.machine, 0.0 if dialect.path == "exact" else MISS_MM)
        assert file.seconds == pytest.approx(stepped + dwells, rel=0.025 if name == "short-lines" else 0.01), file.name
