from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from camtools.pictures.traces import Traced, entry_of, runs_in_box, section_of, swept_of, trace_of
from camtools.toolpath.moves import Arc, Cut, Line, Rapid
from tests.joint_specimens import dovetail, straight
from tests.output.specimens import BLADE, PROGRAMS, STRAIGHT

LOW, HIGH = (0.0, 0.0, -20.0), (100.0, 12.0, 0.0)
UP = Rapid((50.0, -20.0, 10.0))


def cut_of(*moves, cutter=STRAIGHT) -> Cut:
    return Cut(cutter, "trial", (UP, UP, *moves))


@pytest.mark.parametrize("clockwise", [False, True])
def test_arc_is_followed_within_five_hundredths(clockwise: bool) -> None:
    trace = trace_of(cut_of(Line((10.0, 0.0, -4.0), 900.0), Arc((0.0, 10.0, -8.0), (0.0, 0.0), clockwise, 900.0)))
    parts = np.stack([trace.starts, trace.ends], axis=1)[2:]
    assert np.hypot(parts[:, :, 0], parts[:, :, 1]) == pytest.approx(10.0)
    middles = parts.mean(axis=1)
    assert np.hypot(middles[:, 0], middles[:, 1]).min() >= 10.0 - 0.05
    turned = np.hypot(*(parts[:, 1, :2] - parts[:, 0, :2]).T).sum()
    assert turned == pytest.approx(10.0 * math.pi / 2 * (3 if clockwise else 1), rel=2e-3)
    assert np.all(np.diff(parts[:, 1, 2]) < 0)
    assert tuple(trace.ends[-1]) == (0.0, 10.0, -8.0)


def test_cutter_enters_and_leaves_wood_where_its_rim_meets_the_board() -> None:
    trace = trace_of(cut_of(Line((50.0, -20.0, -5.0), 400.0), Line((50.0, 40.0, -5.0), 900.0)))
    _, air, wood = runs_in_box(trace, LOW, HIGH, 3.0)
    assert wood.parts.tolist() == [[[50.0, -3.0], [50.0, 15.0]]]
    assert wood.entries.tolist() == [[50.0, -3.0]]
    assert wood.exits.tolist() == [[50.0, 15.0]]
    assert sorted(air.parts[:, :, 1].ravel().tolist()) == [-20.0, -3.0, 15.0, 40.0]


def test_cutter_is_in_air_above_the_wood_and_on_its_top() -> None:
    trace = trace_of(cut_of(Line((50.0, 6.0, 0.0), 400.0), Line((60.0, 6.0, 0.0), 900.0)))
    assert len(runs_in_box(trace, LOW, HIGH, 3.0)[2].parts) == 0


def test_cutter_that_stays_in_wood_enters_it_once() -> None:
    trace = trace_of(
        cut_of(
            Line((50.0, -20.0, -5.0), 400.0),
            Line((50.0, 6.0, -5.0), 900.0),
            Line((70.0, 6.0, -5.0), 900.0),
            Line((70.0, -9.0, -5.0), 900.0),
        )
    )
    wood = runs_in_box(trace, LOW, HIGH, 3.0)[2]
    assert wood.entries.tolist() == [[50.0, -3.0]]
    assert wood.exits.tolist() == [[70.0, -3.0]]
    assert len(wood.parts) == 3


def test_what_is_run_twice_is_drawn_once() -> None:
    there = [Line((50.0, 6.0, -z), 900.0) for z in (2.0, 4.0)]
    back = Line((50.0, -20.0, -4.0), 900.0)
    trace = trace_of(cut_of(Line((50.0, -20.0, -2.0), 400.0), there[0], Line((50.0, -20.0, -2.0), 900.0), back, there[1]))
    wood = runs_in_box(trace, LOW, HIGH, 3.0)[2]
    assert len(wood.parts) == 2  # there and back again
    assert len(wood.entries) == 1


places = st.tuples(st.floats(-30, 130), st.floats(-40, 50), st.just(-3.0))


@given(places, places, st.floats(0.5, 12.0))
def test_wood_is_met_where_the_board_is_no_further_than_the_radius(start, end, radius) -> None:
    if math.dist(start, end) < 0.1:
        return
    trace = Traced(np.array([start]), np.array([end]), np.array([False]))
    wood = runs_in_box(trace, LOW, HIGH, radius)[2]
    found = float(np.hypot(*(wood.parts[:, 1] - wood.parts[:, 0]).T).sum())
    x, y = np.linspace(start[:2], end[:2], 4001).T
    away = np.hypot(np.maximum(0.0, np.maximum(LOW[0] - x, x - HIGH[0])), np.maximum(0.0, np.maximum(LOW[1] - y, y - HIGH[1])))
    assert found == pytest.approx(float((away <= radius).mean()) * math.dist(start, end), abs=0.25)


@pytest.mark.parametrize(("diameter", "angle", "depth"), [(12.7, 14.0, 15.0), (9.5, 9.0, 8.0), (6.0, 0.0, 5.0)])
def test_section_of_a_straight_pass_is_the_cutters_own_outline(diameter: float, angle: float, depth: float) -> None:
    cutter = dovetail(diameter, angle) if angle else straight(diameter)
    cut = cut_of(Line((50.0, -20.0, -depth), 400.0), Line((50.0, 40.0, -depth), 900.0), cutter=cutter)
    lean = math.tan(math.radians(angle))
    outline = [
        (50 + x * way, z - depth) for way, side in ((1, (0.0, depth)), (-1, (depth, 0.0))) for z in side for x in (diameter / 2 - z * lean,)
    ]
    section = section_of(cut, "y", 6.0)
    assert section.symmetric_difference(shapely.Polygon(outline)).area < 1e-6


def test_section_across_a_pass_that_ends_in_wood_is_empty_beyond_its_end() -> None:
    cut = cut_of(Line((50.0, -20.0, -5.0), 400.0), Line((50.0, 6.0, -5.0), 900.0))
    assert section_of(cut, "y", 8.9).area > 0
    assert section_of(cut, "y", 9.1).is_empty


@pytest.mark.parametrize("program", PROGRAMS, ids=lambda program: program.stem)
def test_section_agrees_with_what_is_swept_at_every_level(program) -> None:
    cut = program.cuts[-1]
    trace = trace_of(cut).deepest()
    axis = "x" if program.setup.end == "groove" else "y"
    at = float(trace.starts[:, 0].mean()) if axis == "x" else -5.0
    section, depth = section_of(cut, axis, at), -float(trace.ends[:, 2].min())
    for height in (0.02, depth / 2, depth - 0.02):
        swept = swept_of(trace, cut.cutter.diameter_mm / 2 - height * math.tan(math.radians(cut.cutter.angle_deg)))
        ends = [(at, -500), (at, 500)] if axis == "x" else [(-500, at), (500, at)]
        across = shapely.LineString(ends).intersection(swept).length
        seen = shapely.LineString([(-500, height - depth), (500, height - depth)]).intersection(section).length
        assert across > 1
        assert seen == pytest.approx(across, rel=0.004)


def test_swept_width_of_a_straight_pass_is_a_slot_with_round_ends() -> None:
    trace = trace_of(cut_of(Line((50.0, -20.0, -5.0), 400.0), Line((50.0, 40.0, -5.0), 900.0))).deepest()
    assert swept_of(trace, 3.0).area == pytest.approx(60 * 6 + math.pi * 9, rel=1e-3)


def test_deepest_level_leaves_lighter_passes_out() -> None:
    trace = trace_of(
        cut_of(
            Line((50.0, -20.0, -2.0), 400.0),
            Line((50.0, 40.0, -2.0), 900.0),
            Line((50.0, 40.0, -4.0), 400.0),
            Line((50.0, -20.0, -4.0), 900.0),
        )
    )
    assert trace.deepest().starts.tolist() == [[50.0, 40.0, -4.0]]


def test_half_blind_section_shows_tails_with_the_slope_of_the_cutter() -> None:
    program = next(program for program in PROGRAMS if program.stem[3:] == "left-side-1-front-end")
    joint = program.setup.piece.half_blind
    section = section_of(program.cuts[-1], "y", -2.0)
    wood = shapely.box(0, -joint.length_mm, joint.width_mm, 0).difference(section)
    tails = [part for part in shapely.get_parts(wood) if part.area > 20]
    assert len(tails) == len(joint.tails)
    for part, tail in zip(tails, joint.tails, strict=True):
        mean = tail.width_mm - joint.length_mm * math.tan(math.radians(BLADE.angle_deg))
        assert part.area == pytest.approx(joint.length_mm * mean, rel=1e-3)


@pytest.mark.parametrize(
    ("way", "whence", "place"),
    [
        ([(50.0, -20.0, -5.0), (50.0, 40.0, -5.0)], "your side", (50.0, -3.0, -5.0)),
        ([(50.0, 40.0, -5.0), (50.0, -20.0, -5.0)], "beyond the end", (50.0, 15.0, -5.0)),
        ([(-20.0, -20.0, -5.0), (-20.0, 6.0, -5.0), (50.0, 6.0, -5.0)], "the left", (-3.0, 6.0, -5.0)),
        ([(120.0, -20.0, -5.0), (120.0, 6.0, -5.0), (50.0, 6.0, -5.0)], "the right", (103.0, 6.0, -5.0)),
        ([(30.0, 6.0, 2.0), (50.0, 6.0, -3.0)], "above", (38.0, 6.0, 0.0)),
        ([(20.0, -4.0, -5.0), (90.0, -2.5, -5.0)], "your side", (20.0 + 70 / 1.5, -3.0, -5.0)),
    ],
)
def test_cutter_first_meets_the_board_where_its_rim_does(way, whence, place) -> None:
    """A cutter of 6 mm, a board 100 mm by 12 mm; the last runs along the near face and comes nearer by 1.5 mm on 70 mm."""
    entry = entry_of(cut_of(*(Line(end, 900.0) for end in way)), LOW, HIGH)
    assert entry.whence == whence
    assert entry.place == pytest.approx(place, abs=1e-3)
    assert tuple(entry.before[-1]) == tuple(entry.after[0]) == pytest.approx(entry.place)


def test_cutter_that_never_meets_the_board_has_no_entry() -> None:
    with pytest.raises(ValueError, match="never meets"):
        entry_of(cut_of(Line((50.0, -20.0, -5.0), 900.0)), LOW, HIGH)
