"""Which line made a place: the deepest cut there, and the line that set its height or its place.

The depth of a cut is looked at where a joint does not fit, and named with its line; equations of docs/joinery.md sections 5 to 8.
"""

from __future__ import annotations

import pytest
from manifold3d import Manifold

from camtools.output.manifest import ToolEntry
from camtools.verify.carving.carve import BoardWork
from camtools.verify.checking import check
from camtools.verify.fit.assemble import differs
from camtools.verify.fit.blame import nearest_line
from camtools.verify.reader.interpreter import run
from tests.verify.small_packet import Small

TOOLS = {
    1: ToolEntry(number=1, kind="dovetail", diameter=12.0, half_angle=10.0, cutting_length=14.0, shank=6.0),
    2: ToolEntry(number=2, kind="straight", diameter=6.0, half_angle=0.0, cutting_length=20.0, shank=6.0),
}
HERE = ((1.0, 0.0, 0.0, 0.0), (0.0, 1.0, 0.0, 0.0), (0.0, 0.0, 1.0, 0.0))
PROGRAM = """G21 G17 G90 G94 G40 G54
T2 M6 G43 H2
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
    work = BoardWork("p.ngc", HERE, run(program, "p.ngc").motions)
    return nearest_line([work], TOOLS, HERE, place).line


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


def depths(tmp_path, **spoiled):
    packet = Small(**spoiled).write(tmp_path / "packet")
    found = [finding for finding in check(packet, jobs=1).findings if finding.code == "cut-depth"]
    for finding in found:  # it is set by a line with a depth, not by one that cuts on at it
        assert " Z-" in (packet / finding.file).read_text().split("\n")[finding.line - 1]
    return {(finding.file, finding.where): dict(finding.figures) for finding in found}


@pytest.mark.parametrize(
    ("stem", "joint", "asked"),
    [
        ("left-front", "front left joint", 12.0),  # front less lap
        ("right-front", "front right joint", 12.0),
        ("left-rear", "back left joint", 10.2),  # back and proud end
        ("front-right", "front right joint", 12.2),  # and the free depth
        ("back-left", "back left joint", 10.2),  # side and proud end
    ],
)
@pytest.mark.parametrize("deeper", [-0.3, 0.3])
def test_depth_of_each_joint_is_asked_of_its_own_boards(stem, joint, asked, deeper, tmp_path):
    ((place, figures),) = depths(tmp_path, deeper={stem: deeper}).items()
    assert place == (f"programs/{stem}.ngc", f'{joint} of drawer "Seeds"')
    assert figures == {"depth_mm": pytest.approx(asked + deeper), "asked_mm": pytest.approx(asked)}


def test_groove_is_asked_for_the_depth_in_the_job_file(tmp_path):
    found = depths(tmp_path, deeper={"front-groove": 0.5})
    assert found == {("programs/front-groove.ngc", 'groove in the front of drawer "Seeds"'): {"depth_mm": 4.5, "asked_mm": 4.0}}


def test_nothing_is_said_of_depths_where_the_width_is_wrong_or_nothing(tmp_path):
    assert depths(tmp_path, wider={"front-left": -0.2}) == {}
    assert depths(tmp_path / "good") == {}
