"""A groove longer than the travel is cut in settings, the board slid along the fence to another stop between them."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import pytest

from camtools.drawer.drawers import drawers_of
from camtools.faults import CannotCut
from camtools.toolpath.moves import reach_of
from camtools.toolpath.programs import programs_of
from tests.specimens import drawer, job_of

WIDE = drawer(560.0, 100.0, 345.0)


def grooves(travel_x_mm, wide_mm=560.0, **machine):
    job = job_of(replace(WIDE, outside_mm=(wide_mm, 100.0, 345.0)))
    job = replace(job, machine=replace(job.machine, travel_mm=(travel_x_mm, 600.0, 120.0), **machine))
    found = {}
    for program in programs_of(job, drawers_of(job)):
        if program.setup.end == "groove":
            found.setdefault(program.setup.piece.role, []).append(program)
    return found


def along_the_board(program):
    """Return what the cutter's axis reaches of the board's length, from the end at the stop."""
    low, high = reach_of(program.cuts)[0]
    slid = program.setup.setting.slid_mm
    return (low + slid, high + slid) if program.setup.stop == "left" else (slid - high, slid - low)


def test_groove_within_the_travel_has_one_setting():
    for programs in grooves(600.0).values():
        assert [(program.setup.setting.total, program.setup.setting.slid_mm) for program in programs] == [(1, 0.0)]
        assert not any("setting" in str(words) for words in programs[0].setup.words)


@pytest.mark.parametrize("role", ["front", "back", "left side", "right side"])
@pytest.mark.parametrize("stops", [None, (20.0, 180.0)])
def test_settings_reach_the_whole_groove_overlap_and_keep_within_the_travel(role, stops):
    whole = along_the_board(grooves(1200.0)[role][0])
    programs = grooves(200.0, flat_stops_mm=stops)[role]
    reached = [along_the_board(program) for program in programs]
    assert len(programs) > 1
    assert (reached[0][0], reached[-1][1]) == pytest.approx(whole)
    assert all(one[1] - other[0] >= 10.0 - 1e-9 for one, other in pairwise(reached))
    for program in programs:
        low, high = reach_of(program.cuts)[0]
        near, far = (low, high) if program.setup.stop == "left" else (-high, -low)
        assert near >= -1e-9
        assert far <= (195.0 if stops is None else 180.0) + 1e-9  # from a stop of known place, or within 5 mm of the end of travel


def test_one_distance_piece_serves_every_board_at_both_stops():
    programs = [program for own in grooves(200.0).values() for program in own]
    # The front's groove ends 560 - 12 - 3 - 3 mm from the stop, of which 195 mm are reached: three settings, (542 - 195) / 2 mm apart.
    assert {program.setup.setting.step_mm for program in programs} == {180.0}


def test_first_settings_come_before_second_ones_at_a_stop():
    programs = sorted((program for own in grooves(200.0).values() for program in own), key=lambda program: program.order)
    for stop in ("left", "right"):
        numbers = [program.setup.setting.number for program in programs if program.setup.stop == stop]
        assert numbers == sorted(numbers)


def test_operator_reads_how_the_second_stop_is_set():
    first, *_, last = grooves(200.0)["right side"]
    told = [" ".join(map(str, program.setup.words)) for program in (first, last)]
    assert "set the second stop at the right: take the right stop away, lay the distance piece, just 180 mm long" in told[0]
    assert "against the second stop at the right, 180 mm beyond X zero" in told[1]


@pytest.mark.parametrize(("beyond_mm", "total"), [(180.0, 2), (181.0, 3)])
def test_settings_that_would_share_less_than_ten_mm_are_one_more(beyond_mm, total):
    """Reached are 195 mm of 200; the front's groove ends 12 mm of side, 3 mm of stop and 3 mm of cutter before its end."""
    assert grooves(200.0, wide_mm=195.0 + beyond_mm + 18.0)["front"][0].setup.setting.total == total


def test_groove_that_four_settings_do_not_reach_is_refused():
    with pytest.raises(CannotCut, match="longer in X"):
        grooves(120.0)
