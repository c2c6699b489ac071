from __future__ import annotations

import math
import re
from dataclasses import replace

import pytest

from camtools.drawer import drawers_of
from camtools.drawer.boards import Drawer, Groove
from camtools.faults import CannotCut, Fault
from camtools.job.job import Cutter, DrawerWish
from tests.drawer.legality import faults_in
from tests.specimens import FIT, GROOVE, JOINT, STOCK, cutters, drawer, job_of


def _drawer(wish: DrawerWish, tools: tuple[Cutter, ...] = ()) -> Drawer:
    (one,) = drawers_of(job_of(wish, tools=tools))
    return one


def _groove(drawer: Drawer, board: str) -> Groove:
    groove = getattr(drawer, board).piece.groove
    assert isinstance(groove, Groove)
    return groove


def _faults(wish: DrawerWish, tools: tuple[Cutter, ...] = ()) -> list[Fault]:
    with pytest.raises(CannotCut) as caught:
        drawers_of(job_of(wish, tools=tools))
    return [fault for fault in caught.value.faults if "groove" in fault.where]


def _all_faults(wish: DrawerWish) -> list[Fault]:
    with pytest.raises(CannotCut) as caught:
        drawers_of(job_of(wish))
    return list(caught.value.faults)


def test_the_groove_is_as_wide_as_the_measured_panel_and_its_play() -> None:
    one = _drawer(drawer(stock=replace(STOCK, bottom_mm=6.37), groove=replace(GROOVE, play_mm=0.2)))
    assert {_groove(one, board).width_mm for board in ("front", "back", "left", "right")} == {6.57}


def test_stopped_grooves_end_the_same_distance_from_every_inside_corner() -> None:
    one = _drawer(drawer(300, 100, 320, groove=replace(GROOVE, stop_mm=4.0)))
    side, front, back = (_groove(one, board) for board in ("left", "front", "back"))
    assert side.start_mm == pytest.approx(15 + 4)  # behind the shoulder, tails 15 mm long
    assert side.stop_mm == pytest.approx(315.3 - 12.3 - 4)
    assert (front.start_mm, front.stop_mm) == pytest.approx((12 + 4, 300 - 16))
    assert (back.start_mm, back.stop_mm) == pytest.approx((12.3 + 4, 300.6 - 16.3))


def test_both_sides_have_the_same_groove_for_their_programs_are_mirrored() -> None:
    one = _drawer(drawer())
    assert _groove(one, "left") == _groove(one, "right")


def test_a_stop_that_would_break_into_the_leaning_socket_is_lengthened_and_told() -> None:
    asked = replace(GROOVE, stop_mm=1.0, depth_mm=6.0)
    one = _drawer(drawer(groove=asked))
    # The socket's wall reaches c + depth t beyond the inside corner at the groove's floor; 1 mm of wood stays, rounded up.
    least = 0.08 + 6.0 * math.tan(math.radians(14)) + 1.0
    stop = _groove(one, "front").start_mm - 12
    assert least <= stop < least + 0.1
    assert _groove(one, "left").start_mm == pytest.approx(15 + stop)
    assert any("stops of 2.6 mm where 1 mm was asked for" in note.text for note in one.notes)
    assert not any("asked for: the wall" in note.text for note in _drawer(drawer()).notes)


def test_hidden_grooves_run_on_to_the_inside_corner_at_the_front_only() -> None:
    one = _drawer(drawer(300, 100, 320, groove=replace(GROOVE, ends="hidden", stop_mm=3.0)))
    side, front, back = (_groove(one, board) for board in ("left", "front", "back"))
    assert side.start_mm == pytest.approx(15 - 3)  # the middle of the round end stands at the shoulder, cutter 6 mm
    assert front.start_mm == pytest.approx(12 - 3)
    assert front.stop_mm == pytest.approx(300 - 12 + 3)
    assert side.stop_mm == pytest.approx(315.3 - 12.3 - 3)
    assert back.start_mm == pytest.approx(12.3 + 3)


def test_hidden_grooves_keep_a_millimetre_of_wood_where_they_stop_at_the_back() -> None:
    one = _drawer(drawer(groove=replace(GROOVE, ends="hidden", stop_mm=0.2)))
    assert _groove(one, "back").start_mm == pytest.approx(12.3 + 1.0)


def test_under_a_raised_back_the_side_grooves_run_out_and_the_back_has_none() -> None:
    one = _drawer(drawer(fit=replace(FIT, back="raised")))
    assert one.back.piece.groove is None
    assert _groove(one, "left").stop_mm > one.left.piece.size_mm[0] + 6
    assert _groove(one, "left").start_mm == pytest.approx(15 + 3)


@pytest.mark.parametrize(
    ("wish", "tools", "problem", "value", "limit"),
    [
        (drawer(), cutters(straight=6.5), "wider than the groove", "6.5 mm", "at most 6.35 mm"),
        (drawer(groove=replace(GROOVE, depth_mm=9.1)), cutters(), "behind the groove in the side", "9.1 mm of 12 mm", "at most 9 mm"),
        (drawer(stock=replace(STOCK, back_mm=8.0)), cutters(), "behind the groove in the back", "6 mm of 8 mm", "at most 5 mm"),
        (drawer(groove=replace(GROOVE, edge_mm=3.9)), cutters(9.5, 7), "too little wood under the groove", "3.9", "at least 4 mm"),
    ],
)
def test_what_the_wood_or_the_cutter_can_not_do_is_refused(
    wish: DrawerWish, tools: tuple[Cutter, ...], problem: str, value: str, limit: str
) -> None:
    (fault,) = _faults(wish, tools)
    assert problem in fault.problem
    assert value in fault.value
    assert limit in fault.limit
    assert fault.ways or fault.remedy
    if found := re.match(r"at most ([\d.]+) mm$", fault.limit):
        assert drawers_of(job_of(replace(wish, groove=replace(wish.groove, depth_mm=float(found[1]))), tools=tools))


def test_a_board_too_short_for_its_groove_is_refused() -> None:
    wish = drawer(54, 100, 320, groove=replace(GROOVE, stop_mm=10.0))
    faults = _faults(wish)
    assert {fault.problem for fault in faults} == {"the front is too short for its groove", "the back is too short for its groove"}
    assert faults[0].value == "10 mm"
    assert faults[0].limit == "at least 18 mm"


@pytest.mark.parametrize(
    ("ends", "back", "words"),
    [
        ("stopped", "full", "; it stops short of every joint"),
        ("hidden", "full", "; it runs on at the front, hidden by tail and socket"),
        ("stopped", "raised", "; it stops short of the front joint, and runs out at the rear under the back"),
        ("hidden", "raised", "; it runs on at the front, hidden by tail and socket, and runs out at the rear under the back"),
    ],
)
def test_the_way_the_groove_ends_is_told(ends: str, back: str, words: str) -> None:
    one = _drawer(drawer(groove=replace(GROOVE, ends=ends), fit=replace(FIT, back=back)))
    assert any(note.text.endswith(words) for note in one.notes)


def test_little_wood_under_the_groove_is_warned_of() -> None:
    thin = drawer(
        stock=replace(STOCK, front_mm=14.0, back_mm=8.0, side_mm=8.0),
        joint=replace(JOINT, lap_mm=6.0),
        groove=replace(GROOVE, edge_mm=5.9, depth_mm=4.0),
    )
    one = _drawer(thin, cutters(12.7, 7.0))
    assert any(note.kind == "warning" and "5.9 mm of wood is left under the groove" in note.text for note in one.notes)


def test_the_wood_around_the_groove_is_told() -> None:
    (note,) = [note for note in _drawer(drawer()).notes if note.where == "groove"]
    for words in (
        "6.35 mm wide, 6 mm deep",
        "11 mm of wood under it",
        "6 mm behind it in the sides",
        "14 mm in the front",
        "inside the lowest tail with 1.56 mm of it below and 9.48 mm above",
    ):
        assert words in note.text


def test_a_stopped_groove_may_lie_outside_the_lowest_tail_and_breaks_into_nothing() -> None:
    # Half pins of 9 mm reach up to 12.7 mm at the shoulder, the groove begins at 11 mm.
    one = _drawer(drawer(joint=replace(JOINT, half_pin_mm=9.0)))
    assert faults_in(one) == []
    assert one.left.piece.half_blind.tails[0].low_mm == pytest.approx(9.0)
    assert any("not inside the lowest tail" in note.text for note in one.notes)
    assert [fault.problem for fault in _all_faults(drawer(joint=replace(JOINT, half_pin_mm=9.0), groove=replace(GROOVE, ends="hidden")))]
