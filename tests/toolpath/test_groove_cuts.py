"""Stopped grooves: ramps, round ends, run-outs and refusals."""

import math

import pytest
from shapely import LineString, box

from camtools.drawer.boards import Groove
from camtools.faults import CannotCut
from camtools.toolpath.groove_cuts import groove_cut
from camtools.toolpath.moves import Line
from tests.joint_specimens import AIR, straight
from tests.toolpath.sweeping import left_of, moves_with_start, wood_in_the_way

WIDTHS = [6.0, 6.15, 9.0, 14.0]


def groove(width: float = 6.0, start: float = 18.0, stop: float = 232.0, depth: float = 5.0) -> Groove:
    return Groove(10.0, width, depth, start, stop, straight(6.0, depth_per_pass=2.0))


@pytest.mark.parametrize("stop", ["left", "right"])
@pytest.mark.parametrize("width", WIDTHS)
def test_the_groove_has_its_width_and_round_ends(width: float, stop: str) -> None:
    """At full depth the groove is what rounding a rectangle's corners by the cutter's radius gives, and nothing is left in it."""
    sign = 1 if stop == "left" else -1
    wood = box(*sorted((0.0, sign * 250.0))[:1], 0.0, max(0.0, sign * 250.0), 100.0)
    cut = groove_cut(groove(width), 250.0, stop, AIR)
    left = left_of(wood, cut, -5.0 + 1e-9)
    inner = LineString([(sign * 21.0, 13.0), (sign * 229.0, 13.0)])
    if width > 6.0:
        inner = box(min(sign * 21.0, sign * 229.0), 13.0, max(sign * 21.0, sign * 229.0), 10.0 + width - 3.0)
    wanted = wood.difference(inner.buffer(3.0, quad_segs=90))
    assert left.symmetric_difference(wanted).area < 0.05


@pytest.mark.parametrize("width", WIDTHS)
def test_no_place_is_cut_deeper_than_the_setting_at_once(width: float) -> None:
    """Along the middle of every line each pass goes at most one depth per pass below the last."""
    cut = groove_cut(groove(width), 250.0, "left", AIR)
    for x in (21.0, 60.0, 125.0, 229.0):
        reached: dict[float, float] = {}
        for start, move in moves_with_start(cut):
            if isinstance(move, Line) and start[1] == move.end[1] and min(start[0], move.end[0]) <= x <= max(start[0], move.end[0]):
                run = move.end[0] - start[0]
                z = max(start[2], move.end[2]) if run == 0 else start[2] + (move.end[2] - start[2]) * (x - start[0]) / run
                before = reached.get(start[1], 0.0)
                thin = 0 < width - 6.0 <= 0.7  # a strip that narrow may be taken deeper
                assert before - z <= (4.0 if thin else 2.0) + 1e-9
                reached[start[1]] = min(before, z)
        assert min(reached.values()) == pytest.approx(-5.0)


def test_it_goes_down_on_a_ramp_and_never_below_the_surface_at_once() -> None:
    """The only straight way down ends at the surface; from there the cutter sinks along the groove."""
    cut = groove_cut(groove(), 250.0, "left", AIR)
    falls = [move.end[2] for start, move in moves_with_start(cut) if start[:2] == move.end[:2] and move.end[2] < start[2]]
    assert falls == [2.0, 0.0]


@pytest.mark.parametrize("stop", ["left", "right"])
def test_a_groove_that_runs_out_does_so_into_air(stop: str) -> None:
    """Past the rear end the cutter's whole rim leaves the wood, and the front end stays stopped."""
    cut = groove_cut(groove(stop=400.0), 250.0, stop, AIR)
    places = [abs(move.end[0]) for move in cut.moves]
    assert max(places) == pytest.approx(250.0 + 3.0 + 2.0)
    assert min(places) == pytest.approx(21.0)


@pytest.mark.parametrize("stop", ["left", "right"])
def test_both_walls_are_finished_with_the_wood_on_the_cutters_left(stop: str) -> None:
    """The last way along the far wall goes right and along the near wall left, from either stop, and three lengths serve for two levels."""
    cut = groove_cut(groove(6.5, depth=4.0), 250.0, stop, AIR)
    long = [(s, m) for s, m in moves_with_start(cut) if s[2] == m.end[2] < 0 and abs(m.end[0] - s[0]) > 150.0]
    assert len(long) == 3
    ways = {round(m.end[1], 6): m.end[0] > s[0] for s, m in long}
    assert ways == {13.0: False, 13.5: True}


def test_rapids_stay_clear() -> None:
    """No traverse below clearance over the board."""
    assert wood_in_the_way(box(0, 0, 250, 100), groove_cut(groove(9.0), 250.0, "left", AIR), 0.0, AIR.clearance_mm) == []


def test_a_short_groove_ramps_at_the_plunge_feed() -> None:
    """Where the ramp would be steeper than 3 degrees its feed is the plunge feed."""
    cut = groove_cut(groove(start=0.0, stop=20.0, depth=6.0), 250.0, "left", AIR)
    ramps = [m for s, m in moves_with_start(cut) if s[2] > m.end[2] and s[0] != m.end[0]]
    steepest = max(math.degrees(math.atan2(1.0, 14.0)), 3.0)
    assert steepest > 3.0
    assert {m.feed_mm_min for m in ramps} == {400}


@pytest.mark.parametrize(("bad", "words"), [(groove(width=5.5), "wider than the groove"), (groove(stop=25.0), "too short")])
def test_a_groove_that_can_not_be_cut_is_refused(bad: Groove, words: str) -> None:
    """A groove narrower than the cutter, or too short for its stops, is refused."""
    with pytest.raises(CannotCut, match=words):
        groove_cut(bad, 250.0, "left", AIR)
