"""What cutters bear: which jobs are warned of and refused, and whether what is said to work does work."""

from __future__ import annotations

import math
import re
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from camtools.drawer import drawers_of
from camtools.drawer.boards import Note
from camtools.drawer.cutting_loads import HARDWOOD_N_MM2, Load, loads_of
from camtools.faults import CannotCut, Fault, merged
from camtools.job import read_job
from camtools.job.job import Job
from camtools.resources import samples
from camtools.toolpath.programs import programs_of
from tests.job.jobs import read
from tests.specimens import cutters

DOVETAIL, STRAIGHT = cutters()
# As the sample's cutter, 12.7 mm and 14 degrees, but with edges 21 mm long, 19.2 deep; and a slender one of 6.35 mm, 15.2 deep.
LONG = {"stock.front": 25, "joints.lap": 6, "cutters.0.cutting_length": 21}
SLENDER = {"cutters.0.diameter": 6.35, "cutters.0.angle": 8, "cutters.0.cutting_length": 15.4, "joints.lap": 5}
STRAINED = LONG | {"cutters.0.cutting_length": 19.2}


def job_of(values: dict[str, Any]) -> Job:
    job, _ = read({"drawers.0.opening": [280, 110, 300], "cutters.1.diameter": 4} | values)
    return job


def heaviest(job: Job) -> Load:
    (one,) = drawers_of(job)[:1]
    half_blind, through = one.left.piece.half_blind, one.left.piece.through
    assert half_blind is not None
    assert through is not None
    return max(loads_of(job, job.drawers[0], half_blind, through), key=lambda load: load.stress_n_mm2)


def warnings(job: Job) -> list[Note]:
    notes = [note for drawer in drawers_of(job) for note in drawer.notes if note.where == "cutters"]
    assert programs_of(job, drawers_of(job))
    return notes


def refusals(job: Job) -> tuple[Fault, ...]:
    drawers = drawers_of(job)
    with pytest.raises(CannotCut) as caught:
        programs_of(job, drawers)
    return caught.value.faults


@pytest.mark.parametrize(("values", "ratio"), [(LONG, 12.6), (SLENDER, 9.0)])
def test_a_long_and_a_slender_cutter_are_bent_as_many_times_harder_than_the_samples_as_others_reckon(
    values: dict[str, Any], ratio: float
) -> None:
    """Ratios of another estimate, rough by a factor of two as this one is; it has 14.0 and 10.2."""
    sample, _ = read_job(samples() / "specimen-chest.toml")
    found = heaviest(job_of(values)).stress_n_mm2 / heaviest(sample).stress_n_mm2
    assert ratio / 2 < found < 2 * ratio


@pytest.mark.parametrize("path", sorted(samples().glob("*.toml")), ids=lambda path: path.stem)
def test_no_sample_is_warned_of(path: Any) -> None:
    assert warnings(read_job(path)[0]) == []


@pytest.mark.parametrize("values", [LONG, SLENDER])
def test_a_cutter_that_would_snap_is_refused_with_a_cutter_that_would_not(values: dict[str, Any]) -> None:
    (fault,) = refusals(job_of(values))
    assert (fault.where, fault.drawers) == ("joints.dovetail", ("Seeds",))
    assert "may snap" in fault.problem
    assert "MPa at the end of its edges" in fault.value
    thicker = next(way for way in fault.ways if "cutters[1].diameter" in {change.key for change in way})
    assert warnings(job_of(values | {f"cutters.0.{change.key.split('.')[1]}": change.value for change in thicker})) == []


def test_equal_drawers_are_refused_once_by_their_names() -> None:
    more = {f"drawers.{i}": {"name": f"Ferns {i}", "opening": [300, 110, 300]} for i in range(1, 5)}
    (fault,) = merged(refusals(job_of(LONG | more)))
    assert fault.place == 'joints.dovetail, "Seeds", "Ferns 1", "Ferns 2" and 2 more drawers'
    assert len(fault.drawers) == 5


def test_roughing_first_is_told_where_it_does_and_it_does() -> None:
    deep = {"stock.front": 15, "stock.back": 18.9, "cutters.0.cutting_length": 19.2, "cutters.0.diameter": 13.2}
    (note,) = warnings(job_of(deep))
    assert "through tails 19.2 mm deep" in note.text
    assert "joints.rough = true (" in note.text
    assert warnings(job_of(deep | {"joints.rough": True})) == []
    (note,) = warnings(job_of(deep | {"cutters.1.diameter": 6, "joints.pin": 8, "joints.rough_stock": 1.1}))
    assert "joints.rough" not in note.text, "a cutter of 6 mm does not pass 8 mm and leave 1.1 mm at both sides"
    (note,) = warnings(job_of(STRAINED | {"joints.rough": False}))
    assert "joints.rough" not in note.text, "it does not spare the cutter at the ends of sockets"


def test_a_slower_feed_is_told_where_it_does_and_it_does() -> None:
    values = STRAINED | {"cutters.0.cutting_length": 19.2, "cutters.0.diameter": 13.5, "cutters.0.feed": 2000}
    (note,) = warnings(job_of(values))
    found = re.search(r"a feed of (\d+) mm/min", note.text)
    assert found
    assert warnings(job_of(values | {"cutters.0.feed": int(found[1])})) == []
    (note,) = warnings(job_of(STRAINED))
    assert "a feed of" not in note.text, "edges would rub"


def test_a_shorter_joint_is_told_where_it_does_and_it_does() -> None:
    values = {"stock.front": 25, "joints.lap": 5, "cutters.0.cutting_length": 20.2, "cutters.0.diameter": 13.5, "stock.back": 10}
    (note,) = warnings(job_of(values))
    found = re.search(r"a lap of ([\d.]+) mm with a back of ([\d.]+) mm", note.text)
    assert found
    assert warnings(job_of(values | {"joints.lap": float(found[1]), "stock.back": float(found[2])})) == []
    assert warnings(job_of(values | {"joints.lap": float(found[1]) - 0.5, "stock.back": float(found[2]) + 0.5})) != []


def test_another_cutter_of_the_job_is_told_where_it_does() -> None:
    own = {"kind": "dovetail", "diameter": 16, "angle": 14, "cutting_length": 20, "number": 9}
    (note,) = warnings(job_of(STRAINED | {"cutters.2": own, "joints.dovetail": 1}))
    assert "cutter 9 in place of 1" in note.text


def test_a_thin_straight_cutter_may_snap_too_and_a_shallower_pass_spares_it() -> None:
    values = {"cutters.1": {"kind": "straight", "diameter": 3, "cutting_length": 30, "depth_per_pass": 3, "number": 2}}
    notes = warnings(job_of(values))
    assert {"through pins 3 mm deep" in note.text or "the groove 3 mm deep" in note.text for note in notes} == {True}
    found = re.search(r"a depth_per_pass of ([\d.]+) mm", notes[0].text)
    assert found
    assert warnings(job_of(values | {"cutters.1.depth_per_pass": float(found[1])})) == []


def test_power_is_judged_only_where_it_is_told() -> None:
    assert warnings(job_of({})) == []
    need = next(load for load in _loads({}) if load.work == "half-blind sockets").power_w
    assert warnings(job_of({"machine.power": 2.01 * need})) == []
    (note,) = warnings(job_of({"machine.power": 1.99 * need}))
    assert "the spindle may stall" in note.text
    (fault,) = refusals(job_of({"machine.power": 0.99 * need}))
    assert "machine.power" in fault.limit


def _loads(values: dict[str, Any]) -> tuple[Load, ...]:
    job = job_of(values)
    half_blind, through = drawers_of(job)[0].left.piece.half_blind, drawers_of(job)[0].left.piece.through
    assert half_blind is not None
    assert through is not None
    return loads_of(job, job.drawers[0], half_blind, through)


def test_softwood_resists_less_than_hardwood_and_a_wood_that_is_not_known_as_hardwood() -> None:
    pine, beech, unknown = (heaviest(job_of(values)) for values in ({"stock.wood": "pine"}, {"stock.wood": "beech"}, {}))
    assert pine.stress_n_mm2 < beech.stress_n_mm2 == unknown.stress_n_mm2


def test_waste_that_the_straight_cutter_does_not_reach_is_a_full_slot_all_the_same() -> None:
    shares = {load.work: load.share for load in _loads({"joints.rough": True, "cutters.1.diameter": 6, "joints.pin": 6.9})}
    assert shares == dict.fromkeys(shares, 1.0)
    shares = {load.work: load.share for load in _loads({"joints.rough": True})}
    assert shares["half-blind sockets"] == 1.0
    assert shares["through tails"] == pytest.approx((0.5 + 12.3 * math.tan(math.radians(14))) / 12.7)


@given(
    depth=st.floats(2.0, 15.0),
    feed=st.floats(200.0, 3000.0),
    more=st.floats(1.01, 1.5),
    change=st.sampled_from(["depth", "feed", "edges", "share", "wood", "slower spindle", "thinner"]),
)
def test_bending_grows_with_all_that_makes_a_cut_heavier_or_a_cutter_weaker(depth: float, feed: float, more: float, change: str) -> None:
    own = replace(DOVETAIL, feed_mm_min=feed, cutting_length_mm=15.5, stick_out_mm=25.0)
    one = Load("joints.dovetail", own, "", depth / 1.5, 0.5, HARDWOOD_N_MM2)
    other = {
        "depth": replace(one, depth_mm=one.depth_mm * more),
        "feed": replace(one, cutter=replace(own, feed_mm_min=feed * more)),
        "edges": replace(one, cutter=replace(own, cutting_length_mm=15.5 * more)),
        "share": replace(one, share=0.5 * more),
        "wood": replace(one, wood_n_mm2=HARDWOOD_N_MM2 * more),
        "slower spindle": replace(one, cutter=replace(own, speed_rpm=own.speed_rpm / more)),
        "thinner": replace(one, cutter=replace(own, diameter_mm=own.diameter_mm / more**0.4)),
    }[change]
    assert other.stress_n_mm2 > one.stress_n_mm2


def test_each_board_resists_as_its_own_wood() -> None:
    """Tails are cut in the sides, sockets in the front, pins in the back, the groove in all of them."""
    woods = {"stock.wood": "oak", "stock.side_wood": "pine"}
    for more, soft in (
        ({}, {"half-blind tails", "through tails"}),
        ({"stock.back_wood": "pine"}, {"half-blind tails", "through tails", "through pins"}),
        ({"stock.front_wood": "pine"}, {"half-blind sockets", "half-blind tails", "through tails"}),
        ({"stock.wood": "pine"}, {"half-blind sockets", "half-blind tails", "through tails", "through pins", "the groove"}),
        ({"joints.rough": True, "stock.back_wood": "pine"}, {"half-blind tails", "through tails"}),
    ):
        job = job_of(woods | more)
        piece = drawers_of(job)[0].left.piece
        assert piece.half_blind
        assert piece.through
        loads = loads_of(job, job.drawers[0], piece.half_blind, piece.through)
        assert {load.work for load in loads if load.wood_n_mm2 < HARDWOOD_N_MM2} == soft, more


def test_cutter_of_the_grooves_bears_a_bottom_that_it_cuts_by_the_bottoms_own_wood() -> None:
    """A pass as deep as the setting, in a full slot; spruce is cut with 40/60 of the force that hardwood asks for."""
    solid = {"stock.bottom_kind": "solid", "stock.bottom": 9, "groove.bottom_corners": "machine"}
    forces = []
    for wood in ("oak", "spruce"):
        job = job_of(solid | {"stock.bottom_wood": wood})
        (one,) = drawers_of(job)[:1]
        half_blind, through = one.left.piece.half_blind, one.left.piece.through
        assert half_blind is not None
        assert through is not None
        (load,) = (load for load in loads_of(job, job.drawers[0], half_blind, through) if load.work == "the bottom's corners")
        assert load.depth_mm == job.cutter(job.drawers[0].groove.cutter).depth_per_pass_mm
        forces.append(load.force_n)
    assert forces[1] / forces[0] == pytest.approx(40 / 60)
