from __future__ import annotations

import math
from typing import Any

import pytest

from camtools.faults import JobFault
from camtools.job.cutter_defaults import chip_load_mm
from camtools.job.job import Handling, radius_of
from camtools.job.jobfile import parse_job
from tests.job.jobs import read


@pytest.mark.parametrize(
    ("diameter", "angle", "height", "neck"),
    [(12.7, 14, 9.5, 7.96), (12.7, 14, 12.7, 6.37), (6.35, 8, 8, 4.10), (9.525, 9, 9.5, 6.52)],  # docs/sources.md section 6
)
def test_the_neck_is_what_the_flanks_leave(diameter: float, angle: float, height: float, neck: float) -> None:
    assert 2 * radius_of(diameter, angle, height) == pytest.approx(neck, abs=0.005)


@pytest.mark.parametrize(
    ("diameter", "chip_load"),
    # A conservative calculator's chart for hardwood, its lower ends, and an industrial one for 3.2 mm: docs/sources.md section 6
    [(2.0, 0.05), (3.2, 0.05), (6.35, 0.08), (12.7, 0.10), (19.0, 0.15), (25.0, 0.15)],
)
def test_a_straight_cutter_feeds_by_the_chart_for_its_diameter(diameter: float, chip_load: float) -> None:
    job, defaults = read(
        {
            "cutters.2": {"kind": "straight", "diameter": diameter, "cutting_length": 30, "flutes": 3, "speed": 9000},
            "machine.max_feed": 20000,
        }
    )
    feed = 9000 * 3 * chip_load  # feed = speed x flutes x chip load: every chart agrees on it
    assert job.cutter(3).feed_mm_min == pytest.approx(feed, abs=10)
    assert job.cutter(3).feed_mm_min <= feed
    assert "chart for hardwood" in defaults["cutters[3].feed"].reason


def test_a_dovetail_cutters_chips_are_judged_at_its_neck() -> None:
    """50 to 70 % of a straight cutter's there: common practice, no source."""
    length = (12.7 - 6.35) / 2 / math.tan(math.radians(14.0))  # so that the neck is 6.35 mm thick
    assert chip_load_mm(12.7, 14.0, length, soft=False) == pytest.approx((0.5 * 0.08, 0.6 * 0.08, 0.7 * 0.13))


@pytest.mark.parametrize("diameter", [1.0, 2.0, 3.175, 6.0, 12.7, 25.0])
def test_a_feed_that_is_left_out_makes_chips_within_the_range(diameter: float) -> None:
    job, _ = read({"cutters.2": {"kind": "straight", "diameter": diameter, "cutting_length": 10}, "machine.max_feed": 20000})
    cutter = job.cutter(3)
    least, _, most = chip_load_mm(diameter, 0.0, 10.0, soft=False)
    step = 10 / (cutter.speed_rpm * cutter.flutes)  # feeds are rounded down to 10 mm/min
    assert least - step <= cutter.feed_mm_min / (cutter.speed_rpm * cutter.flutes) <= most


@pytest.mark.parametrize(
    ("values", "soft"),
    [
        ({"stock.wood": "Scots pine"}, True),
        ({"stock.wood": "Scots pine", "stock.front_wood": "oak"}, False),
        ({"stock.wood": "oak", **{f"stock.{part}_wood": "pine" for part in ("front", "side", "back")}}, True),
        ({"stock.wood": "Scots pine", "drawers.0.stock": {"side_wood": "beech"}}, False),
        ({"stock.wood": "Scots pine", "groove.bottom_corners": "machine"}, False),  # of plywood
        ({"stock.wood": "Scots pine", "groove.bottom_corners": "machine", "stock.bottom_kind": "solid"}, True),
        ({}, False),
    ],
)
def test_feeds_are_for_softwood_where_all_that_is_cut_is_softwood(values: dict[str, Any], soft: bool) -> None:
    _, defaults = read(values)
    for key in ("feed", "depth_per_pass"):
        assert ("softwood" if soft else "hardwood") in defaults[f"cutters[2].{key}"].reason


def test_between_rows_the_chart_is_read_in_a_straight_line() -> None:
    job, _ = read({"cutters.1.speed": 10000, "cutters.1.diameter": 4.775})  # half way from 3.2 to 6.35
    assert job.cutter(2).feed_mm_min == 10000 * 2 * 0.065


def test_a_dovetail_cutter_feeds_by_its_neck_and_slower() -> None:
    job, defaults = read({"cutters.0.speed": 10000})
    neck = 12.7 - 2 * 16 * math.tan(math.radians(14))
    full = 0.05 + (0.08 - 0.05) * (neck - 3.2) / (6.35 - 3.2)
    assert 0.5 <= job.cutter(1).feed_mm_min / (10000 * 2 * full) <= 0.7  # common practice, no source: 50 to 70 %
    assert "60%" in defaults["cutters[1].feed"].reason


def test_no_feed_is_above_the_machine_and_plunging_is_slower() -> None:
    job, defaults = read({"machine.max_feed": 600})
    assert [cutter.feed_mm_min for cutter in job.cutters] == [600, 600]
    assert [cutter.plunge_mm_min for cutter in job.cutters] == [200, 200]
    assert "the machine's largest" in defaults["cutters[2].feed"].reason


@pytest.mark.parametrize(
    ("diameter", "depth"),
    # A calculator's cautious table for hardwood: docs/sources.md section 6. Never more than half the diameter, the stricter rule there.
    [(6.35, 1.6), (9.5, 3.2), (12.7, 4.8), (19.0, 6.4), (25.0, 9.5), (3.175, 0.8)],
)
def test_a_pass_is_as_deep_as_the_cautious_table_has_it(diameter: float, depth: float) -> None:
    job, _ = read({"cutters.2": {"kind": "straight", "diameter": diameter, "cutting_length": 30}})
    assert job.cutter(3).depth_per_pass_mm == depth
    assert job.cutter(3).depth_per_pass_mm <= diameter / 2


def test_a_pass_is_no_deeper_than_the_cutting_edges() -> None:
    job, _ = read({"cutters.2": {"kind": "straight", "diameter": 20, "cutting_length": 5}})
    assert job.cutter(3).depth_per_pass_mm == 5


@pytest.mark.parametrize(
    ("diameter", "largest"),
    # The lowest of the trade's tables by diameter, docs/sources.md section 6; 48 and 50 mm are 1 to 2 in
    [(3, 22000), (12.7, 22000), (12.8, 16000), (25.4, 16000), (25.5, 10000), (50, 10000)],
)
def test_a_cutter_without_a_mark_turns_no_faster_than_the_lowest_table(diameter: float, largest: float) -> None:
    job, defaults = read({"cutters.2": {"kind": "straight", "diameter": diameter, "cutting_length": 10}})
    cutter = job.cutter(3)
    assert cutter.max_speed_rpm == largest
    assert cutter.speed_rpm == min(18000, largest)
    assert defaults["cutters[3].max_speed"].ask == "the mark on the shank"
    assert cutter.most_told == f"{largest} rpm assumed"


def test_what_can_be_read_off_a_cutter_is_asked_for_and_assumed_only_where_it_is_not_written() -> None:
    told = {"max_speed": 20000, "shank": 8, "flutes": 1, "holder": 20}
    job, defaults = read({f"cutters.1.{key}": value for key, value in told.items()})
    assert set(job.cutters[0].assumed) == set(told)
    assert {key.removeprefix("cutters[1].") for key, default in defaults.items() if default.ask and key.startswith("cutters")} == set(told)
    assert job.cutters[1].assumed == ()
    assert job.cutters[1].most_told == "20000 rpm marked"


@pytest.mark.parametrize(("machine", "speed"), [((8000, 24000), 18000), ((8000, 12000), 12000), ((20000, 24000), 20000)])
def test_the_usual_speed_is_one_that_the_spindle_has(machine: tuple[int, int], speed: int) -> None:
    job, _ = read({"machine.min_speed": machine[0], "machine.max_speed": machine[1]})
    assert [cutter.speed_rpm for cutter in job.cutters] == [speed, speed]


def test_what_is_written_is_taken_and_not_told_as_a_default() -> None:
    values = {
        "number": 7, "shank": 8, "flutes": 1, "speed": 12000, "max_speed": 20000, "feed": 900, "plunge": 200,
        "depth_per_pass": 2.5, "plunges": True, "stick_out": 30, "holder": 20,
    }  # fmt: skip
    job, defaults = read({f"cutters.1.{key}": value for key, value in values.items()})
    cutter = job.cutter(7)
    assert (cutter.shank_mm, cutter.flutes, cutter.speed_rpm, cutter.max_speed_rpm, cutter.feed_mm_min) == (8, 1, 12000, 20000, 900)
    assert (cutter.plunge_mm_min, cutter.depth_per_pass_mm, cutter.plunges) == (200, 2.5, True)
    assert (cutter.stick_out_mm, cutter.holder_mm) == (30, 20)
    assert not [key for key in defaults if key.startswith("cutters[2]")]


def test_numbers_that_are_left_out_are_the_first_free_ones() -> None:
    job, defaults = read({"cutters.1.number": 1, "cutters.2": {"kind": "straight", "diameter": 3, "cutting_length": 9}})
    assert [cutter.number for cutter in job.cutters] == [2, 1, 3]
    assert defaults["cutters[1].number"].value == "2"


def test_a_cutter_is_not_trusted_to_plunge() -> None:
    job, defaults = read({})
    assert not any(cutter.plunges for cutter in job.cutters)
    assert defaults["cutters[2].plunges"].value == "no"


def test_the_holds_make_room_for_the_cutters() -> None:
    job, _ = read(
        {"cutters.0.diameter": 19, "cutters.0.cutting_length": 25, "cutters.1.cutting_length": 40, "stock.side": 8, "stock.back": 8}
    )
    assert job.machine.backing_mm >= 19 + 2.5  # the rim runs out and waits clear of the wood: toolpath/drawn_cut.py
    assert job.machine.upright_stop_below_mm >= 40
    assert job.machine.flat_stop_mm < 8


def test_clamps_stay_clear_of_the_widest_nut_over_the_deepest_socket_and_the_narrowest_groove() -> None:
    """A nut of 40 mm, sides of 12 mm, a straight cutter of 6 mm, and 5 mm beside the nut."""
    job, _ = read({"cutters.1.holder": 40})
    assert (job.machine.clamp_from_end_mm, job.machine.clamp_from_groove_mm) == (12 + 20 + 5, 17 + 5)
    job, _ = read({"machine": {"clamp_height": 45, "travel": [600, 400, 100]}})
    assert job.machine.retract_mm == 45 + 10


def test_a_machine_that_is_written_down_is_taken_as_it_is() -> None:
    values = {
        "travel": [700, 500, 90], "min_speed": 9000, "max_speed": 21000, "max_feed": 5000, "rapid": 6000, "acceleration": 500,
        "clearance": 12, "retract": 50, "spin_up": 3, "tool_change": 40, "holds": ["flat", "upright"], "backing": 20,
        "upright_stop_below": 35, "flat_stop": 5, "clamp_height": 22, "clamp_from_end": 41, "clamp_from_groove": 19,
        "upright_stops": [100, 600], "upright_plate": 70, "flat_stops": [50, 650], "flat_fence": 0, "waste_depth": 0.3,
        "spindle_diameter": 65, "nut_height": 21, "stack": 40,
        "postprocessor": "inch", "two_at_once": False, "height_stop": True, "handling": {"setup": 2, "board": 0.5, "zero": 3, "hold": 4},
    }  # fmt: skip
    job, defaults = read({"machine": values})
    machine = job.machine
    assert machine.travel_mm == (700, 500, 90)
    assert (machine.min_speed_rpm, machine.max_speed_rpm, machine.max_feed_mm_min, machine.rapid_mm_min) == (9000, 21000, 5000, 6000)
    assert (machine.acceleration_mm_s2, machine.clearance_mm, machine.retract_mm, machine.spin_up_s) == (500, 12, 50, 3)
    assert (machine.tool_change_s, machine.holds, machine.backing_mm) == (40, ("flat", "upright"), 20)
    assert (machine.upright_stop_below_mm, machine.flat_stop_mm, machine.postprocessor) == (35, 5, "inch")
    assert (machine.clamp_height_mm, machine.clamp_from_end_mm, machine.clamp_from_groove_mm) == (22, 41, 19)
    assert (machine.upright_stops_mm, machine.upright_plate_mm) == ((100, 600), 70)
    assert (machine.flat_stops_mm, machine.flat_fence_mm, machine.waste_depth_mm) == ((50, 650), 0, 0.3)
    assert (machine.spindle_diameter_mm, machine.nut_height_mm, machine.stack_mm) == (65, 21, 40)
    assert (machine.two_at_once, machine.height_stop, machine.handling) == (
        False,
        True,
        Handling(setup_min=2, board_min=0.5, zero_min=3, hold_min=4),
    )
    assert not [key for key in defaults if key.startswith("machine")]


def test_a_place_that_is_not_stated_is_told_to_be_unknown() -> None:
    job, defaults = read({})
    assert job.machine.flat_stops_mm is job.machine.upright_plate_mm is None
    told = {
        key for key in defaults if key in ("machine.upright_stops", "machine.upright_plate", "machine.flat_stops", "machine.flat_fence")
    }
    assert len(told) == 4


def test_nothing_is_told_of_plunging_where_a_cutter_never_does() -> None:
    _, defaults = read({})
    assert "cutters[2].plunge" in defaults
    assert not [key for key in defaults if key.startswith("cutters[1].plunge")]


def test_lengths_in_inches_are_told_to_a_hundredth_of_a_millimetre() -> None:
    _, defaults = read({"cutters.0.cutting_length": "5/8 in"})
    assert defaults["cutters[1].stick_out"].value == "25.88 mm"


def test_trial_steps_stand_in_the_jobs_units_and_are_common_practice_where_none_stand() -> None:
    tables = '[stock]\nfront = 0.75\nside = 0.5\nbottom = 0.23\n[[drawers]]\nname = "a"\nopening = [12, 4, 10]\n'
    tools = '[[cutters]]\nkind = "dovetail"\ndiameter = 0.5\nangle = 14\ncutting_length = 0.625\n'
    tools += '[[cutters]]\nkind = "straight"\ndiameter = 0.24\ncutting_length = 0.75\n'
    text = f'title = "a"\nunits = "in"\n{tables}{tools}[trial]\nclearances = [0, "0.1 mm"]\n'
    job, defaults = parse_job(text, "a.toml")
    assert job.trial.clearances_mm == (0.0, 0.1)
    assert job.trial.groove_plays_mm == pytest.approx((0.35, 0.45, 0.55))  # the cutter is 0.254 mm thicker than the panel
    assert [one.key for one in defaults if one.key.startswith("trial")] == ["trial.groove_plays"]
    bare, without = parse_job(text.split("[trial]")[0], "a.toml")
    assert bare.trial.clearances_mm == (0.0, 0.04, 0.08, 0.12, 0.16, 0.2)
    assert not [one for one in without if one.key.startswith("trial")]
    with pytest.raises(JobFault, match="steps do not rise"):
        parse_job(text.replace('[0, "0.1 mm"]', '["0.1 mm", 0]'), "a.toml")
