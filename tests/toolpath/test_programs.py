"""Programs: what machine and cutters can not reach is refused. Figures worked by hand."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from camtools.drawer.boards import Drawer
from camtools.drawer.drawers import drawers_of
from camtools.faults import CannotCut, puts
from camtools.job import read_job
from camtools.job.job import Job
from camtools.toolpath.moves import reach_of
from camtools.toolpath.programs import programs_of
from tests.specimens import JOBS, MACHINE, drawer, job_of

JOB = JOBS["one drawer"]
DRAWERS = drawers_of(JOB)


@pytest.mark.parametrize(
    ("key", "least", "little_less", "problem"),
    [
        # Through sides of 12 mm the dovetail cutter goes from 2 mm of air and its radius of 6.35 mm before them to 0.5 mm behind.
        ("travel_mm", (600.0, 20.85, 120.0), (600.0, 20.8, 120.0), "longer in Y than .* found 20.85 mm; limit 20.8 mm"),
        # The dovetail cutter's radius of 6.35 mm, and half a millimetre of overrun.
        ("backing_mm", 6.85, 6.8, "through the backing .* found 6.85 mm behind the board; limit the backing piece, 6.8 mm"),
        # Half-blind tails of 15 mm, and a millimetre to spare.
        ("upright_stop_below_mm", 16.0, 15.9, "meet the stop and clamps .* found 15 mm deep"),
    ],
)
def test_a_machine_is_refused_just_where_it_can_not_reach(key: str, least: Any, little_less: Any, problem: str) -> None:
    assert programs_of(replace(JOB, machine=replace(MACHINE, **{key: least})), DRAWERS)
    with pytest.raises(CannotCut, match=problem):
        programs_of(replace(JOB, machine=replace(MACHINE, **{key: little_less})), DRAWERS)


@pytest.mark.parametrize("stop", ["left", "right"])
@pytest.mark.parametrize("hold", ["upright", "flat"])
def test_a_stop_may_stand_just_where_its_programs_stay_on_the_travel(hold: str, stop: str) -> None:
    """The left stop as far to the left as the cutter's axis needs, the right one as far to the right; what the fault says does."""
    reaches = [reach_of(p.cuts)[0] for p in programs_of(JOB, DRAWERS) if (p.setup.hold, p.setup.stop) == (hold, stop)]
    edge = -min(low for low, _ in reaches) if stop == "left" else MACHINE.travel_mm[0] - max(high for _, high in reaches)
    edge, out = max(edge, 0.0), -0.01 if stop == "left" else 0.01
    if edge == 0.0:  # a cutter that never goes over the stop
        return

    def held(at: float) -> Job:
        stops = (at, 700.0) if stop == "left" else (500.0, at)
        return replace(JOB, machine=replace(MACHINE, **{f"{hold}_stops_mm": stops}))

    assert programs_of(held(edge), DRAWERS)
    way = "to the right" if stop == "left" else "to the left"
    with pytest.raises(CannotCut, match=rf"machine's travel in X; found .* limit 0 to 1200 mm.*the {stop} stop .* 1 mm further {way}"):
        programs_of(held(edge + out), DRAWERS)


@pytest.mark.parametrize(
    ("key", "inside", "beyond", "way"),
    [
        # Grooves from 11 to 17.35 mm from the fence, cut by 6 mm: their last line lies 14.35 mm from it.
        ("flat_fence_mm", 900.0 - 14.35, 900.0 - 14.34, "the fence must stand at least 1 mm further towards you"),
        # The dovetail cutter's middle goes half a millimetre beyond the board; 18 mm of backing.
        ("upright_plate_mm", 900.0 + 18.0 - 0.5, 900.0 + 18.0 - 0.49, "the upright plate must stand at least 1 mm further towards you"),
    ],
)
def test_fence_and_plate_may_stand_just_where_their_programs_stay_on_the_travel(key: str, inside: float, beyond: float, way: str) -> None:
    machine = replace(MACHINE, backing_mm=18.0)
    assert programs_of(replace(JOB, machine=replace(machine, **{key: inside})), DRAWERS)
    with pytest.raises(CannotCut, match=f"beyond the machine's travel in Y; .*{way}"):
        programs_of(replace(JOB, machine=replace(machine, **{key: beyond})), DRAWERS)


def test_a_plate_at_the_near_end_of_the_travel_is_refused() -> None:
    """The cutter comes in from before the board, where the machine can not go."""
    with pytest.raises(CannotCut, match=r"travel in Y; .*plate must stand at least \d+ mm further away from you"):
        programs_of(replace(JOB, machine=replace(MACHINE, upright_plate_mm=20.0)), DRAWERS)


def with_cutting_length(length_mm: float) -> Drawer:
    """Return the drawer, its sockets cut with a shorter dovetail cutter."""
    (own,) = DRAWERS
    joint = own.front.piece.half_blind
    assert joint is not None
    shorter = replace(joint, dovetail=replace(joint.dovetail, cutting_length_mm=length_mm))
    return replace(own, front=replace(own.front, piece=replace(own.front.piece, half_blind=shorter)))


def test_a_cutter_is_refused_just_where_it_is_too_short() -> None:
    """Sockets are 15 mm deep, and 0.3 mm of free depth."""
    assert programs_of(JOB, [with_cutting_length(15.3)])
    with pytest.raises(CannotCut, match=r"too short for this depth; found cutting length 15.2 mm; limit at least 15.3 mm"):
        programs_of(JOB, [with_cutting_length(15.2)])


@pytest.mark.parametrize(("drawers", "first", "last"), [(1, "01-", "12-"), (9, "001-", "108-")])
def test_a_folder_of_programs_reads_in_the_order_of_work(drawers: int, first: str, last: str) -> None:
    job = job_of(*(drawer(depth=300.0 + 10 * i, width=250.0 + 10 * i, name=f"ferns {i}") for i in range(drawers)))
    stems = [program.stem for program in programs_of(job, drawers_of(job))]
    assert stems == sorted(stems)
    assert stems[0].startswith(first)
    assert stems[-1].startswith(last)


def test_whoever_places_a_board_again_is_told_what_was_left(samples: Path) -> None:
    job, _ = read_job(samples / "inch-cabinet.toml")
    for program in programs_of(job, drawers_of(job)):
        words = " ".join(map(str, program.setup.words))
        waste, finishing = program.stem.endswith("-waste"), program.cutter.kind == "dovetail"
        assert ("It comes back to this stop" in words) == waste
        assert ("It was roughed at this stop" in words) == finishing
        assert ("0.5 mm" in words) == (waste or finishing)


def test_bottom_beyond_the_travel_may_be_sawn_by_hand() -> None:
    """Its corners at one end lie 285.8 mm apart, and two settings can not be more than half of 299 mm apart; sides are 100 mm high."""
    own = drawer(300, 100, 320)
    wish = replace(own, groove=replace(own.groove, bottom_corners="machine"))
    job = job_of(wish)
    assert programs_of(job, drawers_of(job))
    small = replace(job, machine=replace(MACHINE, travel_mm=(150.0, 900.0, 120.0)))
    with pytest.raises(CannotCut, match="longer in X") as caught:
        programs_of(small, drawers_of(small))
    assert {fault.where for fault in caught.value.faults} == {"ends of the bottom"}
    assert all(fault.ways[0] == puts("groove.bottom_corners", "hand")[0] for fault in caught.value.faults)
    by_hand = replace(small, drawers=(own,))
    assert programs_of(by_hand, drawers_of(by_hand))
