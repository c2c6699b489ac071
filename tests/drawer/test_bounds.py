from __future__ import annotations

import math
from dataclasses import replace

import pytest

from camtools.drawer.bounds import bounds_of, cutter_faults
from camtools.faults import Change
from camtools.job.job import Cutter, DrawerWish
from camtools.job.woods import is_softwood, known_woods
from tests.specimens import FIT, GROOVE, JOINT, STOCK, cutters, drawer, job_of

T14 = math.tan(math.radians(14))


def _pointed(diameter: float, angle: float) -> tuple[Cutter, Cutter]:
    """Return cutters of which the dovetail one is a cone that would come to a point at the end of its edge or before."""
    dovetail, straight = cutters()
    return replace(dovetail, diameter_mm=diameter, angle_deg=angle, cutting_length_mm=30.0), straight


def _faults(wish: DrawerWish, tools: tuple[Cutter, ...] = ()) -> list[str]:
    return [fault.problem for fault in cutter_faults(job_of(wish, tools=tools), wish, "here")]


@pytest.mark.parametrize(("slope", "degrees"), [(4, 14.04), (5, 11.31), (6, 9.46), (7, 8.13), (8, 7.13)])
def test_slopes_of_the_trade_are_these_angles(slope: float, degrees: float) -> None:
    # Traditional slopes, two trade articles; degrees by arithmetic.
    assert math.degrees(math.atan(1 / slope)) == pytest.approx(degrees, abs=0.005)


def test_the_narrowest_pin_lets_the_cutter_through_at_the_baseline() -> None:
    # docs/joinery.md section 5: the waste between two tails is at least D wide at the baseline, D - 2 h t at the tip.
    wish = drawer(stock=replace(STOCK, back_mm=11.0))
    pin = bounds_of(job_of(wish), wish).pin
    assert pin.mm + 2 * 11.0 * T14 == pytest.approx(12.7 + 0.05), "the shorter tails of the back decide"
    assert "12.7 mm" in pin.reason
    assert "11 mm" in pin.reason


def test_a_large_cutter_decides_how_narrow_a_tail_may_be() -> None:
    # docs/joinery.md section 5: a socket takes the cutter only if wt + 2c + 2 g t >= D.
    wish = drawer()
    tail = bounds_of(job_of(wish, tools=cutters(19.0, 14.0)), wish).tail
    assert tail.mm + 2 * JOINT.clearance_mm + 2 * JOINT.free_depth_mm * T14 == pytest.approx(19.0)


def test_a_thick_straight_cutter_decides_how_narrow_a_tail_may_be() -> None:
    # docs/joinery.md section 6: a through socket is narrowest at the inside face.
    wish = drawer()
    tail = bounds_of(job_of(wish, tools=cutters(straight=10.0)), wish).tail
    assert tail.mm - 2 * 12.0 * T14 + 2 * JOINT.clearance_mm == pytest.approx(10.0)


def test_a_groove_that_stops_before_the_joints_is_wished_inside_the_lowest_tail_and_asks_for_nothing() -> None:
    wish = drawer(stock=replace(STOCK, back_mm=18.0))
    bounds = bounds_of(job_of(wish), wish)
    assert bounds.cover_mm == pytest.approx((11.0 - 1.5 - 18.0 * T14, 11.0 + 6.35 + 1.5 + 18.0 * T14)), "at the narrower joint"
    assert bounds.most_half_pin_mm == math.inf
    assert bounds.first_high.mm == 0


def test_a_groove_that_runs_on_hidden_must_lie_inside_the_lowest_tail_at_the_front() -> None:
    wish = drawer(stock=replace(STOCK, back_mm=18.0), groove=replace(GROOVE, ends="hidden"))
    bounds = bounds_of(job_of(wish), wish)
    assert bounds.most_half_pin_mm == pytest.approx(11.0 - 1.5 - 15.0 * T14)
    assert bounds.first_high.mm == pytest.approx(11.0 + 6.35 + 1.5 + 15.0 * T14)


@pytest.mark.parametrize("ends", ["stopped", "hidden"])
def test_a_raised_back_needs_wood_over_its_edge(ends: str) -> None:
    wish = drawer(stock=replace(STOCK, back_mm=18.0), fit=replace(FIT, back="raised"), groove=replace(GROOVE, ends=ends))
    bounds = bounds_of(job_of(wish), wish)
    assert bounds.raised
    assert bounds.first_high.mm == pytest.approx(11.0 + 6.35 + 5.0 + 18.0 * T14)
    assert bounds.most_half_pin_mm == (math.inf if ends == "stopped" else pytest.approx(11.0 - 1.5 - 15.0 * T14))


def test_cutters_that_can_make_the_joint_are_not_faulted() -> None:
    assert _faults(drawer()) == []


@pytest.mark.parametrize(
    ("wish", "tools", "words"),
    [
        (drawer(joint=replace(JOINT, lap_mm=2.3)), cutters(), "the tails would break through"),
        (drawer(joint=replace(JOINT, lap_mm=15.1)), cutters(), "too short to hold"),
        (drawer(), cutters(cutting_length=15.2), "half-blind sockets"),
        (drawer(stock=replace(STOCK, back_mm=16.0)), cutters(cutting_length=16.2), "through tails"),
        (drawer(stock=replace(STOCK, side_mm=16.0)), cutters(cutting_length=16.2), "through pins"),
        (drawer(), _pointed(6.35, 14.0), "comes to a point within tails so long"),
        (drawer(stock=replace(STOCK, back_mm=20.0)), _pointed(9.0, 12.0), "comes to a point within the through tails"),
        (drawer(stock=replace(STOCK, side_mm=8.0)), cutters(19.0, 7.0), "rounded corners"),
    ],
)
def test_each_thing_that_a_cutter_can_not_do_is_told(wish: DrawerWish, tools: tuple[Cutter, ...], words: str) -> None:
    assert any(words in problem for problem in _faults(wish, tools)), _faults(wish, tools)


def test_the_remedies_for_a_pointed_cutter_are_true() -> None:
    wish = drawer()
    (fault,) = cutter_faults(job_of(wish, tools=_pointed(6.35, 14.0)), wish, "here")
    assert fault.ways[0] == (Change("joints.lap", 9.1),)
    assert fault.ways[-1] == (Change("cutters[1].diameter", 8.4),)
    assert _faults(wish, _pointed(8.39, 14.0)) == []
    assert "comes to a point within tails so long" not in "".join(_faults(drawer(joint=replace(JOINT, lap_mm=9.1)), _pointed(6.35, 14.0)))
    assert _faults(wish, _pointed(8.38, 14.0)) != []


@pytest.mark.parametrize(("side", "can"), [(8.54, False), (8.55, True)])
def test_a_millimetre_of_every_flank_stays_straight(side: float, can: bool) -> None:
    # docs/joinery.md section 5: the corner's middle lies Ts + c - r0 + g t from the outside face; r0 = 9.5 - 15 tan 7.
    wish = drawer(stock=replace(STOCK, side_mm=side))
    assert (_faults(wish, cutters(19.0, 7.0)) == []) == can


def test_conifers_are_told_from_hardwoods() -> None:
    soft = {wood.name for wood in known_woods() if is_softwood(wood.name)}
    assert {"Pine, eastern white", "Douglas-fir, coast", "Cedar, western red", "Tamarack", "Redwood, old growth"} <= soft
    assert {"Larch, European", "Pine, Scots", "Spruce, European", "unknown softwood"} <= soft
    assert not {"Oak, European", "Cherry, black", "unknown hardwood", "Yellow-poplar"} & soft
