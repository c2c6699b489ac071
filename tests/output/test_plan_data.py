"""The plan as data: every name and setting that the job gave, in units that its keys name."""

from __future__ import annotations

import json

from camtools.output.plan_data import plan_bytes, plan_of
from tests.output.specimens import BLADE, STRAIGHT, job_of
from tests.output.test_comments import HOSTILE


def test_cutters_are_told_with_what_they_run_at() -> None:
    blade, straight = plan_of(*job_of("Mosses"), ()).cutters
    assert (blade.number, blade.kind, blade.flutes) == (BLADE.number, "dovetail", BLADE.flutes)
    assert (blade.speed_rpm, blade.max_speed_rpm, blade.feed_mm_min) == (BLADE.speed_rpm, BLADE.max_speed_rpm, BLADE.feed_mm_min)
    assert blade.depth_per_pass_mm is None
    assert straight.depth_per_pass_mm == STRAIGHT.depth_per_pass_mm


def test_every_drawer_has_its_own_stock_and_marks() -> None:
    plan = plan_of(*job_of("Mosses", "Ferns", widths=(300.0, 420.0)), ())
    for drawer in plan.drawers:
        assert drawer.stock.model_dump() == {"sawn": "quarter", "bottom_kind": "plywood"}
    marks = [board.mark for drawer in plan.drawers for board in drawer.boards]
    assert marks.count("front-1") == 1
    assert marks.count("left-side-1") == 2  # equal sides share a mark


def test_hostile_names_come_back_as_they_were() -> None:
    for name in HOSTILE:
        job, drawers = job_of(name, title=name)
        told = json.loads(plan_bytes(job, drawers, ()))
        assert (told["job"], told["drawers"][0]["name"]) == (name, name)
