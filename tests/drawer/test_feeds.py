"""What a trial cut teaches: common practice, no source. Steps go the right way, stay within what is safe, and come to an end."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import replace
from itertools import pairwise
from typing import Any

import pytest

from camtools.drawer import drawers_of
from camtools.drawer.feeds import Lesson, SafeFeed, safe_feeds_of, taught
from camtools.job.job import Job
from tests.job.jobs import read


def _job(**values: Any) -> Job:
    return read({key.replace("__", "."): value for key, value in values.items()})[0]


def _safe(job: Job, number: int) -> SafeFeed:
    return safe_feeds_of(job, drawers_of(job))[number]


def _steps(lesson: Lesson, job: Job, number: int, written: Collection[str] = ()) -> list[dict[str, float]]:
    """Return what each answer of a kind sets, one after the other, until there is no room left."""
    steps: list[dict[str, float]] = []
    while (step := taught(lesson, _safe(job, number), job.machine, written)) and len(steps) < 30:
        steps.append(step)
        names = {"feed": "feed_mm_min", "speed": "speed_rpm", "depth_per_pass": "depth_per_pass_mm"}
        changed = {names[key]: value for key, value in step.items()}
        job = replace(job, cutters=tuple(replace(own, **changed) if own.number == number else own for own in job.cutters))
    return steps


@pytest.mark.parametrize("number", [1, 2])
def test_after_burning_chips_grow_thicker_and_no_step_goes_beyond_what_is_safe(number: int) -> None:
    job = _job(machine__max_feed=4000)
    steps, cutter = _steps("burnt", job, number), job.cutter(number)
    safe = _safe(job, number)
    assert len(steps) > 1
    chips = [cutter.chip_mm] + [step.get("feed", 0.0) / (step.get("speed", cutter.speed_rpm) * cutter.flutes) for step in steps]
    assert all(after >= before * 1.04 for before, after in pairwise(chips))
    assert chips[-1] <= safe.chart_mm[1] + 1e-9
    assert all(step["feed"] <= 4000 and step.get("speed", 18000) >= job.machine.min_speed_rpm for step in steps)
    assert steps[0]["feed"] == pytest.approx(min(cutter.feed_mm_min * 1.25, safe.feed_mm_min), abs=10)


def test_where_the_machine_feeds_no_faster_the_spindle_turns_slower() -> None:
    job = _job(machine__max_feed=2760)
    (first, *_) = _steps("burnt", job, 2)
    assert first == {"speed": 14400, "feed": 2760}
    assert _steps("burnt", job, 2, written=["speed"]) == []


def test_a_cutter_that_would_bend_too_far_is_fed_no_faster_nor_turned_slower() -> None:
    job = _job(cutters__1__stick_out=100, cutters__1__shank=3)
    safe = _safe(job, 2)
    assert safe.limit == "bending"
    for step in _steps("burnt", job, 2):
        assert step["feed"] / (step.get("speed", 18000) * 2) <= safe.chip_mm + 1e-9


def test_after_chatter_a_straight_cutter_takes_less_and_then_both_turn_slower_with_the_same_chips() -> None:
    job = _job()
    dovetail, straight = (_steps("chattered", job, number) for number in (1, 2))
    assert [step["depth_per_pass"] for step in straight if "depth_per_pass" in step] == [1.1, 0.8, 0.6]
    assert all("depth_per_pass" not in step for step in dovetail)
    for steps, cutter in ((dovetail, job.cutter(1)), ([step for step in straight if "speed" in step], job.cutter(2))):
        assert steps[0]["speed"] == 15300
        assert steps[-1]["speed"] >= job.machine.min_speed_rpm
        assert all(step["feed"] / (step["speed"] * 2) == pytest.approx(cutter.chip_mm, rel=0.03) for step in steps)
    assert _steps("chattered", job, 1, written=["feed"]) == _steps("chattered", job, 1, written=["speed"]) == []


def test_after_tearing_a_cutter_is_fed_slower_down_to_the_thinnest_chip_of_the_chart() -> None:
    job = _job(cutters__0__feed=2000)
    steps, least = _steps("torn", job, 1), _safe(job, 1).chart_mm[0]
    assert steps[0]["feed"] == 1600
    assert steps[-1]["feed"] / (18000 * 2) == pytest.approx(least, abs=10 / 36000)
    assert _steps("torn", job, 1, written=["feed"]) == []
