"""Setting blocks: one for each depth, told when it serves more than one cutter."""

from __future__ import annotations

import pytest

from camtools.templates.router_settings import Depth, blocks_of, edge_strip, merged
from tests.joint_specimens import through


def test_equal_depths_are_one_setting() -> None:
    """Equal thickness of side and back gives both cutters one depth (common practice, no source)."""
    joint = through(side=12.0, back=12.0)
    tails, pins = joint.length_mm, joint.side_mm + joint.proud_mm
    depths = [Depth(6.0 + tails, 12.0, "T1 tails"), Depth(6.0 + pins, 10.0, "T1 pins"), Depth(5.0, 6.0, "grooves")]
    groups = merged(depths)
    assert [(depth.height_mm, uses) for depth, uses in groups] == [(5.0, ("grooves",)), (pytest.approx(18.3), ("T1 tails", "T1 pins"))]
    assert groups[1][0].opening_mm == 12.0


def test_unequal_depths_are_two() -> None:
    joint = through(side=12.0, back=10.0)
    depths = [Depth(joint.length_mm, 12.0, "tails"), Depth(joint.side_mm + joint.proud_mm, 10.0, "pins")]
    assert len(merged(depths)) == 2


@pytest.mark.parametrize("height", [4.0, 18.3, 26.0])
def test_a_block_bridges_the_bush_and_touches_the_tip_at_its_height(height: float) -> None:
    (block,) = blocks_of([Depth(height, 12.0, "tails")])
    xs = sorted({x for x, y, _ in block.outline.vertices if y == height})
    assert xs[1] - xs[0] == pytest.approx(20.0)
    assert {y for _, y, _ in block.outline.vertices} == {0.0, height, height + 16.0}
    assert f"{height:.2f}" in block.labels[0].text


def test_a_strip_is_as_wide_as_the_groove_is_from_the_edge() -> None:
    _, low, _, high = edge_strip(11.5).outline.bounds_mm
    assert high - low == 11.5
