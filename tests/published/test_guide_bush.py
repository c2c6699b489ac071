"""Guide bushes against published formulas and worked examples (docs/sources.md section 10; kinds of source named in each)."""

from __future__ import annotations

import math

import pytest
from shapely import LineString, Polygon

from camtools.templates.bushes import Bush
from camtools.templates.combs import sockets_comb
from tests.joint_specimens import half_blind


@pytest.mark.parametrize("bush", [10.0, 12.0])
def test_a_combs_opening_is_the_socket_and_two_offsets_at_the_cutters_largest_diameter(bush: float) -> None:
    """Trade, four sources that agree: offset = (bush outside - cutter)/2; a dovetail cutter's is its largest (derived)."""
    joint = half_blind(count=3)
    comb = sockets_comb(joint, Bush(bush, 0.5, 6.0), "H1")
    slope = math.tan(math.radians(joint.dovetail.angle_deg))
    tail = joint.tails[1]
    socket = tail.width_mm + 2 * (joint.clearance_mm + joint.free_depth_mm * slope)  # widest, at the cutter's tip
    shape = Polygon(comb.plate.outline.points(1e-4))
    lanes = LineString([(0.0, 3.0), (100.0, 3.0)]).difference(shape)
    lane = next(lane for lane in lanes.geoms if lane.bounds[0] < tail.middle_mm < lane.bounds[2])
    assert lane.length == pytest.approx(socket + (bush - joint.dovetail.diameter_mm), abs=1e-3)
