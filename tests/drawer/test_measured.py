"""Drawers of boards as they were measured: sizes, joints and places by the table of docs/joinery.md section 14."""

from __future__ import annotations

from dataclasses import replace

import pytest

from camtools.drawer import drawers_of
from camtools.drawer.boards import Drawer
from camtools.faults import CannotCut
from camtools.job.bench.board_sheet import one_by_one
from camtools.job.job import DrawerWish, Job
from tests.specimens import FIT, drawer, job_of

# Front 20, sides and back 12, lap 5, proud 0.3: boards 300 x 100 x 20, 300.6 x 100 x 12, 315.3 x 100 x 12.
OUTSIDE = (300.0, 100.0, 320.0)


def job_with(*boards: dict[str, tuple[float | None, float | None, float | None]], **more: object) -> Job:
    """A job of equal drawers, a set of boards for each."""
    wish: DrawerWish = replace(drawer(*OUTSIDE), count=len(boards), **more)
    job = job_of(wish)
    single = one_by_one(job.drawers)
    return replace(
        job,
        drawers=tuple(
            replace(own, measured=replace(own.measured, boards={**own.measured.boards, **changed}))
            for own, changed in zip(single, boards, strict=True)
            if own.measured
        ),
    )


def made(**changed: tuple[float | None, float | None, float | None]) -> Drawer:
    return drawers_of(job_with(changed))[0]


def test_boards_as_planned_make_the_drawer_that_was_planned() -> None:
    planned, measured = drawers_of(job_of(drawer(*OUTSIDE)))[0], made()
    assert [board.piece for board in measured.boards] == [board.piece for board in planned.boards]
    assert [board.to_drawer for board in measured.boards] == [board.to_drawer for board in planned.boards]
    assert (measured.id, measured.planned_mm) == (planned.id, planned.outside_mm)


def test_the_lap_takes_up_the_thickness_of_the_front() -> None:
    own = made(front=(None, None, 20.3))
    assert own.front.piece.half_blind.length_mm == own.left.piece.half_blind.length_mm == pytest.approx(15)
    assert own.left.to_drawer[1][3] == own.front.piece.half_blind.lap_mm == pytest.approx(5.3)
    assert own.outside_mm[1] == pytest.approx(320.3)


def test_sockets_and_pins_follow_the_side_that_goes_into_them() -> None:
    own = made(left=(None, None, 12.3), right=(None, None, 11.7))
    front, back = own.front.piece, own.back.piece
    assert (front.half_blind.side_mm, front.right.side_mm) == (back.through.side_mm, back.right.side_mm) == (12.3, 11.7)
    assert front.groove.start_mm - (300 - front.groove.stop_mm) == pytest.approx(12.3 - 11.7)
    assert own.bottom.to_drawer[0][3] == pytest.approx(made().bottom.to_drawer[0][3] + 0.3)
    assert own.outside_mm == (300.0, 320.0, 100.0)


def test_tails_follow_the_back_and_the_longer_side_stands_out_further() -> None:
    own = made(back=(None, None, 12.3), left=(315.8, None, None), right=(315.0, None, None))
    left, right = own.left.piece.through, own.right.piece.through
    assert (left.length_mm, right.length_mm) == pytest.approx((12.3 + 0.3 + 0.8, 12.3 + 0.3))
    inside = [315.8 - 15 - left.length_mm, 315.0 - 15 - right.length_mm]
    assert inside[0] == pytest.approx(inside[1])
    assert own.outside_mm[1] == pytest.approx(20 + inside[0] + 12.3)
    assert own.back.to_drawer[1][3] == own.outside_mm[1]


@pytest.mark.parametrize(
    ("front", "back", "wide", "ends", "pins"),
    [
        (300.5, 300.6, 300.4, 0.05, 0.1),  # the back's pins reach the faces of the sides, and no further than they must
        (299.5, 300.6, 299.5, 0.0, 0.55),
        (300.0, 300.1, 299.9, 0.05, 0.1),
    ],
)
def test_the_drawer_is_as_wide_as_its_front_is_long_if_the_back_reaches_that_far(front, back, wide, ends, pins) -> None:
    own = made(front=(front, None, None), back=(back, None, None))
    assert own.outside_mm[0] == pytest.approx(wide)
    assert (-own.front.to_drawer[0][3], -own.back.to_drawer[0][3]) == pytest.approx((ends, pins))
    assert own.front.piece.half_blind.side_mm == pytest.approx(12 + ends)
    assert own.back.piece.through.proud_mm == pytest.approx(pins)
    assert own.right.to_drawer[0][3] == pytest.approx(wide)


def test_a_long_front_leaves_the_drawer_room_beside_it_in_its_opening() -> None:
    wish = replace(drawer(*OUTSIDE, outside=False), fit=replace(FIT, side_mm=0.3, finish_mm=0.0))
    single = one_by_one(job_of(wish).drawers)[0]
    changed = {**single.measured.boards, "front": (300.2, None, None), "back": (300.8, None, None)}
    job = replace(job_of(wish), drawers=(replace(single, measured=replace(single.measured, boards=changed)),))
    assert drawers_of(job)[0].outside_mm[0] == pytest.approx(300 - 2 * 0.2)


def test_upper_edges_show_the_difference_and_the_layout_stays() -> None:
    own, planned = made(left=(None, 99.6, None), back=(None, 100.4, None)), made()
    assert own.left.piece.through.tails == planned.left.piece.through.tails
    assert (own.left.piece.through.width_mm, own.back.piece.through.width_mm, own.outside_mm[2]) == (99.6, 100.4, 100.4)
    told = [(note.kind, note.text) for note in own.notes if note.where == "boards"]
    assert ("warning", "the upper edge of the back must be planed by 0.4 mm, to the planned height") in told
    assert any("that of the left side 0.4 mm" in text for _, text in told)


def test_boards_that_are_nearly_alike_are_cut_as_the_largest_of_them() -> None:
    sides = [{"left": (None, None, 12.0 + k / 100), "right": (None, None, 12.0 + k / 100)} for k in (0, 3, 5, 6, 11)]
    found = drawers_of(job_with(*sides))
    assert [one.left.piece.size_mm[2] for one in found] == [12.05, 12.05, 12.05, 12.11, 12.11]
    assert len({one.left.piece for one in found}) == 2


def test_all_copies_are_laid_out_alike_whatever_their_backs() -> None:
    thin, plan, thick = drawers_of(job_with({"back": (None, None, 11.3)}, {}, {"back": (None, None, 12.8)}))
    assert thin.left.piece.half_blind.tails == plan.left.piece.half_blind.tails == thick.left.piece.half_blind.tails


@pytest.mark.parametrize(
    ("changed", "words", "remedy"),
    [
        ({"left": (316.4, None, None)}, "board d1-left: its length is more", "saw it to length, or correct the sheet"),
        ({"left": (314.2, None, None)}, "board d1-left: its length is less", "cut this board anew, or correct the sheet"),
        ({"back": (None, 101.1, None)}, "board d1-back: its width is more", "plane its upper edge, or correct the sheet"),
        ({"front": (None, None, 21.1)}, "board d1-front: its thickness is more", "plane its inside face, or correct the sheet"),
        ({"bottom": (None, None, 5.1)}, "board d1-bottom: its thickness is less", "cut this board anew, or correct the sheet"),
    ],
)
def test_a_board_too_far_off_the_plan_is_refused_with_what_to_do(changed, words, remedy) -> None:
    with pytest.raises(CannotCut) as error:
        made(**changed)
    (fault,) = error.value.faults
    assert words in str(fault)
    assert (fault.remedy, fault.drawers) == (remedy, ("mosses",))
