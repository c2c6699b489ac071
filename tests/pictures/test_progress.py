"""What is cut of a board when a program comes, by the order of the setups, and where it lies in another hold."""

from __future__ import annotations

import pytest

from camtools.pictures.setups.progress import Progress
from camtools.toolpath.moves import Program
from tests.output.specimens import PROGRAMS

BOARD = {program.stem.partition("left-side-1-")[2]: program for program in PROGRAMS if "-left-side-1-" in program.stem}
FRONT, REAR, GROOVE = BOARD["front-end"], BOARD["rear-end"], BOARD["groove"]


def _stems(programs: tuple[Program, ...]) -> list[str]:
    return [program.stem for program in programs]


def test_what_comes_before_is_cut_and_what_comes_after_is_not() -> None:
    progress = Progress([((FRONT,), 3), ((REAR,), 3)])
    assert _stems(progress.state_of(REAR).before) == [FRONT.stem]
    assert progress.state_of(FRONT).before == progress.state_of(FRONT).perhaps == ()


def test_boards_whose_ends_are_cut_in_one_set_up_are_partly_cut() -> None:
    """Of three equal boards the first has no end cut when it comes, the third one the other end already."""
    progress = Progress([((FRONT, REAR), 3)])
    for program, other in ((FRONT, REAR), (REAR, FRONT)):
        state = progress.state_of(program)
        assert (state.before, _stems(state.perhaps)) == ((), [other.stem])


def test_without_an_order_nothing_is_said_to_be_cut() -> None:
    assert Progress().state_of(FRONT).before == ()


@pytest.mark.parametrize("other", [FRONT, REAR])
def test_tails_show_at_their_end_of_the_face_where_the_groove_is_cut(other: Program) -> None:
    """Flat for the groove the board's length runs along X from the left stop; what tails leave out lies within their depth of that end."""
    gone = Progress([((other,), 1), ((GROOVE,), 1)]).taken(GROOVE, 2, -1e-3).before
    length = GROOVE.setup.piece.size_mm[0]
    left, low, right, high = gone.bounds
    deep = -min(move.end[2] for cut in other.cuts for move in cut.moves)
    assert (right if other is FRONT else length - left) == pytest.approx(deep, abs=0.01)
    assert low < 0 < high
