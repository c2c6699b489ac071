from __future__ import annotations

from dataclasses import replace

import pytest
import shapely
from shapely.affinity import scale, translate

from camtools.drawer import drawers_of
from camtools.drawer.boards import Drawer
from camtools.faults import CannotCut, Change
from camtools.job.job import DrawerWish, Stock
from tests.drawer.legality import faults_in
from tests.specimens import FIT, GROOVE, STOCK, cutters, drawer, job_of

SOLID = replace(STOCK, bottom_kind="solid")
FULL = drawer(300, 100, 320)
RAISED = replace(FIT, back="raised")


def _drawer(wish: DrawerWish) -> Drawer:
    (one,) = drawers_of(job_of(wish))
    return one


def _outline(one: Drawer) -> list[tuple[float, float]]:
    """Return the outline in the drawer's X and Y."""
    frame = one.bottom.to_drawer
    return [(u + frame[0][3], v + frame[1][3]) for u, v in one.bottom.piece.outline]


def test_the_bottom_lies_in_the_grooves_with_half_of_the_play_under_it() -> None:
    assert _drawer(FULL).bottom.to_drawer[2] == (0, 0, 1, pytest.approx(11.0 + 0.075))


def test_side_tongues_reach_into_their_grooves_but_for_a_little() -> None:
    one = _drawer(FULL)
    xs = [x for x, _ in _outline(one)]
    assert min(xs) == pytest.approx(12 - 6 + 0.4)
    assert max(xs) == pytest.approx(300 - 12 + 6 - 0.4)


def test_the_panel_reaches_the_inside_corner_and_its_tongues_are_trimmed_behind_the_round_ends() -> None:
    outline = _outline(_drawer(drawer(300, 100, 320, groove=replace(GROOVE, stop_mm=3.0), stock=SOLID, fit=RAISED)))
    corner = min(outline, key=lambda point: (point[0] - 12) ** 2 + (point[1] - 20) ** 2)
    assert corner == pytest.approx((12.1, 20.1))
    trim = 3 + 3 + 0.3  # stop, radius of the round end, play
    assert (pytest.approx(12.1), pytest.approx(20 + trim)) in outline
    assert (pytest.approx(12 + trim), pytest.approx(20.1)) in outline


def test_the_outline_is_the_same_on_the_left_and_on_the_right() -> None:
    for wish in (FULL, drawer(300, 100, 320, fit=RAISED), drawer(groove=replace(GROOVE, ends="hidden"))):
        outline = _outline(_drawer(wish))
        assert {(round(x, 5), round(y, 5)) for x, y in outline} == {(round(300 - x, 5), round(y, 5)) for x, y in outline}


def test_hidden_grooves_need_no_trimming_at_the_front() -> None:
    stopped, hidden = _drawer(FULL), _drawer(drawer(300, 100, 320, groove=replace(GROOVE, ends="hidden")))
    assert len(stopped.bottom.piece.outline) == 20
    assert len(hidden.bottom.piece.outline) == 16
    assert any(x == pytest.approx(12.1) and y < 15 for x, y in _outline(hidden))


def test_a_bottom_under_a_raised_back_ends_just_before_the_backs_outside_face() -> None:
    assert max(y for _, y in _outline(_drawer(drawer(300, 100, 320, fit=RAISED)))) == pytest.approx(320 - 1, abs=0.2)


def test_solid_wood_gets_room_to_grow_to_the_rear_under_a_raised_back() -> None:
    plain, solid = (_drawer(drawer(300, 100, 320, fit=RAISED, stock=stock)) for stock in (STOCK, SOLID))
    # Wood Handbook Eq. (13-2): black cherry, flat-sawn, C_T 0.00248, from 8 to 11 %, over 300 mm inside and the grooves.
    assert plain.bottom.piece.size_mm[1] - solid.bottom.piece.size_mm[1] == pytest.approx(300 * 0.00248 * 3, abs=0.2)
    assert plain.bottom.piece.size_mm[0] == solid.bottom.piece.size_mm[0], "grain runs from side to side"


def test_solid_wood_between_front_and_back_moves_half_at_each() -> None:
    one = _drawer(drawer(300, 100, 200, stock=SOLID))
    growth = (168 + 12) * 0.00248 * 3
    ys = [y for _, y in _outline(one)]
    assert min(ys) == pytest.approx(20 - 6 + 0.4 + growth / 2, abs=1e-3)
    assert max(ys) == pytest.approx(188 + 6 - 0.4 - growth / 2, abs=1e-3)
    assert faults_in(one, corner_mm=0.2 + growth) == []


def test_a_solid_bottom_that_is_swollen_still_goes_in() -> None:
    # The outline of the panel as it will be in the dampest season, laid in the drawer again.
    one = _drawer(drawer(300, 100, 200, stock=SOLID))
    growth = (168 + 12) * 0.00248 * 3
    long, deep, thick = one.bottom.piece.size_mm
    stretched = tuple((u, v * (deep + growth) / deep) for u, v in one.bottom.piece.outline)
    frame = one.bottom.to_drawer
    moved = (frame[0], (*frame[1][:3], frame[1][3] - growth / 2), frame[2])
    piece = replace(one.bottom.piece, outline=stretched, size_mm=(long, deep + growth, thick))
    wet = replace(one, bottom=replace(one.bottom, piece=piece, to_drawer=moved))
    assert faults_in(wet, corner_mm=0.25) == []


def test_a_wide_solid_bottom_caught_on_four_sides_is_refused_with_what_would_work() -> None:
    wish = drawer(300, 100, 900, stock=SOLID)
    with pytest.raises(CannotCut) as caught:
        drawers_of(job_of(wish))
    (fault,) = caught.value.faults
    assert "too little of the bottom stays in its groove" in fault.problem
    assert (Change("fit.back", "raised"),) in fault.ways
    assert (Change("stock.bottom_kind", "plywood"),) in fault.ways
    assert _drawer(drawer(300, 100, 900, stock=SOLID, fit=RAISED))
    assert _drawer(drawer(300, 100, 900))


def test_the_depth_that_a_refusal_names_is_enough() -> None:
    wish = drawer(300, 100, 320, groove=replace(GROOVE, depth_mm=1.6))
    with pytest.raises(CannotCut) as caught:
        drawers_of(job_of(wish))
    (fault,) = caught.value.faults
    ((first,), *_) = fault.ways
    assert first.key == "groove.depth"
    assert _drawer(drawer(300, 100, 320, groove=replace(GROOVE, depth_mm=first.value)))


@pytest.mark.parametrize("ends", ["stopped", "hidden"])
@pytest.mark.parametrize("back", ["full", "raised"])
@pytest.mark.parametrize("kind", ["plywood", "solid"])
@pytest.mark.parametrize(("straight", "bottom"), [(4.0, 4.0), (4.0, 6.4), (6.0, 9.6), (6.35, 6.2)])
def test_bottoms_of_all_kinds_fit_their_grooves(ends: str, back: str, kind: str, straight: float, bottom: float) -> None:
    wish = drawer(
        300,
        110,
        210,
        stock=replace(STOCK, bottom_kind=kind, bottom_mm=bottom),
        groove=replace(GROOVE, ends=ends, edge_mm=12.0),
        fit=replace(FIT, back=back),
    )
    (one,) = drawers_of(job_of(wish, tools=cutters(straight=straight)))
    assert faults_in(one, corner_mm=0.3 if kind == "plywood" else 2.2) == []


@pytest.mark.parametrize("back", ["full", "raised"])
@pytest.mark.parametrize("ends", ["stopped", "hidden"])
@pytest.mark.parametrize("stock", [STOCK, replace(SOLID, bottom_wood="Teak")], ids=["plywood", "solid"])
def test_notches_taken_off_a_rectangle_leave_the_outline(back: str, ends: str, stock: Stock) -> None:
    one = _drawer(drawer(300, 100, 320, stock=stock, fit=replace(FIT, back=back), groove=replace(GROOVE, ends=ends)))
    long, wide, _ = one.bottom.piece.size_mm
    left = shapely.box(0, 0, long, wide)
    for notch in one.notches:
        corner = shapely.union(shapely.box(0, 0, notch.side_deep_mm, notch.side_mm), shapely.box(0, 0, notch.end_mm, notch.end_deep_mm))
        for flip in ((1, 1), (-1, 1)):
            turned = scale(corner, flip[0], 1 if notch.end == "front" else -1, origin=(0, 0))
            left = left.difference(translate(turned, 0 if flip[0] > 0 else long, 0 if notch.end == "front" else wide))
    assert left.symmetric_difference(shapely.Polygon(one.bottom.piece.outline)).area < 1e-6
    assert [notch.end for notch in one.notches] == (["front", "rear"] if back == "full" else ["front"])
    assert one.notches[0].stepped is (ends == "stopped")


def test_how_the_corners_are_cut_back_is_told_with_four_numbers_and_what_would_be_simpler() -> None:
    """Stop, radius of the groove's round end and 0.3 mm beyond the inside corner, the tongue before it; 0.1 mm beside the corner."""
    stopped, hidden = (
        " ".join(note.text for note in _drawer(drawer(fit=RAISED, groove=replace(GROOVE, ends=ends))).notes if note.where == "bottom")
        for ends in ("stopped", "hidden")
    )
    tongue, trim = 6 - 0.4, 3 + 3 + 0.3
    assert f"{tongue + 0.1:.1f} mm deep over {tongue + trim:.1f} mm along the side edge" in stopped
    assert f"{tongue + 0.1:.1f} mm deep over {tongue + trim:.1f} mm along the front edge" in stopped
    assert 'groove.ends = "hidden"' in stopped
    assert f"one square notch, {tongue + 0.1:.1f} mm along the side edge and {tongue + 0.1:.1f} mm along the front edge" in hidden
    assert "groove.ends" not in hidden
    assert "at every corner a stepped notch" in " ".join(note.text for note in _drawer(FULL).notes)
