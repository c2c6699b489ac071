"""The through joint in figures worked by hand from docs/joinery.md section 6: tan 14 deg = 0.249328, cos 14 deg = 0.970296."""

from __future__ import annotations

import pytest

from camtools.drawer.boards import Tail
from camtools.geometry.through import flank_offset_mm, pin_socket_of, socket_half_width_mm
from tests.joint_specimens import through

TAIL = Tail(20.0, 30.0)
JOINT = through()  # sides and back of 12 mm, 0.08 mm of clearance, a dovetail cutter of 12.7 mm, a straight one of 6 mm


def test_a_socket_is_wider_than_its_tail_by_the_clearance_and_narrows_towards_the_inside() -> None:
    assert socket_half_width_mm(JOINT, TAIL, 0.0) == pytest.approx(15.08)
    assert socket_half_width_mm(JOINT, TAIL, 12.0) == pytest.approx(15.08 - 2.991936, abs=1e-6)


def test_the_straight_cutter_keeps_its_radius_square_to_the_leaning_wall() -> None:
    socket = pin_socket_of(JOINT, TAIL)
    assert socket.half_mm(0.0) == pytest.approx(15.08 - 3 / 0.970296, abs=1e-5)
    assert socket.half_mm(socket.apex_mm) == pytest.approx(0.0, abs=1e-9)


def test_the_dovetail_cutter_keeps_its_radius_at_the_backs_outside_face() -> None:
    """12 mm over the tip, where widths are measured; the proud end lies beyond."""
    assert flank_offset_mm(JOINT) == pytest.approx(6.35 - 2.991936, abs=1e-6)
