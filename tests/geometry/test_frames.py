"""Maps between the frames of board, machine and drawer."""

import numpy as np
import pytest

from camtools.geometry.frames import apply, box_of, determinant, mirrors

IDENTITY = ((1.0, 0.0, 0.0, 0.0), (0.0, 1.0, 0.0, 0.0), (0.0, 0.0, 1.0, 0.0))
LEFT_STOP = ((0.0, 1.0, 0.0, 0.0), (0.0, 0.0, -1.0, 0.0), (-1.0, 0.0, 0.0, 0.0))
RIGHT_STOP = ((0.0, -1.0, 0.0, 0.0), (0.0, 0.0, -1.0, 0.0), (-1.0, 0.0, 0.0, 0.0))


@pytest.mark.parametrize("frame", [IDENTITY, LEFT_STOP, RIGHT_STOP])
def test_determinant_agrees_with_numpy(frame: tuple) -> None:
    """The determinant is the one that a linear algebra library finds."""
    assert determinant(frame) == pytest.approx(float(np.linalg.det(np.array(frame)[:, :3])), abs=1e-12)


def test_a_board_at_the_wrong_stop_is_a_mirror_image() -> None:
    """Only one of the two stops cuts the board that the drawer needs."""
    left_side = ((0.0, 0.0, 1.0, 0.0), (1.0, 0.0, 0.0, 5.0), (0.0, 1.0, 0.0, 0.0))
    assert not mirrors(LEFT_STOP, left_side)
    assert mirrors(RIGHT_STOP, left_side)


def test_points_and_boxes_follow_the_map() -> None:
    """A board at the right stop lies at negative X."""
    assert apply(RIGHT_STOP, (1.0, 2.0, 3.0)) == (-2.0, -3.0, -1.0)
    assert box_of(RIGHT_STOP, (200.0, 90.0, 12.0)) == ((-90.0, -12.0, -200.0), (0.0, 0.0, 0.0))


def test_a_board_turned_in_the_machine_fills_the_box_that_its_map_says() -> None:
    frame = ((0.0, -1.0, 0.0, 0.0), (-1.0, 0.0, 0.0, 0.0), (0.0, 0.0, 1.0, -12.0))
    assert box_of(frame, (300.0, 90.0, 12.0)) == ((-90.0, -300.0, -12.0), (0.0, 0.0, 0.0))
