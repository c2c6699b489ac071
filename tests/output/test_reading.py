"""The reader that judges our programs in these tests is itself held to the standard's examples and to broken programs."""

import math

import pytest

from tests.output.reading import Broken, read

START = "G21 G17 G90 G94 G40 G49 G54\nG80\nM5\nT1 M6 G43 H1\nG0 Z5\nG0 X{x} Y{y}\nS100 M3\n"
END = "M5\nM30\n"


def test_arc_of_the_standard_has_its_printed_centre_and_radius() -> None:
    """NISTIR 6556 section 3.5.3.2, page 25: from (7, 7, 9), centre (10, 11), radius 5; sweep by arithmetic."""
    reading = read("G21 G17 G90 G94 G40 G49 G54\nG80\nG0 X7 Y7 Z9\nG17 G2 x10 y16 i3 j4 z9 F100\n" + END)
    arc = reading.motions[-1]
    assert arc.centre == (10.0, 11.0)
    assert math.dist(arc.start[:2], arc.centre) == pytest.approx(5.0)
    assert math.degrees(arc.sweep) == pytest.approx(-143.130, abs=0.001)


@pytest.mark.parametrize(
    ("start", "code", "centre", "sweep_deg"),
    [
        ((16, 2.5), "g3 x13.5 y0 i-2.5", (13.5, 2.5), 270),
        ((32.5, 0), "g2 x32.5 j2.5", (32.5, 2.5), -360),
        ((79.5, 0), "g2 j2.5 y5", (79.5, 2.5), -180),
    ],
)
def test_arcs_of_the_sample_program_sweep_as_they_should(
    start: tuple[float, float], code: str, centre: tuple[float, float], sweep_deg: float
) -> None:
    """NISTIR 6556 appendix C.1, pages 84-85: arcs of the sample program; sweeps by arithmetic."""
    arc = read(START.format(x=start[0], y=start[1]) + code + " f100\n" + END).motions[-1]
    assert arc.centre == pytest.approx(centre)
    assert math.degrees(arc.sweep) == pytest.approx(sweep_deg)


def test_spaces_inside_numbers_are_ignored() -> None:
    """NISTIR 6556 section 3.3, page 15: ``g0x +0. 12 34y 7`` is ``g0 x+0.1234 y7``."""
    assert read(START.format(x=0, y=0) + "g0x +0. 12 34y 7\n" + END).motions[-1].end == (0.1234, 7.0, 5.0)


@pytest.mark.parametrize(
    "line",
    [
        "G1 X1e3 F100", "G1 X. F100", "G1 X1,5 F100", "G1 X--1 F100", "G1 X1 X2 F100", "G0 G1 X1 F100", "M3 M5", "G1 X1", "G1 F100", "X1",
        "G1 X1 F-1", "G2 X1 Y1 I0.5 J0.4 F100", "G2 I1 J1 F100", "G1 X1 I1 F100",
        "(open", "closed)", "( ( )", "(MSG, hello)", "( m sg ,x)",
        "G21", "T2 M6", "G4", "P1", "H1", "G1 X1 F100 N5", "N123456 G0 X1", "G53 G0 X1",
        "G0 X1;no(te", "G1 X1 É", "O100", "%", "G1.5 X1 F9", "M30",
        "G1 X1 F100 " + " " * 253,
    ],
)  # fmt: skip
def test_a_broken_line_is_refused(line: str) -> None:
    with pytest.raises(Broken):
        read(START.format(x=0, y=0) + line + "\n" + END)


def test_what_a_person_may_change_at_a_stop_is_in_force_no_more() -> None:
    """NISTIR 6556 section 3.6.1: the program goes on as the machine then stands."""
    stopped = START.format(x=0, y=0) + "M5\nM0 (set Z zero of G54)\n{}G0 Z5\n" + END
    assert read(stopped.format("G21 G17 G90 G94 G54\n")).ended
    for left_out in ("G21 ", "G17 ", "G90 ", "G94 ", " G54"):
        with pytest.raises(Broken, match="motion before"):
            read(stopped.format("G21 G17 G90 G94 G54\n".replace(left_out, "")))


def test_a_program_without_an_end_is_refused() -> None:
    with pytest.raises(Broken, match="no end"):
        read(START.format(x=0, y=0))
