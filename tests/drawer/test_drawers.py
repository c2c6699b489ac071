from __future__ import annotations

import itertools
from dataclasses import replace

import numpy as np
import pytest

from camtools.drawer import drawers_of
from camtools.drawer.boards import Drawer
from camtools.drawer.looks import Eye
from camtools.drawer.styles import STYLES
from camtools.faults import CannotCut
from camtools.job.job import Job
from tests.drawer.legality import faults_in, feasible
from tests.specimens import FIT, GROOVE, JOBS, JOINT, STOCK, cutters, drawer, job_of, specimen_chest


@pytest.mark.parametrize("name", JOBS)
def test_every_specimen_is_legal_by_the_equations_of_joinery(name: str) -> None:
    solid = "solid" in name
    for one in drawers_of(JOBS[name]):
        assert faults_in(one, corner_mm=2.0 if solid else 0.25) == []


# Heights, sides, fronts and cutters that the programs are to serve: 6.35 to 19 mm by 7 to 14 degrees.
HEIGHTS = (45.0, 60.0, 85.0, 110.0, 150.0, 210.0, 300.0)
SIDES = (8.0, 10.0, 12.0, 16.0, 20.0)
FRONTS = (14.0, 18.0, 22.0, 28.0)
CUTTERS = (
    (6.35, 8.0),
    (8.0, 7.0),
    (9.525, 9.0),
    (9.525, 14.0),
    (12.7, 7.0),
    (12.7, 14.0),
    (15.9, 14.0),
    (19.0, 7.0),
    (19.0, 10.0),
    (19.0, 14.0),
)


@pytest.mark.parametrize("style", STYLES)
@pytest.mark.parametrize(("back", "ends"), [("full", "stopped"), ("raised", "stopped"), ("full", "hidden")])
def test_on_the_whole_grid_a_layout_is_legal_or_refused_because_none_can_be_cut(style: str, back: str, ends: str) -> None:
    legal = refused = 0
    # Each style and kind takes every eighth combination, from a place of its own, so that two kinds take all, and so do all styles.
    first = list(STYLES).index(style) + (4 if back == "raised" else 0)
    for (diameter, angle), side, front in itertools.islice(itertools.product(CUTTERS, SIDES, FRONTS), first, None, 8):
        straight = 4.0 if side <= 10 else 6.0
        bottom = 4.2 if straight == 4.0 else 6.2
        lap = max(3.0, front / 4)
        stock = replace(STOCK, front_mm=front, side_mm=side, back_mm=side, bottom_mm=bottom)
        joint = replace(JOINT, style=style, lap_mm=lap)
        groove = replace(GROOVE, edge_mm=13.0, depth_mm=min(6.0, side / 2), ends=ends)
        fit = replace(FIT, back=back)
        tools = cutters(diameter, angle, straight)
        for height in HEIGHTS:
            wish = drawer(height=height, stock=stock, joint=joint, groove=groove, fit=fit)
            can = feasible(
                height=height, side=side, front=front, lap=lap, back=side, diameter=diameter, angle=angle, straight=straight,
                clearance=joint.clearance_mm, free=joint.free_depth_mm, proud=joint.proud_mm, reach=tools[0].cutting_length_mm,
                edge=groove.edge_mm, groove=bottom + groove.play_mm, raised=back == "raised",
                hidden=ends == "hidden",
            )  # fmt: skip
            job = job_of(wish, tools=tools)
            if can:
                (one,) = drawers_of(job)
                assert faults_in(one) == [], (diameter, angle, side, front, height)
                legal += 1
                continue
            with pytest.raises(CannotCut) as caught:
                drawers_of(job)
            for fault in caught.value.faults:
                assert fault.where.startswith(('drawers[1] "mosses"', "cutters["))
                assert all((fault.value, fault.limit)), str(fault)
            refused += 1
    assert legal > 100
    assert refused > 20


def test_a_family_shares_its_standard_tail_pin_and_half_pin() -> None:
    drawers = drawers_of(specimen_chest("standard"))
    joints = [one.left.piece.half_blind for one in drawers]
    outer = {round(joint.tails[0].width_mm, 6) for joint in joints if joint and len(joint.tails) > 2}
    pins = {
        round(high.low_mm - low.high_mm, 5) for joint in joints if joint for low, high in zip(joint.tails, joint.tails[1:], strict=False)
    }
    assert len(outer) == 1
    assert len(pins) == 1
    assert len({joint.tails[0].low_mm for joint in joints if joint}) == 1 or max(
        abs(joint.tails[0].low_mm - joints[0].tails[0].low_mm) for joint in joints if joint and joints[0]
    ) < 1e-5  # fmt: skip


def test_drawers_with_other_bottoms_still_belong_to_the_family() -> None:
    thick = drawer(
        height=140.0, groove=replace(GROOVE, edge_mm=12.0), stock=replace(STOCK, bottom_mm=9.0), joint=replace(JOINT, style="spaced")
    )
    thin = drawer(height=90.0, joint=replace(JOINT, style="spaced"))
    tails = {round(one.left.piece.half_blind.tails[0].width_mm, 5) for one in drawers_of(job_of(thick, thin)) if one.left.piece.half_blind}
    assert len(tails) == 1


def _look(one: Drawer) -> tuple[float, ...]:
    """Return the outermost tail, the half pin and the pins."""
    joint = one.left.piece.half_blind
    assert joint is not None
    pins = [high.low_mm - low.high_mm for low, high in itertools.pairwise(joint.tails)]
    return tuple(round(width, 4) for width in (joint.tails[0].width_mm, joint.tails[0].low_mm, *pins))


def _told(one: Drawer, words: str) -> bool:
    return any(words in note.text for note in one.notes)


def test_a_drawer_that_can_not_take_the_familys_layout_gets_its_own_and_says_so() -> None:
    joint = replace(JOINT, style="standard")
    low = drawer(height=60.0, groove=replace(GROOVE, edge_mm=9.0, ends="hidden"), joint=joint)
    # Whose grooves lie so high that their lowest tails must be 45 mm wide and more.
    others = drawer(height=160.0, groove=replace(GROOVE, edge_mm=40.0, ends="hidden"), joint=joint, name="ferns", count=9)
    one, other = drawers_of(job_of(low, others))
    assert faults_in(one) == faults_in(other) == []
    assert _told(one, "differs from the others")
    assert not _told(other, "differs from the others")


def test_a_drawer_that_decides_on_the_others_says_so_and_what_would_be_without_it() -> None:
    joint = replace(JOINT, style="spaced")
    low, ferns, seeds = (drawer(height=height, joint=joint, name=f"{height:g}") for height in (58.6, 88.4, 128.2))
    family = drawers_of(job_of(low, ferns, seeds))
    assert [_told(one, "decides on the look of the others") for one in family] == [True, False, False]
    (text,) = [note.text for note in family[0].notes if "decides" in note.text]
    without = drawers_of(job_of(ferns, seeds))
    tails = {one.name: one.left.piece.half_blind.tails for one in without if one.left.piece.half_blind}
    assert f"standard tail {tails['128.2'][0].width_mm:g} mm rather than {family[2].left.piece.half_blind.tails[0].width_mm:g} mm" in text
    assert f"{len(tails['88.4'])} tails rather than 3 at 88.4 mm of height" in text
    # Out of the family it leaves the others as they would be without it.
    apart = drawers_of(job_of(replace(low, family=False), ferns, seeds))
    assert [_look(one) for one in apart[1:]] == [_look(one) for one in without]
    assert not any(_told(one, "differs") for one in apart)


@pytest.mark.parametrize("own", [{"tails": 2}, {"tails": 3}, {"pin_mm": 9.0}, {"half_pin_mm": 5.0}, {"tail_mm": 26.0}])
def test_what_one_drawer_asks_for_leaves_the_others_in_step(own: dict[str, float]) -> None:
    joint = replace(JOINT, style="standard")
    seven = [drawer(height=height, joint=joint, name=f"{height:g}") for height in (129.0, 129.5, 130.0, 130.5, 131.0, 160.0, 170.0)]
    before = drawers_of(job_of(*seven))
    seven[3] = replace(seven[3], joint=replace(joint, **own))
    after = drawers_of(job_of(*seven))
    looks = [_look(one)[:2] for place, one in enumerate(after) if place != 3]
    assert len(set(looks)) == 1
    assert looks[0] == pytest.approx(_look(before[0])[:2], rel=0.1)
    joint_of = after[3].left.piece.half_blind
    assert joint_of is not None
    kept = {"tails": len(joint_of.tails), "pin_mm": _look(after[3])[2], "half_pin_mm": _look(after[3])[1], "tail_mm": _look(after[3])[0]}
    assert {key: kept[key] for key in own} == pytest.approx(own, abs=1e-4)


def test_every_fault_of_every_drawer_is_named_at_once() -> None:
    job = job_of(
        drawer(groove=replace(GROOVE, edge_mm=5.0, ends="hidden")),
        drawer(joint=replace(JOINT, style="evn"), name="ferns"),
        drawer(joint=replace(JOINT, lap_mm=1.0), name="sedges"),
        drawer(),
        drawer(width=40.0, name="seeds"),
    )
    with pytest.raises(CannotCut) as caught:
        drawers_of(job)
    places = [fault.where.split()[0] for fault in caught.value.faults]
    assert sorted(set(places)) == ["cutters[1].cutting_length", "drawers[1]", "drawers[2]", "drawers[3]", "drawers[5]"]
    style = next(fault for fault in caught.value.faults if "drawers[2]" in fault.where)
    assert style.value == "evn"
    assert "even, swelling, standard or spaced" in style.limit


def test_left_and_right_sides_have_the_same_joints_and_are_different_boards() -> None:
    (one,) = drawers_of(JOBS["one drawer"])
    assert one.left.piece.half_blind == one.right.piece.half_blind
    assert one.left.piece != one.right.piece
    assert one.left.id != one.right.id


def test_equal_drawers_of_other_names_have_equal_pieces_and_ids_of_their_own() -> None:
    drawers = drawers_of(specimen_chest())
    assert drawers[0].left.piece == drawers[1].left.piece
    ids = [board.id for one in drawers for board in one.boards]
    assert len(set(ids)) == len(ids) == 35


@pytest.mark.parametrize("name", ["x) M3 S24000 (", "<script>alert(1)</script>", "../../etc", "a\nb"])
def test_a_hostile_name_reaches_no_id_and_no_note(name: str) -> None:
    (one,) = drawers_of(job_of(drawer(name=name)))
    assert one.name == name
    assert {board.id for board in one.boards} == {"d1-front", "d1-back", "d1-left", "d1-right", "d1-bottom"}
    assert not any(name in note.text + note.where for note in one.notes)


def test_the_same_job_gives_the_same_drawers() -> None:
    assert drawers_of(specimen_chest("swelling")) == drawers_of(specimen_chest("swelling"))


def _many(times: int) -> Job:
    base = specimen_chest()
    wishes = []
    for i in range(times):
        for k, wish in enumerate(base.drawers):
            assert wish.opening_mm is not None
            wide, high, deep = wish.opening_mm
            more = i / (times - 1)  # so that few and many are as high
            opening = wide + more * 37, high + more * 53 + k * 0.11, deep + more * 20
            wishes.append(replace(wish, name=f"{wish.name} {i}", opening_mm=opening))
    return replace(base, drawers=tuple(wishes))


def test_ten_times_as_many_different_drawers_take_no_more_than_their_share_of_looking(monkeypatch: pytest.MonkeyPatch) -> None:
    looked = []
    monkeypatch.setattr(
        Eye, "looks", lambda self, widths, steps, look=Eye.looks: looked.append(np.size(widths.mean_mm)) or look(self, widths, steps)
    )

    def count(job: Job) -> int:
        looked.clear()
        drawers = drawers_of(job)
        assert len({one.left.piece for one in drawers}) == len(drawers)
        return sum(looked)

    assert count(_many(40)) / 40 < 1.5 * count(_many(4)) / 4
