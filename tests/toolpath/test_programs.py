"""Programs: what machine and cutters can not reach is refused, and the order has the fewest changes. Figures worked by hand."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from camtools.drawer.boards import Drawer
from camtools.drawer.drawers import drawers_of
from camtools.faults import CannotCut
from camtools.toolpath.programs import changes_of, group_of, programs_of
from tests.specimens import JOBS, MACHINE, drawer, job_of

JOB = JOBS["one drawer"]
DRAWERS = drawers_of(JOB)


@pytest.mark.parametrize(
    ("key", "least", "little_less", "problem"),
    [
        # The side's groove: 315.3 mm less 15 and 12.3 mm of tails, and at each end a stop of 3 mm and the cutter's radius of 3 mm.
        ("travel_mm", (276.0, 900.0, 120.0), (275.9, 900.0, 120.0), "longer in X than .* found 276.0 mm; limit 275.9 mm"),
        # The dovetail cutter's radius of 6.35 mm, and half a millimetre of overrun.
        ("backing_mm", 6.85, 6.8, "through the backing .* found 6.85 mm behind the board; limit backing 6.8 mm"),
        # Half-blind tails of 15 mm, and a millimetre to spare.
        ("upright_stop_below_mm", 16.0, 15.9, "meet the stop and clamps .* found 15.00 mm deep"),
    ],
)
def test_a_machine_is_refused_just_where_it_can_not_reach(key: str, least: Any, little_less: Any, problem: str) -> None:
    assert programs_of(replace(JOB, machine=replace(MACHINE, **{key: least})), DRAWERS)
    with pytest.raises(CannotCut, match=problem):
        programs_of(replace(JOB, machine=replace(MACHINE, **{key: little_less})), DRAWERS)


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
    with pytest.raises(CannotCut, match=r"too short for this depth; found cutting length 15.2 mm; limit at least 15.30 mm"):
        programs_of(JOB, [with_cutting_length(15.2)])


def test_programs_stand_in_the_order_of_fewest_changes() -> None:
    """Two holds and two cutters, each with each, ask for three changes; of the orders that do with three, one of cutter is the least."""
    groups = [group_of(program) for program in programs_of(JOB, DRAWERS)]
    assert list(dict.fromkeys(groups)) == [("upright", (1,)), ("flat", (1,)), ("flat", (2,)), ("upright", (2,))]
    assert changes_of(groups) == (2, 1)


def test_the_tenth_board_comes_after_the_second() -> None:
    job = job_of(*(drawer(depth=300.0 + 10 * i, name=f"ferns {i}") for i in range(10)))
    stems = [program.stem.partition("-")[2] for program in programs_of(job, drawers_of(job))]
    assert [stem for stem in stems if stem.startswith("left-side") and stem.endswith("groove")] == [
        f"left-side-{i}-groove" for i in range(1, 11)
    ]


@pytest.mark.parametrize(("drawers", "first", "last"), [(1, "01-", "12-"), (9, "001-", "108-")])
def test_a_folder_of_programs_reads_in_the_order_of_work(drawers: int, first: str, last: str) -> None:
    job = job_of(*(drawer(depth=300.0 + 10 * i, width=250.0 + 10 * i, name=f"ferns {i}") for i in range(drawers)))
    stems = [program.stem for program in programs_of(job, drawers_of(job))]
    assert stems == sorted(stems)
    assert stems[0].startswith(first)
    assert stems[-1].startswith(last)
