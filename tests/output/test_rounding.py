"""Rounding: what is written is the grid point nearest to what was meant, and an arc stays an arc."""

import math

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from camtools.faults import PacketFault
from camtools.output.dialects import Dialect
from camtools.output.rounding import Grid, steps_of
from camtools.toolpath.moves import Arc, Line, Pause, Rapid

MM = Dialect()
COARSE = Dialect(decimals=3)
INCH = Dialect(units="inch", decimals=5)
COARSE_INCH = Dialect(units="inch", decimals=4)
LINES = Dialect(arcs=False)
places = st.floats(-2000, 2000, allow_nan=False)
points = st.tuples(places, places, places)


@pytest.mark.parametrize(
    ("grid", "mm", "text"),
    [
        (Grid("mm", 4), 0.0, "0.0"),
        (Grid("mm", 4), -0.0, "0.0"),
        (Grid("mm", 4), -0.00004, "0.0"),
        (Grid("mm", 4), -0.00006, "-0.0001"),
        (Grid("mm", 4), 1e-7, "0.0"),
        (Grid("mm", 4), 12.7, "12.7"),
        (Grid("mm", 4), -3.14159, "-3.1416"),
        (Grid("mm", 4), 99999.99999, "100000.0"),
        (Grid("inch", 5), 12.7, "0.5"),
        (Grid("inch", 5), 1.0, "0.03937"),
        (Grid("mm", 3), 0.0125, "0.012"),
    ],
)
def test_numbers_have_a_point_and_neither_exponent_nor_minus_zero(grid: Grid, mm: float, text: str) -> None:
    assert grid.text(grid.steps(mm)) == text


@given(places, st.sampled_from([MM, COARSE, INCH, COARSE_INCH]))
def test_a_written_number_is_within_half_a_step(mm: float, dialect: Dialect) -> None:
    grid = Grid(dialect.units, dialect.decimals)
    unit = 25.4 if dialect.units == "inch" else 1.0
    assert abs(float(grid.text(grid.steps(mm))) * unit - mm) <= grid.step_mm / 2 * 1.0001


@pytest.mark.parametrize("mm", [math.nan, math.inf, -math.inf, 1e6])
def test_a_place_that_is_none_is_refused(mm: float) -> None:
    with pytest.raises(PacketFault, match="no place on a machine"):
        Grid("mm", 4).steps(mm)


def test_moves_that_vanish_in_rounding_are_left_out_and_nothing_adds_up() -> None:
    """A thousand moves of a twentieth of a step each end where they should, and none is written without a word."""
    moves = [Line((0.000005 * i, 0.0, 0.0), 100.0) for i in range(1, 1001)]
    steps = list(steps_of(moves, (0.0, 0.0, 0.0), MM))
    assert steps[-1].end == (50, 0, 0)
    assert len(steps) == 50


def test_a_pause_is_kept_where_it_stands() -> None:
    steps = list(steps_of([Rapid((1, 0, 5)), Pause((1, 0, 5), 2.0), Rapid((1, 0, 5))], (0, 0, 5), MM))
    assert [(step.code, step.pause_s) for step in steps] == [(0, 0.0), (4, 2.0)]


def test_a_full_circle_is_split_into_two_arcs() -> None:
    steps = list(steps_of([Arc((5.0, 0.0, 0.0), (0.0, 0.0), True, 100.0)], (5.0, 0.0, 0.0), MM))
    assert [(step.code, step.end) for step in steps] == [(2, (-50000, 0, 0)), (2, (50000, 0, 0))]


def test_no_arc_is_longer_than_half_a_turn_and_a_helix_sinks_evenly() -> None:
    helix = Arc((0.0, -5.0, -4.0), (0.0, 0.0), False, 100.0)  # three quarters of a turn
    steps = list(steps_of([helix], (5.0, 0.0, 0.0), MM))
    assert [step.end[2] for step in steps] == [-20000, -40000]


@pytest.mark.parametrize("dialect", [MM, COARSE, INCH, COARSE_INCH])
@pytest.mark.parametrize("clockwise", [True, False])
def test_an_arc_too_flat_for_the_grid_is_a_line(dialect: Dialect, clockwise: bool) -> None:
    """A controller might read its rounded ends as a full turn."""
    angle = 1e-4
    arc = Arc((math.cos(angle), (1 if not clockwise else -1) * math.sin(angle), 0.0), (0.0, 0.0), clockwise, 100.0)
    assert {step.code for step in steps_of([arc], (1.0, 0.0, 0.0), dialect)} <= {1}


def test_an_arc_whose_ends_are_on_two_circles_is_refused() -> None:
    with pytest.raises(PacketFault, match="do not lie on one circle"):
        list(steps_of([Arc((0.0, 5.01, 0.0), (0.0, 0.0), False, 100.0)], (5.0, 0.0, 0.0), MM))


def test_an_arc_about_its_own_start_is_refused() -> None:
    with pytest.raises(PacketFault, match="do not lie on one circle"):
        list(steps_of([Arc((5.0, 0.0, 0.0), (5.0, 0.0), False, 100.0)], (5.0, 0.0, 0.0), MM))


@given(
    centre=st.tuples(places, places),
    radius=st.floats(0.0005, 500),
    first=st.floats(0, 2 * math.pi),
    sweep=st.floats(1e-6, 2 * math.pi - 1e-5),  # one that ends where it begins is a dot
    clockwise=st.booleans(),
    dialect=st.sampled_from([MM, COARSE, INCH, COARSE_INCH]),
)
@example((0.009545585, 0.001550326), 1.99307137, 4.25716678, 2.75855967, False, COARSE)  # about the nearest centre: 0.0023 mm apart
def test_an_arc_is_read_as_it_was_meant(
    centre: tuple[float, float], radius: float, first: float, sweep: float, clockwise: bool, dialect: Dialect
) -> None:
    """Every arc is accepted by the rule of NISTIR 6556 3.5.3.2 and strays from the one meant by a few steps at most."""
    sign = -1 if clockwise else 1
    grid = Grid(dialect.units, dialect.decimals)

    def at(angle: float) -> tuple[float, float]:
        return centre[0] + radius * math.cos(angle), centre[1] + radius * math.sin(angle)

    start, end = at(first), at(first + sign * sweep)
    here = grid.place((*start, 0.0))
    length = 0.0
    for step in steps_of([Arc((*end, 0.0), centre, clockwise, 100.0)], (*start, 0.0), dialect):
        if step.offset is None:
            length += math.dist(here, step.end) * grid.step_mm
        else:
            middle = here[0] + step.offset[0], here[1] + step.offset[1]
            radii = math.dist(middle, here[:2]), math.dist(middle, step.end[:2])
            assert abs(radii[0] - radii[1]) <= grid.arc_tolerance
            assert math.dist(middle, (centre[0] / grid.step_mm, centre[1] / grid.step_mm)) <= 4
            turn = math.atan2(step.end[1] - middle[1], step.end[0] - middle[0]) - math.atan2(here[1] - middle[1], here[0] - middle[0])
            length += (sign * turn) % (2 * math.pi) * radii[0] * grid.step_mm
        here = step.end
    assert here == grid.place((*end, 0.0))
    # A dot of an arc vanishes; of any other the length shows that it goes the right way round.
    if radius > 6 * grid.step_mm:
        assert length == pytest.approx(radius * sweep, abs=12 * grid.step_mm, rel=0.02)


@given(st.floats(0.05, 300), st.floats(0.01, 2 * math.pi), st.booleans(), st.floats(0.001, 0.05))
def test_short_lines_stay_within_the_stated_tolerance_of_their_arc(radius: float, sweep: float, clockwise: bool, tolerance: float) -> None:
    sign = -1 if clockwise else 1
    end = (radius * math.cos(sign * sweep), radius * math.sin(sign * sweep), 0.0)
    dialect = Dialect(arcs=False, arc_tolerance_mm=tolerance)
    here = (radius, 0.0)
    for step in steps_of([Arc(end, (0.0, 0.0), clockwise, 100.0)], (radius, 0.0, 0.0), dialect):
        assert step.code == 1
        place = step.end[0] * 1e-4, step.end[1] * 1e-4
        middle = (here[0] + place[0]) / 2, (here[1] + place[1]) / 2
        assert radius - tolerance <= math.hypot(*middle) <= radius + tolerance
        here = place
    assert here == pytest.approx(end[:2], abs=0.6e-4)
