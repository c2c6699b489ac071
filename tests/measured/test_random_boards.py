"""Boards off the plan by chance are cut, carved and put together: every joint closes, and what shows is told."""

from __future__ import annotations

import pytest

from tests.measured.sheets import JOB, packet_of
from tests.measured.telling import judged

ONE = JOB[: JOB.rindex("[[drawers]]")]


@pytest.mark.parametrize(("seed", "job"), [(2, JOB), (5, ONE), (6, ONE)])
def test_joints_of_random_boards_close_and_what_shows_is_told(seed, job, tmp_path):
    report, wrong = judged(packet_of(tmp_path, seed, job))
    assert wrong == []
    assert report.judged
    assert report.drawers
