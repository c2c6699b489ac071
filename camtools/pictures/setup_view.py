"""A board on the machine as whoever stands there sees it: which end, which face, which edge, which stop."""

from __future__ import annotations

from camtools.pictures.board_sides import placing_of
from camtools.pictures.callouts import draw_heading
from camtools.pictures.flat_view import draw_flat, draw_lengthwise
from camtools.pictures.paper import Paper
from camtools.pictures.upright_view import draw_upright
from camtools.toolpath.moves import Program

__all__ = ["setup_on"]

_WIDE, _HIGH = 900, 640


def setup_on(program: Program) -> Paper:
    """Draw the setup of a program.

    What the program takes away is drawn on the board's visible faces from the motion itself.
    """
    paper = Paper(_WIDE, _HIGH)
    draw_heading(paper, program)
    paper.draw([[(12, _HIGH - 100), (_WIDE - 12, _HIGH - 100)]], "thin")
    placing = placing_of(program.setup)
    if program.setup.hold == "upright":
        draw_upright(paper, program, placing)
    elif program.setup.end == "groove":
        draw_lengthwise(paper, program, placing)
    else:
        draw_flat(paper, program, placing)
    return paper
