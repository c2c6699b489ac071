"""Carved volumes against closed forms of solid geometry (any textbook of the mensuration of solids)."""

from __future__ import annotations

import itertools
import math

import pytest

from camtools.output.manifest import Matrix, ToolEntry
from camtools.verify.carving.carve import BoardWork, Carving, CarvingFault, carve, solid_of
from camtools.verify.reader.motion import Motion

FLAT: Matrix = ((1.0, 0.0, 0.0, 0.0), (0.0, 1.0, 0.0, 0.0), (0.0, 0.0, 1.0, -20.0))  # 20 mm thick, inside face at Z0
DOVETAIL = ToolEntry(number=1, kind="dovetail", diameter=12.7, half_angle=14.0, cutting_length=12.0, shank=6.35)
STRAIGHT = ToolEntry(number=2, kind="straight", diameter=6.0, half_angle=0.0, cutting_length=22.0, shank=6.0)
TOOLS = {1: DOVETAIL, 2: STRAIGHT}
SLOPE = math.tan(math.radians(14.0))
BLANK = (100.0, 60.0, 20.0)
WHOLE = 100.0 * 60.0 * 20.0


def line(start, end, tool, kind="feed"):
    return Motion(kind, 1, start, end, None, 0.0, 1000.0, 18000.0, tool, "G54")


def arc(start, end, centre, sweep, tool):
    return Motion("arc", 1, start, end, centre, sweep, 1000.0, 18000.0, tool, "G54")


def removed(*motions, to_machine=FLAT):
    carved = carve(Carving(BLANK, (BoardWork("p.ngc", to_machine, motions),), TOOLS))
    return WHOLE - solid_of(carved).volume(), carved


def test_dovetail_slot_through_the_board_is_a_trapezoid_prism_exactly():
    depth = 9.0
    volume, carved = removed(line((50.0, -20.0, -depth), (50.0, 80.0, -depth), 1))
    assert volume == pytest.approx(60.0 * depth * (12.7 - depth * SLOPE), rel=1e-9)
    assert carved.bound_mm == 0.0


@pytest.mark.parametrize("way", [0.0, 17.0, 45.0, 133.7])
def test_skew_dovetail_slot_keeps_exact_flanks(way):
    """A slot through the middle in any direction: its section times the length of its middle plane in the board."""
    ux, uy = math.cos(math.radians(way)), math.sin(math.radians(way))
    start, end = (50 - 100 * ux, 30 - 100 * uy, -8.0), (50 + 100 * ux, 30 + 100 * uy, -8.0)
    volume, _ = removed(line(start, end, 1))
    # Each level is a strip across the board; where it meets only opposite edges its area is width times run.
    run = 60.0 / uy if uy > 0.6 else 100.0 / ux
    assert volume == pytest.approx(run * 8.0 * (12.7 - 8.0 * SLOPE), rel=1e-9)


def test_slot_that_ends_in_the_wood_falls_short_of_the_frustum_by_no_more_than_the_bound():
    """Half a frustum of a cone at the blind end: V = pi h (R^2 + R r + r^2) / 6."""
    depth = 9.0
    volume, carved = removed(line((50.0, -20.0, -depth), (50.0, 30.0, -depth), 1))
    wide, narrow = 6.35, 6.35 - depth * SLOPE
    exact = 30.0 * depth * (wide + narrow) + math.pi * depth * (wide**2 + wide * narrow + narrow**2) / 6
    assert 0.0 < carved.bound_mm <= 0.002
    rounded_area = math.pi * depth * math.hypot(1, SLOPE) * (wide + narrow) / 2
    assert exact - carved.bound_mm * rounded_area <= volume <= exact


def test_slot_with_two_round_ends_falls_short_by_no_more_than_the_bound():
    volume, carved = removed(line((30.0, 30.0, -5.0), (70.0, 30.0, -5.0), 2))
    exact = 5.0 * (40.0 * 6.0 + math.pi * 9.0)
    assert 0.0 < carved.bound_mm <= 0.002
    assert exact - carved.bound_mm * 5.0 * math.pi * 6.0 <= volume <= exact


def test_ends_of_a_slot_are_exact_straight_ahead_and_at_its_flanks():
    _, carved = removed(line((30.0, 30.0, -5.0), (70.0, 30.0, -5.0), 2))
    low, high = carved.corners[carved.corners[:, 2] < 19.9].min(axis=0), carved.corners.max(axis=0)
    hole = carved.corners[(carved.corners[:, 2] == 15.0)]
    assert hole.min(axis=0) == pytest.approx([27.0, 27.0, 15.0], abs=1e-9)
    assert hole.max(axis=0) == pytest.approx([73.0, 33.0, 15.0], abs=1e-9)
    assert (low[0], high[0]) == (0.0, 100.0)


@pytest.mark.parametrize(("sweep", "tool"), [(90.0, 1), (-90.0, 1), (180.0, 2), (-270.0, 2), (360.0, 2)])
def test_arc_slot_agrees_with_the_theorem_of_pappus(sweep, tool):
    """Area of the section times the way of its centroid, and half a cutter at each end (Pappus and Guldin)."""
    depth, radius, cutter = 8.0, 15.0, TOOLS[tool]
    first = math.radians(20.0)
    last = first + math.radians(sweep)
    start = (50 + radius * math.cos(first), 30 + radius * math.sin(first), -depth)
    end = (50 + radius * math.cos(last), 30 + radius * math.sin(last), -depth)
    if abs(sweep) == 360.0:
        end = start
    volume, carved = removed(arc(start, end, (50.0, 30.0), sweep, tool))
    slope = math.tan(math.radians(cutter.half_angle))
    wide, narrow = cutter.diameter / 2, cutter.diameter / 2 - depth * slope
    section = depth * (wide + narrow)
    exact = section * radius * abs(math.radians(sweep))
    if abs(sweep) < 360.0:
        exact += math.pi * depth * (wide**2 + wide * narrow + narrow**2) / 3
    walls = 2 * depth * math.hypot(1, slope) * (radius * abs(math.radians(sweep)) + math.pi * wide)
    assert 0.0 < carved.bound_mm <= 0.002
    assert volume == pytest.approx(exact, abs=carved.bound_mm * walls)
    assert volume != exact  # it is chords, after all


def test_bend_that_starts_and_ends_beside_the_board_has_its_bound():
    """Half a turn about a place 10 mm before the board: what a disc of circles leaves of it there, by their segments."""
    depth, out = 8.0, 10.0
    volume, carved = removed(arc((80.0, -out, -depth), (20.0, -out, -depth), (50.0, -out), 180.0, 2))

    def segment(radius):
        return radius**2 * math.acos(out / radius) - out * math.sqrt(radius**2 - out**2)

    assert 0.0 < carved.bound_mm <= 0.002
    assert carved.sweeps == 1  # no cutter at its ends
    assert volume == pytest.approx(depth * (segment(33.0) - segment(27.0)), abs=carved.bound_mm * depth * math.pi * 60.0)


def short_lines(sweep, tool, depth, radius=15.0, step=1.5):
    """An arc about (50, 30) written as short lines."""
    count = int(abs(sweep) / step)
    angles = [math.radians(20.0 + sweep * i / count) for i in range(count + 1)]
    places = [(50 + radius * math.cos(a), 30 + radius * math.sin(a), -depth) for a in angles]
    return [line(a, b, tool) for a, b in itertools.pairwise(places)]


@pytest.mark.parametrize(("sweep", "tool"), [(90.0, 1), (-90.0, 1), (160.0, 2), (-330.0, 2)])
def test_arc_written_as_short_lines_is_carved_as_one_bend(sweep, tool):
    """The same closed form as for an arc; chords lie within r (1 - cos(step / 2)) of it, and few solids are needed."""
    depth, radius, cutter = 8.0, 15.0, TOOLS[tool]
    volume, carved = removed(*short_lines(sweep, tool, depth))
    slope = math.tan(math.radians(cutter.half_angle))
    wide, narrow = cutter.diameter / 2, cutter.diameter / 2 - depth * slope
    exact = depth * (wide + narrow) * radius * abs(math.radians(sweep)) + math.pi * depth * (wide**2 + wide * narrow + narrow**2) / 3
    walls = 2 * depth * math.hypot(1, slope) * (radius * abs(math.radians(sweep)) + math.pi * wide)
    chord = (radius + wide) * (1 - math.cos(math.radians(0.75)))
    assert carved.bound_mm <= 0.002
    assert carved.sweeps <= 3 * math.ceil(abs(sweep) / 170)
    assert volume == pytest.approx(exact, abs=(carved.bound_mm + chord) * walls)


def test_short_lines_and_single_hulls_carve_the_same():
    """Joined to a bend or taken one by one: the same board, but for the corners on the outside, within the bound."""
    motions = short_lines(120.0, 1, 8.0)
    joined, bent = removed(*motions)
    one = carve(Carving(BLANK, tuple(BoardWork("p.ngc", FLAT, (motion,)) for motion in motions), TOOLS))
    single = one.removed_mm3
    assert bent.sweeps < 10 < one.sweeps
    assert joined == pytest.approx(single, abs=(bent.bound_mm + one.bound_mm) * 2 * 8.0 * 40.0)


def test_lines_that_wind_to_and_fro_are_no_bend():
    """Turns to both sides, turns too sharp and lines too short for the cutter are swept one by one."""
    winding = [(10.0 + 4 * i, 30.0 + (0.2 if i % 2 else 0.0), -4.0) for i in range(15)]
    volume, carved = removed(*(line(a, b, 2) for a, b in itertools.pairwise(winding)))
    assert carved.sweeps == 14
    assert volume == pytest.approx(4.0 * (56.0 * 6.0 + math.pi * 9.0), abs=4.0 * 0.3 * 56.0)
    tight = [(50 + 2 * math.cos(i / 10), 30 + 2 * math.sin(i / 10), -4.0) for i in range(64)]
    volume, carved = removed(*(line(a, b, 2) for a, b in itertools.pairwise(tight)))
    assert carved.sweeps == 63
    assert volume == pytest.approx(4.0 * math.pi * 25.0, rel=2e-3)


def test_ramp_agrees_with_its_closed_form():
    """A cylinder going down along a ramp, in and out of the wood through the board's ends: a prism with a slanting floor,
    whose floor is the lower edge of a slanting cylinder's flat end.
    """
    start, end = (-20.0, 30.0, 2.0), (120.0, 30.0, -5.0)
    volume, carved = removed(line(start, end, 2))
    # At a place (x, y) the floor is the tip's height when the trailing half of the disc passes: z(x + sqrt(r^2 - y^2)).
    fall, r = 7.0 / 140.0, 3.0

    def depth(x, y):
        return max(0.0, fall * (x + math.sqrt(r * r - y * y) + 20.0) - 2.0)

    steps = 400
    exact = 0.0
    for i in range(steps):  # over y the integrand has a root: substitute y = r sin(t)
        t = math.pi * ((i + 0.5) / steps - 0.5)
        y = r * math.sin(t)
        # depth is linear in x beyond the place where it begins
        begin = max(0.0, 2.0 / fall - 20.0 - math.sqrt(r * r - y * y))
        exact += (100.0 - begin) * (depth(begin, y) + depth(100.0, y)) / 2 * r * math.cos(t) * math.pi / steps
    assert carved.bound_mm <= 0.002
    assert volume == pytest.approx(exact, abs=carved.bound_mm * 100.0 * 7.0)


def test_plunge_cuts_a_cylinder_and_a_helix_a_closed_round():
    volume, carved = removed(line((50.0, 30.0, 5.0), (50.0, 30.0, -6.0), 2))
    assert volume == pytest.approx(math.pi * 9.0 * 6.0, abs=carved.bound_mm * math.pi * 36.0)
    start = (60.0, 30.0, 1.0)
    down = arc(start, (60.0, 30.0, -4.0), (50.0, 30.0), 360.0, 2)
    level = arc((60.0, 30.0, -4.0), (60.0, 30.0, -4.0), (50.0, 30.0), 360.0, 2)
    # By itself it clears the round to half its depth on average, and at most a whole cutter's disc more.
    ring, disc = math.pi * (13.0**2 - 7.0**2), math.pi * 9.0
    volume, carved = removed(arc((*start[:2], 0.0), (60.0, 30.0, -4.0), (50.0, 30.0), 360.0, 2))
    assert 2.0 * ring < volume < 2.0 * ring + 4.0 * disc
    assert carved.corners[:, 2][carved.corners[:, 2] > 0.0].min() == pytest.approx(16.0)
    volume, carved = removed(down, level)
    assert volume == pytest.approx(4.0 * math.pi * (13.0**2 - 7.0**2), abs=carved.bound_mm * 4.0 * math.pi * 40.0)


def test_arc_tighter_than_the_cutter_is_a_round_hole():
    """A full turn about a point nearer than the cutter's radius clears a disc of both radii together."""
    start = (52.0, 30.0, -4.0)
    volume, carved = removed(arc(start, start, (50.0, 30.0), -360.0, 2))
    assert 0.0 < carved.bound_mm <= 0.005
    assert volume == pytest.approx(4.0 * math.pi * 25.0, abs=carved.bound_mm * 4.0 * math.pi * 10.0)


def test_shank_cuts_where_it_meets_wood():
    """12 mm of cutting length at 15 mm depth: the shank, thicker than the neck, widens the slot's mouth by 3 mm of depth."""
    volume, _ = removed(line((50.0, -20.0, -15.0), (50.0, 80.0, -15.0), 1))
    assert volume == pytest.approx(60.0 * (12.0 * (12.7 - 12.0 * SLOPE) + 3.0 * 6.35), rel=1e-9)


def test_motions_beside_the_board_leave_it_whole_and_cost_no_sweep():
    volume, carved = removed(line((-7.0, -20.0, -9.0), (-7.0, 80.0, -9.0), 1), line((0.0, 0.0, 5.0), (90.0, 50.0, 5.0), 1, "rapid"))
    assert volume == pytest.approx(0.0, abs=1e-9)
    assert carved.sweeps == 0


def test_rapid_through_wood_cuts_as_any_motion_does():
    volume, _ = removed(line((50.0, -20.0, -9.0), (50.0, 80.0, -9.0), 2, "rapid"))
    assert volume == pytest.approx(60.0 * 9.0 * 6.0, rel=1e-9)


def test_passes_level_by_level_merge_into_the_deepest():
    passes = [line((50.0, -20.0, -z), (50.0, 80.0, -z), 2) for z in (2.0, 4.0, 6.0)]
    volume, carved = removed(*passes)
    assert carved.sweeps == 1
    assert volume == pytest.approx(60.0 * 6.0 * 6.0, rel=1e-9)


@pytest.mark.parametrize(("heights", "cutting", "sweeps"), [
    ([(-1, -3), (-3, -5)], 22.0, 1), ([(-3, -5), (-1, -3)], 22.0, 1), ([(-1, -5), (-5, -1)], 22.0, 2), ([(-1, -3), (-3, -5)], 4.0, 3),
])  # fmt: skip
def test_a_ramp_is_left_out_above_one_that_is_deeper_all_along(heights, cutting, sweeps):
    """Ramps to and fro through the board, as deep in the end as the deeper one is at each place; one that has no edges left counts."""
    ramps = [line((-20.0, 30.0, a), (120.0, 30.0, b), 2) for a, b in heights]
    ramps[1] = line(ramps[1].end, ramps[1].start, 2)
    cutter = ToolEntry(number=2, kind="straight", diameter=6.0, half_angle=0.0, cutting_length=cutting, shank=6.0)
    carved = carve(Carving(BLANK, (BoardWork("p.ngc", FLAT, tuple(ramps)),), {2: cutter}))
    one_by_one = [carve(Carving(BLANK, (BoardWork("p.ngc", FLAT, (ramp,)),), {2: cutter})) for ramp in ramps]
    left = solid_of(one_by_one[0]) ^ solid_of(one_by_one[1])
    assert carved.sweeps == sweeps
    assert solid_of(carved).volume() == pytest.approx(left.volume(), rel=1e-9)


def test_a_deeper_pass_leaves_what_its_shank_is_too_thin_for():
    """A cutter 4 mm long on a thin shank, at 4 and at 8 mm: the deeper pass alone would leave the upper half narrow."""
    short = ToolEntry(number=2, kind="straight", diameter=6.0, half_angle=0.0, cutting_length=4.0, shank=3.0)
    passes = tuple(line((50.0, -20.0, -z), (50.0, 80.0, -z), 2) for z in (4.0, 8.0))
    carved = carve(Carving(BLANK, (BoardWork("p.ngc", FLAT, passes),), {2: short}))
    assert carved.removed_mm3 == pytest.approx(60.0 * 8.0 * 6.0, rel=1e-9)


def test_dovetail_passes_at_two_depths_are_both_kept():
    """A dovetail's shallower pass is wider at its own tip, so the deeper one does not cover it."""
    _, carved = removed(*(line((50.0, -20.0, -z), (50.0, 80.0, -z), 1) for z in (4.0, 8.0)))
    assert carved.sweeps == 2


def test_upright_board_is_carved_in_its_own_frame():
    """A left side, front end up (docs/joinery.md section 3): machine (v, -w, -u)."""
    upright: Matrix = ((0.0, 1.0, 0.0, 0.0), (0.0, 0.0, -1.0, 0.0), (-1.0, 0.0, 0.0, 0.0))
    volume, carved = removed(line((15.0, -40.0, -9.0), (15.0, 10.0, -9.0), 2), to_machine=upright)
    assert volume == pytest.approx(20.0 * 9.0 * 6.0, rel=1e-9)
    hole = carved.corners[(carved.corners[:, 0] > 0.0) & (carved.corners[:, 0] < 100.0)]
    assert hole[:, 0].max() == pytest.approx(9.0)
    assert (hole[:, 1].min(), hole[:, 1].max()) == pytest.approx((12.0, 18.0))


@pytest.mark.parametrize("mirrored", [False, True])
def test_rings_stay_solid_in_every_frame(mirrored):
    frame: Matrix = ((-1.0, 0.0, 0.0, 100.0), (0.0, 1.0, 0.0, 0.0), (0.0, 0.0, 1.0, -20.0)) if mirrored else FLAT
    motion = arc((60.0, 30.0, -4.0), (50.0, 40.0, -4.0), (50.0, 30.0), 90.0, 2)
    volume, carved = removed(motion, to_machine=frame)
    exact = 4.0 * (math.pi / 4 * (13.0**2 - 7.0**2) + math.pi * 9.0)
    assert volume == pytest.approx(exact, abs=carved.bound_mm * 4.0 * 60.0)


def test_outline_is_extruded():
    outline = ((0.0, 0.0), (100.0, 0.0), (100.0, 40.0), (80.0, 60.0), (0.0, 60.0))
    carved = carve(Carving((100.0, 60.0, 5.0), (), TOOLS, outline))
    assert solid_of(carved).volume() == pytest.approx(5.0 * (6000.0 - 200.0), rel=1e-9)


def test_motion_to_the_moon_is_refused_with_its_line():
    with pytest.raises(CarvingFault, match="line 1 moves further than 10 m"):
        removed(line((0.0, 0.0, 0.0), (1e12, 0.0, -5.0), 2))
