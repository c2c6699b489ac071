"""The table of motion, on programs whose times and wood a hand can reckon."""

from __future__ import annotations

from dataclasses import replace

import pytest

from benchmarks.motion import moved, table
from camtools.drawer import drawers_of
from camtools.resources import samples
from camtools.toolpath.moves import Cut, Line, Program, Rapid
from camtools.toolpath.programs import programs_of
from tests.specimens import JOBS, MACHINE

_BRISK = replace(MACHINE, acceleration_mm_s2=1e9, rapid_mm_min=6000.0, clearance_mm=10.0)


def _groove() -> Program:
    job = JOBS["one drawer"]
    return next(own for own in programs_of(job, drawers_of(job)) if own.setup.end == "groove" and own.setup.stop == "left")


def test_motion_of_one_slot_is_what_a_hand_reckons() -> None:
    """100 mm at 600 mm/min across a board 6 mm and 2 mm deep, 40 mm of it in air; back over the same way, all in air."""
    program = _groove()
    cutter = replace(program.cuts[0].cutter, diameter_mm=6.0, depth_per_pass_mm=2.0, feed_mm_min=600.0)
    ways = [Line((-43.0, 30.0, -2.0), 600.0), Line((57.0, 30.0, -2.0), 600.0), Line((-43.0, 30.0, -2.0), 600.0)]
    moves = (Rapid((-43.0, 30.0, 10.0)), Rapid((-43.0, 30.0, 10.0)), *ways, Rapid((-43.0, 30.0, 10.0)))
    own = moved(replace(program, cuts=(Cut(cutter, "a slot", moves),)), _BRISK)
    assert own.total == pytest.approx(1.2 + 10 + 10 + 0.12, rel=0.01)
    assert own.wood == pytest.approx(6.0, rel=0.02)
    assert own.air == pytest.approx(21.2 - 6.0, rel=0.02)
    assert own.bound == pytest.approx((57 + 3 * 0.785) / 10 + 0.4 + 0.24, rel=0.02)
    assert own.halting_bound == pytest.approx(own.bound, rel=1e-3), "at once at full speed"


def test_a_pass_from_standstill_to_standstill_takes_longer_by_what_speed_takes() -> None:
    """At 10 mm/s and 100 mm/s2 a pass takes 0.1 s more, and each of the two ways of 12 mm up and down, at 100 mm/s, 0.573 s more."""
    program = _groove()
    cutter = replace(program.cuts[0].cutter, diameter_mm=6.0, depth_per_pass_mm=2.0, feed_mm_min=600.0)
    moves = (Rapid((-43.0, 30.0, 10.0)), Rapid((-43.0, 30.0, 10.0)), Line((-43.0, 30.0, -2.0), 600.0), Line((57.0, 30.0, -2.0), 600.0))
    cut = Cut(cutter, "a slot", (*moves, Rapid((57.0, 30.0, 10.0))))
    own = moved(replace(program, cuts=(cut,)), replace(_BRISK, acceleration_mm_s2=100.0))
    assert own.halting_bound - (57 + 3 * 0.785) / 10 - 0.4 == pytest.approx(0.1 + 2 * 2 * (12 / 100) ** 0.5, rel=0.05)


def test_every_kind_of_work_has_its_row_and_all_is_their_sum() -> None:
    rows = table(samples() / "first-drawer.toml")
    assert list(rows) == ["pins", "grooves", "half-blind tails", "sockets", "through tails", "all"]
    kinds = [own for kind, (_, own) in rows.items() if kind != "all"]
    assert rows["all"][0] == sum(runs for kind, (runs, _) in rows.items() if kind != "all") == 2 + 4 + 2 + 2 + 2
    assert rows["all"][1].total == pytest.approx(sum(own.total for own in kinds))
    for own in kinds:
        assert own.bound < own.total
        assert own.wood + own.air < own.total
