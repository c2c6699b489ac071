"""Times of moves against worked cases and against a simulation in small steps."""

import itertools
import math

import pytest

from camtools.job.job import Machine
from camtools.toolpath.moves import Arc, Line, Move, Point, Rapid
from camtools.toolpath.tails import tails_cut
from camtools.toolpath.timing import corner_speed, moves_seconds, program_seconds, ramp_seconds
from tests.joint_specimens import AIR, HALF_BLIND


def machine(acceleration: float = 250.0) -> Machine:
    return Machine(
        (600, 600, 120),
        6000,
        24000,
        5000,
        4000,
        acceleration,
        10,
        30,
        3,
        30,
        ("upright", "flat"),
        15,
        25,
        None,
        None,
        None,
        None,
        6,
        30,
        35,
        20,
        0.4,
        "mm",
    )


@pytest.mark.parametrize(
    ("length", "speed", "acceleration", "entry", "leave", "seconds"),
    [  # trapezoid and triangle of speed, worked by hand: L/v + v/a, 2 sqrt(L/a), and with speeds at the ends
        (200, 50, 500, 0, 0, 4.1),
        (5, 50, 500, 0, 0, 0.2),
        (1, 50, 500, 0, 0, 0.08944),
        (20, 100, 250, 0, 0, 0.56569),
        (30, 50, 500, 10, 20, 0.65),
    ],
)
def test_single_moves_take_what_mechanics_says(
    length: float, speed: float, acceleration: float, entry: float, leave: float, seconds: float
) -> None:
    """Single moves take what elementary mechanics says."""
    assert ramp_seconds(length, speed, acceleration, entry, leave) == pytest.approx(seconds, abs=1e-5)


@pytest.mark.parametrize(("inside_deg", "mm_min"), [(60, 95), (90, 147), (120, 241), (150, 505), (170, 1535)])
def test_corners_are_passed_as_fast_as_their_angle_lets(inside_deg: float, mm_min: float) -> None:
    """Corners of an inside angle are passed at sqrt(a r), r the circle that misses the corner by 0.01 mm (derived by hand)."""
    turn = math.radians(180 - inside_deg)
    assert 60 * corner_speed((1, 0, 0), (math.cos(turn), math.sin(turn), 0), 250.0, 0.01) == pytest.approx(mm_min, abs=0.6)


def test_a_straight_joint_does_not_slow() -> None:
    """Two moves in line take as long as one of both lengths."""
    two = [Line((50.0, 0, 0), 1500), Line((100.0, 0, 0), 1500)]
    assert moves_seconds(two, (0, 0, 0), machine()) == pytest.approx(moves_seconds(two[1:], (0, 0, 0), machine()))


def test_an_arc_is_limited_by_its_radius() -> None:
    """On a small circle speed is at most sqrt(a R): radius 3.175 mm at 250 mm/s2 gives 1690 mm/min (derived by hand)."""
    around = [Arc((3.175, 0.0, 0.0), (0.0, 0.0), False, 9000)]
    limit = math.sqrt(250 * 3.175)
    assert 60 * limit == pytest.approx(1690, abs=1)
    expected = ramp_seconds(2 * math.pi * 3.175, limit, 250)
    assert moves_seconds(around, (3.175, 0.0, 0.0), machine()) == pytest.approx(expected)


def stepped_seconds(moves: list[Move], start: Point, machine: Machine, step_mm: float = 0.002) -> float:
    """Integrate the fastest motion along the path in small steps of length: backward pass, forward pass, sum of ds/v."""
    a = machine.acceleration_mm_s2
    limits: list[float] = []
    lengths: list[float] = []
    way = None
    at = start
    for move in moves:
        if isinstance(move, Arc):
            radius = math.dist(at[:2], move.centre)
            first = math.atan2(at[1] - move.centre[1], at[0] - move.centre[0])
            last = math.atan2(move.end[1] - move.centre[1], move.end[0] - move.centre[0])
            sign = -1 if move.clockwise else 1
            sweep = (sign * (last - first)) % (2 * math.pi)
            length, cap = radius * sweep, math.sqrt(a * radius)
            into, out = ((-sign * math.sin(t), sign * math.cos(t), 0.0) for t in (first, last))
        else:
            length, cap = math.dist(at, move.end), math.inf
            if length == 0:
                continue
            into = out = tuple((q - p) / length for p, q in zip(at, move.end, strict=True))
        top = min((machine.rapid_mm_min if isinstance(move, Rapid) else move.feed_mm_min) / 60, cap)
        join = 0.0 if way is None else min(corner_speed(way, into, a), top, limits[-1])
        count = max(1, round(length / step_mm))
        limits += [join, *[top] * count]
        lengths += [0.0, *[length / count] * count]
        way, at = out, move.end
    speed = [*limits, 0.0]
    speed[0] = 0.0
    for i in range(len(limits) - 1, -1, -1):
        speed[i] = min(speed[i], math.sqrt(speed[i + 1] ** 2 + 2 * a * lengths[i]))
    now, total = 0.0, 0.0
    for i, length in enumerate(lengths):
        after = min(speed[i + 1], math.sqrt(now**2 + 2 * a * length))
        if length:
            total += 2 * length / (now + after)
        now = after
    return total


@pytest.mark.parametrize("acceleration", [100.0, 250.0, 2000.0])
def test_a_real_cut_against_small_steps(acceleration: float) -> None:
    """The look-ahead agrees within 1 % with the motion integrated in steps of a fraction of a millimetre."""
    cut = tails_cut(HALF_BLIND["wide gaps"], "left", AIR)
    start = cut.moves[0].end
    exact = stepped_seconds(list(cut.moves), start, machine(acceleration))
    assert moves_seconds(cut.moves, start, machine(acceleration)) == pytest.approx(exact, rel=0.01)


def test_the_exact_path_stops_at_corners_and_not_where_an_arc_goes_on_straight() -> None:
    """Two sides of a square take twice one of them; a side and the arc tangent to it take less than both apart."""
    side = [Line((50.0, 0, 0), 1500), Line((50.0, 50.0, 0), 1500)]
    assert moves_seconds(side, (0, 0, 0), machine()) == pytest.approx(2 * ramp_seconds(50.0, 25.0, 250.0))
    arc = Arc((60.0, 10.0, 0), (50.0, 10.0), False, 1500)
    apart = ramp_seconds(50.0, 25.0, 250.0) + ramp_seconds(5 * math.pi, 25.0, 250.0)
    assert moves_seconds([side[0], arc], (0, 0, 0), machine()) == pytest.approx(apart - 25.0 / 250.0)


def test_a_program_adds_the_run_up_and_the_ways_between() -> None:
    """Every cut adds the way to where it begins; up and down to the safe height it goes once."""
    cut = tails_cut(HALF_BLIND["ordinary"], "left", AIR)
    one, same = (program_seconds(cuts, machine()) for cuts in ([cut], [cut, cut]))
    (x0, y0, _), (x1, y1, _), clear = cut.moves[1].end, cut.moves[-1].end, machine().clearance_mm
    over = ramp_seconds(math.dist((x0, y0), (x1, y1)), 4000 / 60, 250)
    safe = [Rapid(cut.moves[1].end), *cut.moves[2:], Rapid((x1, y1, 30.0))]
    assert one - 3 == pytest.approx(moves_seconds(safe, (x0, y0, 30.0), machine()))
    down, up = moves_seconds(safe[:-1], (x0, y0, 30.0), machine()), moves_seconds(safe[1:], (x0, y0, clear), machine())
    assert same == pytest.approx(3 + down + over + up)
    assert all(a != b for a, b in itertools.pairwise(cut.moves[1:]))
