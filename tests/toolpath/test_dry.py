"""Dry runs: the same motion, in the air."""

import pytest

from camtools.drawer.boards import Board, Piece
from camtools.toolpath.dry import dry_programs_of
from camtools.toolpath.moves import Arc, Line, Pause, Program
from camtools.toolpath.pins import pins_cut
from camtools.toolpath.tails import tails_cut
from camtools.toolpath.timing import program_seconds
from camtools.toolpath.workholding import setup_of
from tests.joint_specimens import HALF_BLIND, THROUGH
from tests.toolpath.test_timing import machine
from tests.toolpath.test_workholding import TO_DRAWER


def program(cuts: tuple, role: str, end: str) -> Program:
    board = Board("b", Piece(role, (240.0, 100.0, 12.0)), TO_DRAWER[role], 1)
    return Program("p", "t", setup_of(board, end, machine(), 40.0), cuts, ("b",), program_seconds(cuts, machine()), 1)


PROGRAMS = [
    program((tails_cut(HALF_BLIND["ordinary"], "left", 10.0),), "left side", "front end"),
    program((pins_cut(THROUGH["ordinary"], "right", 10.0),), "back", "left end"),
]


@pytest.mark.parametrize("wet", PROGRAMS, ids=["tails", "pins"])
def test_the_motion_is_the_same_and_clear(wet: Program) -> None:
    """Every place in XY is the program's own, and the tip never comes below clearance over the highest thing."""
    dry, outline = dry_programs_of([wet], machine())
    assert (dry.kind, outline.kind) == ("dry run", "outline")
    for wet_cut, dry_cut in zip(wet.cuts, dry.cuts, strict=True):
        assert [m.end[:2] for m in wet_cut.moves] == [m.end[:2] for m in dry_cut.moves]
        assert [type(m) for m in wet_cut.moves] == [type(m) for m in dry_cut.moves]
        lifts = {round(d.end[2] - w.end[2], 9) for w, d in zip(wet_cut.moves, dry_cut.moves, strict=True)}
        assert len(lifts) == 1
        assert {m.feed_mm_min for m in dry_cut.moves if isinstance(m, Line | Arc)} == {2000.0}
        assert min(m.end[2] for m in dry_cut.moves) == pytest.approx(10.0)


@pytest.mark.parametrize("wet", PROGRAMS, ids=["tails", "pins"])
def test_the_outline_goes_round_all_of_it(wet: Program) -> None:
    """The outline encloses every place of the program and stands still at each of its corners."""
    outline = dry_programs_of([wet], machine())[1]
    xs, ys, zs = zip(*(m.end for m in outline.cuts[0].moves), strict=True)
    for move in wet.cuts[0].moves:
        assert min(xs) <= move.end[0] <= max(xs)
        assert min(ys) <= move.end[1] <= max(ys)
    assert set(zs) == {10.0}
    assert sum(isinstance(m, Pause) for m in outline.cuts[0].moves) == 5


def test_pauses_count_in_the_time() -> None:
    """An outline takes its pauses on top of its motion."""
    outline = dry_programs_of(PROGRAMS[:1], machine())[1]
    assert outline.seconds > 5 * 2.0
