"""The reader against the worked examples of NISTIR 6556, *The NIST RS274/NGC Interpreter - Version 3* (Kramer, Proctor, Messina, 2000).

Each row names section or table and printed page. "Derived" figures follow by arithmetic from the report's canonical output.
"""

from __future__ import annotations

import math

import pytest

from camtools.verify.reader.interpreter import run
from camtools.verify.reader.motion import Motion, ProgramRun

STATED = "G21 G17 G90 G94 G40 G54 G80\nF100\n"


def run_from(start: tuple[float, float, float], code: str, stated: str = STATED) -> ProgramRun:
    made = run(f"{stated}{code}\nM2\n", "vector.ngc", start=start)
    assert made.complete, made.findings
    assert not [finding for finding in made.findings if finding.severity == "error"]
    return made


def length_mm(motion: Motion) -> float:
    if motion.centre is None:
        return math.dist(motion.start, motion.end)
    radius = math.dist(motion.start[:2], motion.centre)
    return math.hypot(math.radians(motion.sweep_deg) * radius, motion.end[2] - motion.start[2])


def extent(motions: tuple[Motion, ...], axis: int) -> tuple[float, float]:
    """Lowest and highest place on an axis; an arc by the points where its circle is highest and lowest."""
    places = [motion.end[axis] for motion in motions] + [motions[0].start[axis]]
    for motion in motions:
        if motion.centre is None:
            continue
        radius = math.dist(motion.start[:2], motion.centre)
        begin = math.degrees(math.atan2(motion.start[1] - motion.centre[1], motion.start[0] - motion.centre[0]))
        for quarter in (0.0, 90.0, 180.0, 270.0):
            way = (quarter - begin) % 360.0 if motion.sweep_deg > 0 else (begin - quarter) % 360.0
            if way <= abs(motion.sweep_deg):
                angle = math.radians(quarter)
                places.append(motion.centre[axis] + radius * (math.cos(angle), math.sin(angle))[axis])
    return min(places), max(places)


@pytest.mark.parametrize(
    ("start", "code", "centre", "radius", "sweep"),
    [
        pytest.param((7, 7, 9), "G17 G2 x10 y16 i3 j4 z9", (10, 11), 5, -143.130, id="3.5.3.2 p25, sweep derived"),
        pytest.param((3, 1, 0), "g2 x0 r7.01 z0.5", (1.5, 7.8476), 7.01, -24.712, id="Table 10 p64, sweep derived"),
        pytest.param((16, 2.5, 0), "g3 x13.5 y0 i-2.5", (13.5, 2.5), 2.5, 270, id="C.1 p84, derived"),
        pytest.param((32.5, 0, 0), "g2 x32.5 j2.5", (32.5, 2.5), 2.5, -360, id="C.1 p84, derived"),
        pytest.param((64, 4, 0), "g2 x69 r4", (66.5, 0.8775), 4, -77.364, id="C.1 p85, derived"),
        pytest.param((79.5, 0, 0), "g2 j2.5 y5", (79.5, 2.5), 2.5, -180, id="C.1 p85, derived"),
    ],
)
def test_arcs_have_the_printed_centre_and_turn(
    start: tuple[float, float, float], code: str, centre: tuple[float, float], radius: float, sweep: float
) -> None:
    (arc,) = run_from(start, code).motions
    assert arc.kind == "arc"
    assert arc.centre == pytest.approx(centre, abs=5e-5)
    assert math.dist(arc.start[:2], arc.centre or ()) == pytest.approx(radius, abs=5e-4)
    assert arc.sweep_deg == pytest.approx(sweep, abs=1e-3)


def test_the_first_arc_has_the_derived_length_and_extent() -> None:
    """3.5.3.2 p25, derived: 12.4905 long, X 5 to 10, Y 7 to 16."""
    made = run_from((7, 7, 9), "G17 G2 x10 y16 i3 j4 z9").motions
    assert length_mm(made[0]) == pytest.approx(12.4905, abs=5e-5)
    assert extent(made, 0) == pytest.approx((5, 10))
    assert extent(made, 1) == pytest.approx((7, 16))


def test_the_arc_of_table_10_ends_where_printed() -> None:
    """Table 10 p64: ARC_FEED(0.0000, 1.0000, 1.5000, 7.8476, -1, 0.5000)."""
    (arc,) = run_from((3, 1, 0), "g2 x0 r7.01 z0.5").motions
    assert arc.end == pytest.approx((0, 1, 0.5))


TABLE_12 = """g1 x1 y5
g1 y4
G3 X2 Y3 I1
G2 X3 Y2 J-1
G1 Y-1
G2 X2 Y-2 I-1
G1 X-2
G2 X-2.6 Y-0.2 J1
G1 X1.4 Y2.8
G2 X2 Y3 I0.6 J-0.8"""
TABLE_13 = """g1 x1.5 y5
g1 y4
G3 X2 Y3.5 I0.5
G2 X3.5 Y2 J-1.5
G1 Y-1
G2 X2 Y-2.5 I-1.5
G1 X-2
G2 X-2.9 Y0.2 J1.5
G1 X1.1 Y3.2
G2 X2 Y3.5 I0.9 J-1.2"""
CENTRES = [(2, 4), (2, 2), (2, -1), (-2, -1), (2, 2)]


@pytest.mark.parametrize(
    ("code", "radii", "x", "y", "length"),
    [
        pytest.param(TABLE_12, [1, 1, 1, 1, 1], (-3, 3), (-2, 5), 25.953, id="Table 12 p77, derived, without compensation"),
        pytest.param(
            TABLE_13, [0.5, 1.5, 1.5, 1.5, 1.5], (-3.5, 3.5), (-2.5, 5), 28.4303, id="Table 13 p79, derived, without compensation"
        ),
    ],
)
def test_the_two_contours_have_the_derived_figures(
    code: str, radii: list[float], x: tuple[float, float], y: tuple[float, float], length: float
) -> None:
    """The two opening lines are not in the tables; their points follow from the derived lengths."""
    motions = run_from((0, 0, 0), code).motions
    arcs = [motion for motion in motions if motion.centre]
    for arc, centre, radius, sweep in zip(arcs, CENTRES, radii, [90, -90, -90, -143.130, -36.870], strict=True):
        assert arc.centre == pytest.approx(centre)
        assert math.dist(arc.start[:2], arc.centre or ()) == pytest.approx(radius)
        assert arc.sweep_deg == pytest.approx(sweep, abs=5e-4)
    assert sum(arc.sweep_deg for arc in arcs if arc.sweep_deg < 0) == pytest.approx(-360)
    assert sum(map(length_mm, motions)) == pytest.approx(length, abs=6e-4)
    assert extent(motions, 0) == pytest.approx(x)
    assert extent(motions, 1) == pytest.approx(y)


def test_spaces_and_case_do_not_matter() -> None:
    """3.3 p15."""
    spread = run_from((0, 0, 0), "g0x +0. 12 34y 7").motions
    assert [motion.end for motion in spread] == [motion.end for motion in run_from((0, 0, 0), "g0 x+0.1234 y7").motions]
    assert spread[0].end == (0.1234, 7, 0)
