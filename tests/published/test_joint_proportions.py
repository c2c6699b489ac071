"""Joints against figures of handbooks and of the trade; docs/sources.md section 3 names them and says which are from memory."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import pytest

from camtools.drawer import drawers_of
from camtools.drawer.boards import HalfBlind
from camtools.geometry.half_blind import tail_outline
from camtools.job import read_job
from camtools.job.lengths import parse_angle
from tests.specimens import JOBS, JOINT, cutters, drawer, job_of


@pytest.mark.parametrize("n", [4, 6, 8])
def test_a_tail_leans_as_its_slope_says(n: int) -> None:
    """1:6 for softwood, 1:8 for hardwood: W. Fairham, Woodwork Joints, and E. Joyce, The Technique of Furniture Making, from memory.

    A slope of 1:n takes a tail in by its length over n on each side.
    """
    joint = _laid(120.0, cutters(angle=parse_angle(f"1:{n}")))
    tail = joint.tails[1]
    tip, base = (tail_outline(joint, tail.middle_mm, tail.width_mm, depth) for depth in (0.0, joint.length_mm))
    assert tip[0].start[0] - base[0].start[0] == pytest.approx(-joint.length_mm / n)
    assert tip[-1].end[0] - base[-1].end[0] == pytest.approx(joint.length_mm / n)


@pytest.mark.parametrize(("width", "tails"), [(50.0, 1), (75.0, 2), (100.0, 3), (125.0, 4)])
def test_boards_get_as_many_tails_as_a_teacher_lays_out(width: float, tails: int) -> None:
    """A teacher's lesson, its inches rounded: tails of at most 32 mm, pins of about 10 mm at their wide end."""
    joint = _laid(width, cutters())
    assert len(joint.tails) == tails
    if tails > 1:
        lean = 2 * joint.length_mm * math.tan(math.radians(joint.dovetail.angle_deg))
        assert max(tail.width_mm for tail in joint.tails) <= 32
        assert joint.tails[1].low_mm - joint.tails[0].high_mm + lean == pytest.approx(10, abs=5)


@pytest.mark.parametrize(("diameter", "angle", "straight"), [(9.5, 9.0, 5.0), (8.0, 8.0, 5.0), (12.7, 8.0, 6.0)])
@pytest.mark.parametrize(("width", "tails"), [(50.0, 1), (75.0, 2), (100.0, 3), (125.0, 4)])
def test_other_cutters_give_about_as_many(diameter: float, angle: float, straight: float, width: float, tails: int) -> None:
    """The same lesson; a thinner cutter allows thinner pins, and so a tail more."""
    assert abs(len(_laid(width, cutters(diameter, angle, straight, 16.0)).tails) - tails) <= 1


def _laid(width: float, tools: tuple) -> HalfBlind:
    joint = drawers_of(job_of(drawer(height=width, joint=replace(JOINT, style="even")), tools=tools))[0].left.piece.half_blind
    assert joint is not None
    return joint


def _drawers(samples: Path) -> list:
    jobs = [*JOBS.values(), *(read_job(path)[0] for path in sorted(samples.glob("*.toml")))]
    return [one for job in jobs for one in drawers_of(job)]


def test_pins_and_tails_keep_to_the_limits_of_the_trade(samples: Path) -> None:
    """Half pins of 3 mm or more, a tool seller's article; the widest tail at most some four times the narrowest pin, an archive article.

    Tail and pin are compared at half their length.
    """
    for one in _drawers(samples):
        joint = one.left.piece.half_blind
        lean = joint.length_mm * math.tan(math.radians(joint.dovetail.angle_deg))
        pins = [high.low_mm - low.high_mm + lean for low, high in pairwise(joint.tails)]
        assert joint.tails[0].low_mm >= 3
        assert joint.width_mm - joint.tails[-1].high_mm >= 3
        if pins:  # the narrowest: a style may open two gaps
            tails = [tail.width_mm - lean for tail in joint.tails]
            assert min(pins) >= 3
            assert 1 <= min(tails) / min(pins) <= max(tails) / min(pins) <= 4


def test_the_lap_is_a_fifth_to_a_third_of_the_front(samples: Path) -> None:
    """A woodworking guide has a fifth, extracts of furniture books a quarter to a third; at least 3/32 in, a magazine chapter of 2007."""
    for one in _drawers(samples):
        joint = one.left.piece.half_blind
        assert joint.front_mm / 5 <= joint.lap_mm <= joint.front_mm / 3
        assert joint.lap_mm >= 3 / 32 * 25.4


def test_the_groove_lies_wholly_inside_one_socket(samples: Path) -> None:
    """I. S. Griffith, Essentials of Woodworking, section 104: so that it does not show at the front."""
    for one in _drawers(samples):
        groove, joint = one.front.piece.groove, one.left.piece.half_blind
        lean = joint.length_mm * math.tan(math.radians(joint.dovetail.angle_deg))
        inside = [
            tail for tail in joint.tails if tail.low_mm + lean < groove.edge_mm and groove.edge_mm + groove.width_mm < tail.high_mm - lean
        ]
        assert len(inside) == 1
