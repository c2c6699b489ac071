"""Where stops would save setups: told with figures that working the job with them gives."""

from __future__ import annotations

from dataclasses import replace

import pytest

from camtools.drawer.drawers import drawers_of
from camtools.toolpath.handling.loadings import board_counts, loadings_of
from camtools.toolpath.programs import programs_of, with_offsets
from camtools.toolpath.reach.stop_places import better_stops
from tests.specimens import drawer, job_of


def worked(**machine):
    job = job_of(drawer(240.0, 90.0, 250.0))
    job = replace(job, machine=replace(job.machine, travel_mm=(600.0, 600.0, 120.0), **machine))
    drawers = drawers_of(job)
    return job, drawers, with_offsets(programs_of(job, drawers), 6)


def setups(job, drawers, programs):
    return sum(loading.times for loading in loadings_of(programs, board_counts(drawers), job.machine))


@pytest.mark.parametrize(
    "stops",
    [
        {},
        {"upright_stops_mm": (200.0, 300.0), "flat_stops_mm": (200.0, 300.0)},
        {"upright_stops_mm": (30.0, 200.0), "flat_stops_mm": (250.0, 590.0)},
    ],
)
def test_set_ups_that_are_promised_come_of_the_stops_that_are_told(stops):
    now = worked(**stops)
    better = better_stops(*now, 6)
    assert better.setups < better.setups_now == setups(*now)
    there = worked(**stops | {f"{hold}_stops_mm": places for hold, places in better.places_mm.items()})
    assert setups(*there) == better.setups
    assert better_stops(*there, 6) is None


def test_a_stop_that_stands_well_is_left_where_it_stands():
    """Both sides 90 mm wide, 10 mm between them, find room from 30 mm on where the right stop stands at the end of travel."""
    better = better_stops(*worked(upright_stops_mm=(30.0, 120.0), flat_stops_mm=(20.0, 590.0)), 6)
    assert list(better.places_mm) == ["upright"]
    assert better.places_mm["upright"][0] == 30.0


def test_nothing_is_told_where_boards_are_to_be_cut_one_at_a_time():
    assert better_stops(*worked(two_at_once=False, upright_stops_mm=(200.0, 300.0)), 6) is None
    job, drawers, programs = worked(upright_stops_mm=(200.0, 300.0))
    assert better_stops(job, drawers, with_offsets(programs, 1), 1) is None, "under one work offset no two boards are cut at once"
