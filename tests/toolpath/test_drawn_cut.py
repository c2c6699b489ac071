"""The pen that draws cuts."""

from __future__ import annotations

from camtools.toolpath.drawn_cut import DrawnCut
from camtools.toolpath.moves import Line, Rapid
from tests.joint_specimens import AIR, straight


def test_the_cutter_rises_to_clearance_before_it_goes_elsewhere() -> None:
    pen = DrawnCut(straight(), AIR)
    pen.over(5.0, 0.0)
    pen.height(-3.0)
    pen.over(20.0, 7.0)
    assert pen.cut("twice down").moves == (
        Rapid((5.0, 0.0, 10.0)),
        Rapid((5.0, 0.0, 10.0)),
        Line((5.0, 0.0, -3.0), 1500),
        Rapid((5.0, 0.0, 10.0)),
        Rapid((20.0, 7.0, 10.0)),
    )
