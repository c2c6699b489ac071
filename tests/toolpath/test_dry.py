"""Dry runs: the same motion, in the air."""

from dataclasses import replace

import pytest

from camtools.drawer.boards import Board, Piece
from camtools.toolpath.dry import dry_programs_of
from camtools.toolpath.moves import Arc, Line, Pause, Program, Rapid, Zone
from camtools.toolpath.pins import pins_cut
from camtools.toolpath.tails import tails_cut
from camtools.toolpath.timing import program_seconds
from camtools.toolpath.workholding import setup_of
from tests.joint_specimens import AIR, HALF_BLIND, THROUGH
from tests.toolpath.test_timing import machine
from tests.toolpath.test_workholding import TO_DRAWER


def program(cuts: tuple, role: str, end: str) -> Program:
    board = Board("b", Piece(role, (240.0, 100.0, 12.0)), TO_DRAWER[role], 1)
    return Program("p", "t", setup_of(board, end, machine(), 40.0), cuts, ("b",), program_seconds(cuts, machine()), 1)


PROGRAMS = [
    program((tails_cut(HALF_BLIND["ordinary"], "left", AIR),), "left side", "front end"),
    program((pins_cut(THROUGH["ordinary"], "right", AIR),), "back", "left end"),
]


@pytest.mark.parametrize("wet", PROGRAMS, ids=["tails", "pins"])
def test_the_motion_is_the_same_and_clear(wet: Program) -> None:
    """Every place in XY is the program's own, as deep below its traverses, and the tip never comes below clearance over all things."""
    dry, outline = dry_programs_of([wet], machine())
    assert (dry.kind, outline.kind) == ("dry run", "outline")
    for wet_cut, dry_cut in zip(wet.cuts, dry.cuts, strict=True):
        assert [m.end[:2] for m in wet_cut.moves] == [m.end[:2] for m in dry_cut.moves]
        assert [type(m) for m in wet_cut.moves] == [type(m) for m in dry_cut.moves]
        lifts = {round(d.end[2] - min(w.end[2], 0.0), 9) for w, d in zip(wet_cut.moves, dry_cut.moves, strict=True)}
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


def test_the_outline_goes_round_what_an_arc_bulges() -> None:
    """Half a turn from X0 to X20 about X10 reaches 10 mm beyond its ends."""
    bulge = Arc((20.0, 0.0, -5.0), (10.0, 0.0), True, 900.0)
    moves = (Rapid((0.0, 0.0, 10.0)), Rapid((0.0, 0.0, 10.0)), Line((0.0, 0.0, -5.0), 900.0), bulge, Rapid((20.0, 0.0, 10.0)))
    (cut,) = PROGRAMS[0].cuts
    outline = dry_programs_of([replace(PROGRAMS[0], cuts=(replace(cut, moves=moves),))], machine())[1]
    assert max(move.end[1] for move in outline.cuts[0].moves) >= 10.0


def test_both_keep_clear_of_what_stands_higher_than_the_work() -> None:
    """A clamp 25 mm over the work, and 10 mm of clearance over that."""
    clamp = Zone("clamp", (0.0, -40.0, -50.0), (30.0, -12.0, 25.0))
    held = replace(PROGRAMS[0], setup=replace(PROGRAMS[0].setup, zones=(clamp,)))
    assert [min(move.end[2] for move in dry.cuts[0].moves) for dry in dry_programs_of([held], machine())] == pytest.approx([35.0, 35.0])


def test_pauses_count_in_the_time() -> None:
    """An outline takes its pauses on top of its motion."""
    outline = dry_programs_of(PROGRAMS[:1], machine())[1]
    assert outline.seconds > 5 * 2.0
