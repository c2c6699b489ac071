"""Which line made a place: the deepest cut there, and the line that set its height or its place."""

from __future__ import annotations

import pytest
from manifold3d import Manifold

from camtools.output.manifest import ToolEntry
from camtools.verify.fit.blame import BoardRun, differs, nearest_line
from camtools.verify.reader.interpreter import run

TOOLS = {
    1: ToolEntry(number=1, kind="dovetail", diameter=12.0, half_angle=10.0, cutting_length=14.0, shank=6.0),
    2: ToolEntry(number=2, kind="straight", diameter=6.0, half_angle=0.0, cutting_length=20.0, shank=6.0),
}
HERE = ((1.0, 0.0, 0.0, 0.0), (0.0, 1.0, 0.0, 0.0), (0.0, 0.0, 1.0, 0.0))
PROGRAM = """G21 G17 G90 G94 G40 G54
T2 M6
S9000 M3
G0 Z10
G0 X0 Y-10
G0 X20 Y-10
G1 Z-5 F900
G1 Y60
G1 X40
G1 Y-10
G1 Z-8
G1 X60
G1 Y30
G2 X70 Y40 I10 J0
G1 Z5
M30
"""


def line_at(place, program=PROGRAM):
    trace = BoardRun("p.ngc", HERE, run(program, "p.ngc").motions)
    return nearest_line([trace], TOOLS, HERE, place).line


@pytest.mark.parametrize(
    ("place", "line"),
    [
        ((23.0, 20.0, -2.0), 6),  # a wall of the first pass: its X was set by the traverse
        ((37.1, 20.0, -2.0), 9),  # a wall of the second: its X was set by the move before it
        ((20.0, 20.0, -5.0), 7),  # the floor of the first: set by the descent
        ((60.0, 20.0, -8.0), 11),  # the floor of the third
        ((57.0, 10.0, -6.0), 12),  # its wall
        ((61.0, 39.0, -7.9), 11),  # the floor under the arc
        ((60.8, 39.2, -4.0), 14),  # the arc's own wall, outside
    ],
)
def test_place_is_traced_to_the_line_that_set_it(place, line):
    assert line_at(place) == line


def test_of_two_cuts_the_one_that_took_the_place_deepest_is_named():
    deeper = PROGRAM.replace("G1 Z5\n", "G1 Z5\nG0 X20 Y-10\nG1 Z-6.5 F900\nG1 Y60\nG1 Z5\n")
    assert line_at((20.0, 20.0, -5.2), deeper) == 17


def test_no_motion_no_line():
    assert nearest_line([], TOOLS, HERE, (0.0, 0.0, 0.0)) is None


def test_boards_are_compared_only_around_the_place():
    plain = Manifold.cube((50.0, 50.0, 10.0))
    nicked = plain - Manifold.cube((0.2, 5.0, 10.0)).translate((20.0, 20.0, 0.0))
    assert differs(plain, nicked, (20.0, 22.0, 5.0))
    assert not differs(plain, nicked, (40.0, 22.0, 5.0))
