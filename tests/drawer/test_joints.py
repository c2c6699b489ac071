from __future__ import annotations

import re
from dataclasses import replace

import pytest

from camtools.drawer import drawers_of
from camtools.drawer.boards import Drawer, HalfBlind, Through
from camtools.faults import CannotCut, Change, Fault, Way
from camtools.job.job import Cutter, DrawerWish
from tests.drawer.legality import faults_in
from tests.specimens import FIT, GROOVE, JOINT, STOCK, cutters, drawer, job_of


def _drawer(wish: DrawerWish, tools: tuple[Cutter, ...] = ()) -> Drawer:
    (one,) = drawers_of(job_of(wish, tools=tools))
    return one


def _joints(one: Drawer) -> tuple[HalfBlind, Through]:
    half_blind, through = one.left.piece.half_blind, one.left.piece.through
    assert half_blind is not None
    assert through is not None
    return half_blind, through


def _faults(wish: DrawerWish) -> list[Fault]:
    with pytest.raises(CannotCut) as caught:
        drawers_of(job_of(wish))
    return list(caught.value.faults)


def _texts(one: Drawer, kind: str = "choice") -> str:
    return " ".join(note.text for note in one.notes if note.kind == kind)


def test_front_and_back_joints_have_the_same_tails() -> None:
    half_blind, through = _joints(_drawer(drawer()))
    assert half_blind.tails == through.tails
    assert (half_blind.width_mm, through.width_mm, through.raise_mm) == (100, 100, 0)


def test_under_a_raised_back_the_lowest_tail_runs_down_beyond_the_edge_at_its_base_too() -> None:
    half_blind, through = _joints(_drawer(drawer(fit=replace(FIT, back="raised"))))
    assert through.tails[1:] == half_blind.tails[1:]
    assert through.tails[0].high_mm == pytest.approx(half_blind.tails[0].high_mm)
    assert -1 < through.tails[0].low_mm + through.length_mm * through.dovetail.slope <= 0
    assert through.raise_mm == pytest.approx(11 + 6.35)


def test_equal_side_and_back_give_both_cutters_one_depth() -> None:
    # Common practice, no source.
    equal = _drawer(drawer())
    half_blind, through = _joints(equal)
    assert through.length_mm == through.side_mm + through.proud_mm == pytest.approx(12.3)
    assert "both cutters work at one depth, 12.3 mm" in _texts(equal)
    other = _texts(_drawer(drawer(stock=replace(STOCK, back_mm=10.0))))
    assert "works 10.3 mm deep for the tails, the straight one 12.3 mm for the pins" in other
    assert half_blind.length_mm == 15


def test_the_plan_tells_why_there_are_so_many_tails() -> None:
    text = _texts(_drawer(drawer()))
    assert "3 tails of 24.87 mm, 2 pins of 7 mm, half pins of 5.7 mm" in text
    assert "2 tails would look worse: tails 3.5 times as wide as pins at half their length" in text  # (40.8 - 3.74) / (7 + 3.74)
    assert "4 tails would look worse: tails 1.2 times as wide" in text
    assert "pin 7 mm (at least 6.77 mm: the dovetail cutter of 12.7 mm must pass between two tails 12 mm long)" in text
    low = _texts(_drawer(drawer(height=50.0)))
    assert "1 tail of 38.6 mm" in low
    assert "2 tails would look worse: the groove would not lie inside the lowest tail" in low  # 5.7 + 15.8 mm, its end leans to 17.8
    lower = _texts(_drawer(drawer(height=37.0)))
    assert "2 tails can not be cut: 2 tails of 12.48 mm, 1 pin of 6.77 mm and half pins of 3 mm want 37.73 mm" in lower
    given = _texts(_drawer(drawer(joint=replace(JOINT, tail_mm=30.0, tails=2))))
    assert "2 tails of 30 mm, 1 pin of 7 mm, half pins of 16.5 mm, as many as asked for" in given
    assert "standard tail 30 mm as asked for" in given


def test_a_half_pin_too_thin_for_softwood_is_warned_of_and_the_advice_is_true() -> None:
    pine = replace(STOCK, back_wood="Pine, eastern white")
    low = drawer(stock=pine, groove=replace(GROOVE, edge_mm=9.0))
    warning = _texts(_drawer(low), "warning")
    assert "may split in softwood" in warning
    found = re.search(r"groove ([\d.]+) mm higher", warning)
    assert found
    higher = _drawer(drawer(stock=pine, groove=replace(GROOVE, edge_mm=9.0 + float(found[1]))))
    assert "softwood" not in _texts(higher, "warning")
    assert "softwood" not in _texts(_drawer(drawer(groove=replace(GROOVE, edge_mm=9.0))), "warning"), "cherry is no softwood"
    assert "may split" in _texts(_drawer(replace(low, stock=replace(STOCK, front_wood="Pine, red"))), "warning")
    sides = replace(low, stock=replace(STOCK, side_wood="Pine, red"))
    assert "softwood" not in _texts(_drawer(sides), "warning"), "half pins stand in front and back"


def test_proportions_that_the_trade_would_not_like_are_warned_of() -> None:
    assert "times as wide" not in _texts(_drawer(drawer(joint=replace(JOINT, tails=1))), "warning"), "a single tail has no pin beside it"
    assert "times as wide" in _texts(_drawer(drawer(height=300, joint=replace(JOINT, tails=2, pin_mm=7.0))), "warning")
    assert "times as wide" in _texts(_drawer(drawer(joint=replace(JOINT, tails=2, pin_mm=50.0))), "warning")
    # At their wide sides: half pins of 20 mm have 23.7, and 1.5 times the finest pin, 7 + 2 x 3.74, is 21.7.
    assert "half pins of 20 mm are wide" in _texts(_drawer(drawer(joint=replace(JOINT, half_pin_mm=20.0))), "warning")
    assert "are wide" not in _texts(_drawer(drawer(joint=replace(JOINT, half_pin_mm=17.0))), "warning")


@pytest.mark.parametrize(("height", "warned"), [(50.0, False), (50.1, True)])
def test_a_single_tail_on_a_board_that_is_wide_enough_for_two_is_warned_of(height: float, warned: bool) -> None:
    # A teacher's lesson, docs/sources.md section 3: a board of 50 mm has one tail, one of 75 mm two.
    one = _drawer(drawer(height=height, joint=replace(JOINT, tails=1)))
    assert ("a single tail on a drawer" in _texts(one, "warning")) is warned


def test_the_only_tail_of_a_raised_back_is_warned_of() -> None:
    raised = replace(FIT, back="raised")
    assert "one flank" in _texts(_drawer(drawer(height=50, fit=raised)), "warning")
    assert "one flank" not in _texts(_drawer(drawer(height=100, fit=raised)), "warning")
    assert "one flank" not in _texts(_drawer(drawer(height=50)), "warning")


def test_warnings_come_before_choices() -> None:
    kinds = [note.kind for note in _drawer(drawer(height=50, fit=replace(FIT, back="raised"))).notes]
    assert kinds[0] == "warning"
    assert kinds == sorted(kinds, reverse=True)


def test_both_joints_are_roughed_with_the_straight_cutter_where_that_is_asked_for() -> None:
    roughed = _joints(_drawer(drawer(joint=replace(JOINT, rough=True))))
    assert {joint.rough and joint.rough.kind for joint in roughed} == {"straight"}
    assert {joint.rough for joint in _joints(_drawer(drawer()))} == {None}


@pytest.mark.parametrize(("edge", "can"), [(14.8, True), (14.7, False)])
def test_roughing_wants_an_edge_as_long_as_the_waste_is_deep(edge: float, can: bool) -> None:
    # Sockets 15.3 mm deep less the 0.5 mm that roughing leaves.
    wish = drawer(joint=replace(JOINT, rough=True))
    tools = (cutters()[0], cutters(cutting_length=edge)[1])
    if can:
        assert _drawer(wish, tools)
    else:
        with pytest.raises(CannotCut, match="too short for the waste"):
            _drawer(wish, tools)


@pytest.mark.parametrize(("lap", "warned"), [(2.4, True), (2.9, True), (3.0, False)])
def test_thin_lap_is_warned_of(lap: float, warned: bool) -> None:
    one = _drawer(drawer(stock=replace(STOCK, front_mm=18.0), joint=replace(JOINT, lap_mm=lap)))
    assert (f"a lap of {lap:g} mm is thin" in _texts(one, "warning")) == warned


def test_drawer_that_no_layout_fits_is_judged_by_itself_and_not_by_the_standard_of_the_others() -> None:
    standard, hidden = replace(JOINT, style="standard"), replace(GROOVE, ends="hidden")
    low, high = (replace(drawer(height=height, joint=standard, groove=hidden), name=f"of {height:g} mm") for height in (25.0, 110.0))
    with pytest.raises(CannotCut) as alone:
        drawers_of(job_of(low))
    with pytest.raises(CannotCut) as together:
        drawers_of(job_of(low, high))
    assert together.value.faults == alone.value.faults
    (fault,) = alone.value.faults
    assert fault.ways[0][-1] == Change("outside[2]", 25.6)  # 11 + 6.35 + 1.5 of wood, 15 tan 14 of lean, 3 of half pin


NEAREST = {
    "too many tails": replace(JOINT, tails=6),
    "too many standard tails": replace(JOINT, style="standard", tails=6),
    "standard tail too wide for the board": replace(JOINT, style="standard", tail_mm=95.0),
    "pin too thin": replace(JOINT, pin_mm=5.0),
    "half pin too thin": replace(JOINT, half_pin_mm=2.0),
    "nothing for what is over": replace(JOINT, tail_mm=25.0, pin_mm=9.0, half_pin_mm=6.0),
    "everything": replace(JOINT, half_pin_mm=9.0, tails=7, pin_mm=3.0, tail_mm=8.0),
}


def _with(wish: DrawerWish, way: Way) -> DrawerWish:
    """Return a wish with changes of its joints, its groove and its height."""
    names = {"tails": "tails", "tail": "tail_mm", "pin": "pin_mm", "half_pin": "half_pin_mm"}
    for change in way:
        table, _, key = change.key.partition(".")
        if table == "joints":
            wish = replace(wish, joint=replace(wish.joint, **{names[key]: change.value}))
        elif table == "groove":
            wish = replace(wish, groove=replace(wish.groove, edge_mm=change.value))
        else:
            assert table == "outside[2]"
            assert wish.outside_mm
            wish = replace(wish, outside_mm=(wish.outside_mm[0], change.value, wish.outside_mm[2]))
    return wish


def _works(wish: DrawerWish, tools: tuple[Cutter, ...] = ()) -> bool:
    try:
        return faults_in(_drawer(wish, tools)) == []
    except CannotCut:
        return False


@pytest.mark.parametrize("name", NEAREST)
def test_a_refusal_proposes_what_to_let_go_and_that_works(name: str) -> None:
    wish = drawer(joint=NEAREST[name])
    for fault in _faults(wish):
        given = [way[0].key for way in fault.ways if way[0].key.startswith("joints.") and way[0].value is None]
        assert fault.where.removeprefix('drawers[1] "mosses", ') in ("joints", *given)
        assert fault.where.endswith("joints") is (
            len(given) > 1 and not fault.problem.startswith(("pin asked", "tail asked", "half pin asked"))
        )
        assert fault.value.endswith(" mm")
        assert "mm" in fault.limit
        assert any(_works(_with(wish, way)) for way in fault.ways)


def test_what_is_asked_for_under_its_bound_may_be_had_at_it() -> None:
    wish = drawer(joint=replace(JOINT, half_pin_mm=2.0))
    (fault,) = _faults(wish)
    assert fault.ways[0] == (Change("joints.half_pin", 3.0),)
    assert _works(_with(wish, fault.ways[0]))


@pytest.mark.parametrize("height", [40.0, 100.0])
def test_a_groove_too_near_to_the_edge_is_refused_with_a_place_that_works(height: float) -> None:
    wish = drawer(height=height, groove=replace(GROOVE, edge_mm=7.0, ends="hidden"))
    (fault,) = _faults(wish)
    assert fault.where.endswith("groove.edge")
    assert fault.value == "7 mm"
    assert fault.limit.startswith("at least 8.24 mm")
    assert fault.ways[0] == (Change("groove.edge", 8.5),)
    assert _works(_with(wish, fault.ways[0]))


@pytest.mark.parametrize("back", ["full", "raised"])
@pytest.mark.parametrize("edge", [7.0, 11.0])
@pytest.mark.parametrize("ends", ["stopped", "hidden"])
@pytest.mark.parametrize("tools", [cutters(), cutters(19.0, 10.0)])
def test_a_board_too_low_for_any_tail_is_refused_with_a_height_that_works(
    back: str, edge: float, ends: str, tools: tuple[Cutter, ...]
) -> None:
    wish = drawer(height=18.0, groove=replace(GROOVE, edge_mm=edge, ends=ends), fit=replace(FIT, back=back))
    with pytest.raises(CannotCut) as caught:
        drawers_of(job_of(wish, tools=tools))
    for fault in caught.value.faults:
        higher = next(way for way in fault.ways if way[-1].key == "outside[2]")
        assert _works(_with(wish, higher), tools)
        assert not _works(_with(wish, (*higher[:-1], Change("outside[2]", higher[-1].value - 0.2))), tools)
