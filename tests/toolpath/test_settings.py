"""What is longer or wider than the travel is cut in settings, the board slid to another stop between them."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import pytest

from camtools.drawer.drawers import drawers_of
from camtools.faults import CannotCut
from camtools.toolpath.moves import Arc, Line, reach_of
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
    assert "against the second stop at the right, 180 mm to the right of X zero" in told[1]


@pytest.mark.parametrize(("beyond_mm", "total"), [(180.0, 2), (181.0, 3)])
def test_settings_that_would_share_less_than_ten_mm_are_one_more(beyond_mm, total):
    """Reached are 195 mm of 200; the front's groove ends 12 mm of side, 3 mm of stop and 3 mm of cutter before its end."""
    assert grooves(200.0, wide_mm=195.0 + beyond_mm + 18.0)["front"][0].setup.setting.total == total


def test_groove_that_four_settings_do_not_reach_is_refused():
    with pytest.raises(CannotCut, match="longer in X"):
        grooves(120.0)


HIGH = drawer(300.0, 200.0, 260.0)


def ends(travel_x_mm, flat=False, **machine):
    """Return the programs of each end of each board of a high drawer, in settings."""
    own = replace(HIGH, joint=replace(HIGH.joint, rough=not flat), groove=replace(HIGH.groove, bottom_corners="machine"))
    job = job_of(own)
    holds = {"holds": ("flat",)} if flat else {}
    job = replace(job, machine=replace(job.machine, travel_mm=(travel_x_mm, 600.0, 120.0), **holds, **machine))
    found = {}
    for program in programs_of(job, drawers_of(job)):
        if program.setup.end != "groove":
            found.setdefault((program.setup.piece.role, program.setup.end), []).append(program)
    return found


def in_wood(programs):
    """Return where the cutters' own feeds take them, as seen on the board: each place with its cutter."""
    places = set()
    for program in programs:
        slid, left = program.setup.setting.slid_mm, program.setup.stop == "left"
        for move in (move for cut in program.cuts for move in cut.moves):
            if isinstance(move, Line | Arc) and move.feed_mm_min == program.cutter.feed_mm_min:
                x, y, z = move.end
                places.add((program.cutter.number, round(x + slid if left else x - slid, 6), round(y, 6), round(z, 6)))
    return places


@pytest.mark.parametrize("flat", [False, True])
def test_settings_of_an_end_cut_together_what_one_setting_cuts(flat):
    whole, parted = ends(600.0, flat), ends(180.0, flat)
    assert whole.keys() == parted.keys()
    for end, programs in parted.items():
        assert {program.setup.setting.total for program in programs} == {2}, end
        assert in_wood(programs) == in_wood(whole[end]), end
        settings = [in_wood(p for p in programs if p.setup.setting.number == number) for number in (1, 2)]
        assert not settings[0] & settings[1], end


@pytest.mark.parametrize("stops", [None, (30.0, 150.0)])
def test_settings_of_an_end_keep_within_the_travel(stops):
    for programs in ends(180.0, upright_stops_mm=stops, flat_stops_mm=stops).values():
        for program in programs:
            low, high = reach_of(program.cuts)[0]
            near, far = (low, high) if program.setup.stop == "left" else (-high, -low)
            before = program.setup.setting.before_mm if stops is None else 30.0
            assert -before <= near + 1e-9
            assert far <= (175.0 - before if stops is None else 150.0) + 1e-9
            assert (f"X zero lies {before:g} mm to" in " ".join(map(str, program.setup.words))) == (
                stops is None and program.setup.setting.number == 1
            )


def test_settings_part_in_tails_pins_and_bottom_edges():
    for (role, _), programs in ends(180.0).items():
        first, second = ([along_the_board(program) for program in programs if program.setup.setting.number == number] for number in (1, 2))
        radius = max(program.cutter.diameter_mm for program in programs) / 2
        low, high = max(far for _, far in first) - radius, min(near for near, _ in second) + radius
        piece = programs[0].setup.piece
        joint = {"back": piece.through, "bottom": None}.get(role, piece.half_blind)
        middle = piece.size_mm[1] / 2
        places = [middle] if joint is None else [tail.middle_mm for tail in joint.tails] if "side" in role else pins(joint)
        assert any(low < place < high for place in places), role


def pins(joint):
    return [(one.high_mm + other.low_mm) / 2 for one, other in pairwise(joint.tails)]


def test_operator_reads_how_an_end_is_slid_and_where_it_is_zeroed():
    programs = ends(180.0)["left side", "front end"]
    first, second = ([" ".join(map(str, p.setup.words)) for p in programs if p.setup.setting.number == number] for number in (1, 2))
    step = programs[0].setup.setting.step_mm
    assert all(f"lay the distance piece, just {step:g} mm long, square against the board's reference edge" in words for words in first)
    pushed = f"against the second stop at the left, {step:g} mm to the left of X zero. Zero: X as it was for setting 1, Y at the backing"
    assert all(pushed in words for words in second)
    assert all("hold it level where it reaches out" in words for words in first + second)
    assert "in the same settings" in first[0], "it is roughed there first"


def test_half_of_a_board_is_held_in_every_setting():
    """Tails reach from 5.85 mm before to 5.85 mm beyond a side 200 mm high; 5 mm are left for the stop at the end of 110 mm."""
    with pytest.raises(CannotCut, match=r"front end of the side, \"mosses\": .* longer in X"):
        ends(105.0)
    assert all(p.setup.setting.slid_mm <= p.setup.piece.size_mm[1] / 2 for programs in ends(160.0).values() for p in programs)


def test_end_that_fits_the_travel_asks_for_another_place_of_its_stop():
    with pytest.raises(CannotCut, match=r"the left stop of the upright hold must stand at least .* further to the left"):
        ends(230.0, upright_stops_mm=(100.0, 200.0))
