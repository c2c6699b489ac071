from __future__ import annotations

import math
from typing import Any

import pytest

from tests.job.jobs import read


@pytest.mark.parametrize(
    ("front", "lap"),
    # A quarter of the front, at least 3 mm; books give a fifth to a third: docs/sources.md section 3
    [(12, 3.0), (14, 3.5), (16, 4.0), (19, 5.0), (19.05, 5.0), (20, 5.0), (22, 5.5), (28, 7.0)],
)
def test_the_lap_is_a_quarter_of_the_front(front: float, lap: float) -> None:
    job, _ = read({"stock.front": front, "cutters.0.diameter": 16, "cutters.0.cutting_length": 22})
    assert job.drawers[0].joint.lap_mm == lap
    assert lap >= 3
    assert front / 5 <= lap <= front / 3


@pytest.mark.parametrize(("side", "back", "depth"), [(12, 12, 4.0), (9.5, 9.5, 3.0), (8, 12, 2.5), (20, 20, 6.0)])
def test_the_groove_goes_a_third_into_the_thinner_board(side: float, back: float, depth: float) -> None:
    job, _ = read({"stock.side": side, "stock.back": back, "cutters.0.diameter": 16, "cutters.0.cutting_length": 22})
    assert job.drawers[0].groove.depth_mm == depth


def test_a_groove_in_thin_boards_is_as_deep_as_the_bottom_wants() -> None:
    # A tongue of 1.5 mm, 0.4 mm to the floor, and half of what plywood 300 mm deep moves, at most 0.02 % for each % of moisture.
    job, _ = read({"stock.side": 6, "cutters.0.diameter": 16, "cutters.0.cutting_length": 22, "drawers.0.outside": [280, 90, 300],
                   "drawers.0.opening": None})  # fmt: skip
    depth = job.drawers[0].groove.depth_mm
    assert 1.9 + 300 * 0.0002 * 4 / 2 <= depth <= 1.9 + 300 * 0.0002 * 4 / 2 + 0.1


@pytest.mark.parametrize(
    ("angle", "front", "half_pin"), [(14, 20, None), (14, 28, None), (7, 20, None), (14, 20, 4), (14, 20, 8), (5, 14, None)]
)
def test_the_groove_lies_inside_the_lowest_tail(angle: float, front: float, half_pin: float | None) -> None:
    job, _ = read(
        {"cutters.0": {"kind": "dovetail", "diameter": 16, "angle": angle, "cutting_length": 24}, "stock.front": front}
        | ({"joints.half_pin": half_pin} if half_pin else {})
    )
    wish = job.drawers[0]
    longest = max(front - wish.joint.lap_mm, 12 + wish.joint.proud_mm)
    flank = (half_pin or 6) + longest * math.tan(math.radians(angle))
    assert wish.groove.edge_mm >= max(10, flank + 1.5)
    assert wish.groove.edge_mm <= max(10, flank + 1.5 + 0.5)


def test_the_back_is_as_thick_as_the_sides_and_the_bottom_of_their_wood() -> None:
    job, defaults = read({"stock.side": 10, "stock.wood": "oak"})
    stock = job.drawers[0].stock
    assert (stock.back_mm, stock.side_wood, stock.bottom_wood) == (10, "Oak, European", "Oak, European")
    assert "one depth" in defaults["stock.back"].reason


def test_a_short_name_of_a_wood_is_asked_about_with_the_others_that_have_it() -> None:
    _, defaults = read({"stock.wood": "cherry", "stock.front_wood": "black cherry", "stock.bottom_wood": "oak"})
    assert defaults["stock.wood"].value == "Cherry, European"
    assert defaults["stock.wood"].ask == 'your seller: "cherry" may mean Cherry, black too'
    assert not {"stock.front_wood", "stock.bottom_wood"} & defaults.keys()  # the bottom is of plywood


def test_a_wood_that_is_not_named_moves_as_much_as_the_liveliest() -> None:
    job, defaults = read({})
    assert job.drawers[0].stock.side_wood == "unknown hardwood"
    assert job.drawers[0].stock.sawn == "flat"
    assert "stock.wood" in defaults


def test_cutters_are_chosen_by_what_they_have_to_do() -> None:
    short = {"kind": "dovetail", "diameter": 12.7, "angle": 14, "cutting_length": 12}
    long = {"kind": "dovetail", "diameter": 12.7, "angle": 10, "cutting_length": 20}
    wide = {"kind": "straight", "diameter": 12, "cutting_length": 25}
    fits = {"kind": "straight", "diameter": 6, "cutting_length": 25}
    thin = {"kind": "straight", "diameter": 3, "cutting_length": 25}
    stub = {"kind": "straight", "diameter": 6.5, "cutting_length": 6}
    job, _ = read({"cutters": [short, long, wide, thin, fits, stub], "machine.tool_change": 10})
    wish = job.drawers[0]
    assert wish.joint.dovetail == 2  # the first is too short for the sockets
    assert wish.joint.straight == 5  # 12 mm do not pass the necks of the pins, 6.5 mm are too short for them
    assert wish.groove.cutter == 6  # the widest that goes into 6.55 mm; it is long enough for a groove


@pytest.mark.parametrize(("values", "why"), [({}, "placed and cut twice"), ({"cutters.1.cutting_length": 14}, "too short")])
def test_waste_is_not_cleared_first_unless_the_job_asks_for_it(values: dict[str, Any], why: str) -> None:
    for more in ({}, {"machine.tool_change": 1}):
        job, defaults = read(values | more)
        assert job.drawers[0].joint.rough is False
        assert why in defaults["joints.rough"].reason
    job, _ = read({"joints.rough": True})
    assert job.drawers[0].joint.rough is True


@pytest.mark.parametrize(
    ("key", "low", "high"),
    [
        ("clearance_mm", 0.05, 0.15),  # glue: a university's wood-extension column, docs/sources.md section 5
        ("free_depth_mm", 0.2, 0.4),  # common practice, no source
        ("proud_mm", 0.2, 0.5),  # common practice, no source
        ("rough_stock_mm", 0.3, 0.5),  # common practice, no source
    ],
)
def test_joints_are_as_common_practice_has_them(key: str, low: float, high: float) -> None:
    job, _ = read({})
    assert low <= getattr(job.drawers[0].joint, key) <= high


def test_the_layout_is_left_to_the_layout() -> None:
    job, defaults = read({})
    joint = job.drawers[0].joint
    assert (joint.tails, joint.tail_mm, joint.pin_mm, joint.half_pin_mm) == (None, None, None, None)
    assert job.drawers[0].fit.above_mm is None
    assert not {"joints.tails", "joints.tail", "joints.pin", "joints.half_pin", "fit.above"} & set(defaults)


def test_an_inset_front_covers_nothing_and_one_laid_over_does() -> None:
    job, defaults = read({})
    assert job.drawers[0].fit.overlay_side_mm == 0
    assert "fit.overlay_side" not in defaults
    job, defaults = read({"fit.front": "overlay", "fit.overlay_above": 12})
    fit = job.drawers[0].fit
    assert (fit.overlay_side_mm, fit.overlay_above_mm, fit.overlay_below_mm, fit.reveal_mm) == (8, 12, 8, 0)
    assert "fit.overlay_side" in defaults
    assert "fit.reveal" not in defaults


def test_a_drawer_may_have_values_of_its_own() -> None:
    own = {
        "name": "Ferns", "outside": [300, "4 in", 350], "count": 3, "stock": {"front": 16, "bottom_kind": "solid", "bottom_wood": "spruce"},
        "joints": {"proud": 0.5, "tails": 4}, "groove": {"stop": 5}, "fit": {"back": "raised"},
    }  # fmt: skip
    job, defaults = read({"drawers.1": own, "joints.proud": 0.2, "joints.clearance": 0.1})
    seeds, ferns = job.drawers
    assert (seeds.opening_mm, seeds.outside_mm, seeds.count) == ((280, 90, 300), None, 1)
    assert (ferns.opening_mm, ferns.outside_mm, ferns.count) == (None, (300, 101.6, 350), 3)
    assert (ferns.stock.front_mm, ferns.stock.side_mm, ferns.stock.bottom_kind, ferns.stock.bottom_wood) == (
        16,
        12,
        "solid",
        "Spruce, European",
    )
    assert (seeds.joint.proud_mm, ferns.joint.proud_mm, seeds.joint.clearance_mm, ferns.joint.clearance_mm) == (0.2, 0.5, 0.1, 0.1)
    assert (seeds.joint.tails, ferns.joint.tails) == (None, 4)
    assert (seeds.groove.stop_mm, ferns.groove.stop_mm) == (3, 5)
    assert (seeds.fit.back, ferns.fit.back) == ("full", "raised")
    # A default that follows from what the drawer has of its own is told for each drawer; the others once.
    assert (defaults["drawers[1].joints.lap"].value, defaults["drawers[2].joints.lap"].value) == ("5 mm", "4 mm")
    assert "joints.lap" not in defaults
    assert defaults["joints.free_depth"].value == "0.2 mm"
    assert defaults["groove.stop"].value == "3 mm"


def test_every_default_has_a_value_and_a_reason() -> None:
    _, defaults = read({"fit.front": "overlay"})
    assert len(defaults) > 50
    for default in defaults.values():
        assert default.value
        assert default.reason
        assert "nan" not in default.value
