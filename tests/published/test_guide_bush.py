"""Guide bushes against published formulas and worked examples (docs/sources.md section 10; kinds of source named in each)."""

from __future__ import annotations

import math

import pytest
from shapely import LineString, Polygon

from camtools.templates.bushes import Bush, offset_mm
from camtools.templates.combs import sockets_comb
from tests.joint_specimens import half_blind


def test_offset_of_a_thirty_millimetre_bush_and_a_ten_millimetre_cutter_is_ten() -> None:
    """Trade, four sources that agree: offset = (bush outside diameter - cutter diameter)/2."""
    assert offset_mm(30.0, 10.0) == 10.0


def test_an_opening_of_eight_by_four_inches_takes_a_template_of_eight_and_a_half_by_four_and_a_half() -> None:
    """Trade, two sources: opening template = wanted opening + 2 offsets, with a 3/4 in bush and a 1/4 in cutter."""
    offset = offset_mm(0.75, 0.25)
    assert (8 + 2 * offset, 4 + 2 * offset) == (8.5, 4.5)


@pytest.mark.parametrize("bush", [10.0, 12.0])
def test_a_combs_opening_is_the_socket_and_two_offsets_at_the_cutters_largest_diameter(bush: float) -> None:
    """With a dovetail cutter the diameter is the largest at cutting depth (derived)."""
    joint = half_blind(count=3)
    comb = sockets_comb(joint, Bush(bush, 0.5, 6.0), "H1")
    slope = math.tan(math.radians(joint.dovetail.angle_deg))
    tail = joint.tails[1]
    socket = tail.width_mm + 2 * (joint.clearance_mm + joint.free_depth_mm * slope)  # widest, at the cutter's tip
    shape = Polygon(comb.plate.outline.points(1e-4))
    lanes = LineString([(0.0, 3.0), (100.0, 3.0)]).difference(shape)
    lane = next(lane for lane in lanes.geoms if lane.bounds[0] < tail.middle_mm < lane.bounds[2])
    assert lane.length == pytest.approx(socket + 2 * offset_mm(bush, joint.dovetail.diameter_mm), abs=1e-3)
