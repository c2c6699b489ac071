"""The share of an exit edge that is backed, against the outline of one slot worked by hand.

A cutter of 12 mm, 14 degrees, 9 mm deep, straight through the board: a baseline of 12 mm and two flanks of 9 mm / cos 14.
"""

from __future__ import annotations

import math

import pytest
from shapely import Polygon, union_all

from camtools.verify.carving.carve import BoardWork, board_box
from camtools.verify.reader.interpreter import run
from camtools.verify.rules.exit_edge import ExitEdge, exit_edge, opened
from tests.verify.bench import DOVETAIL, MANIFEST, READY_DOVETAIL, UPRIGHT

FLANKS_MM = 2 * 9.0 / math.cos(math.radians(14.0))
TOOLS = {DOVETAIL.number: DOVETAIL}
BOARD = board_box(MANIFEST.boards[0].size, UPRIGHT.to_machine)


def slot(x: float = 40.0, depth: float = 9.0, far: float = 1.0) -> Polygon:
    made = run(f"{READY_DOVETAIL}G0 X{x} Y-20\nG1 Z-{depth} F2000\nY{far}\nY-20\nG0 Z10\nM30", "p.ngc", tools=[1])
    return opened(BoardWork(made.file, UPRIGHT.to_machine, made.motions), TOOLS)


def flanked(depth: float, wider: float = 0.0) -> Polygon:
    """Return a slot whose flanks lie in those of the first one, or as far outside."""
    top, floor = (6.0 - (9.0 - below) * math.tan(math.radians(14.0)) + wider for below in (0.0, depth))
    return Polygon([(40.0 - top, 0.0), (40.0 - floor, -depth), (40.0 + floor, -depth), (40.0 + top, 0.0)])


def edge(gone: Polygon, *before: Polygon) -> ExitEdge:
    found = exit_edge("p.ngc", gone, union_all(before), BOARD)
    assert found is not None
    return found


def test_a_fresh_strip_backs_the_whole_edge() -> None:
    found = edge(slot())
    assert found.length_mm == pytest.approx(12.0 + FLANKS_MM, abs=0.3)
    assert found.backed == 1.0


@pytest.mark.parametrize(
    ("what", "before", "backed"),
    [
        ("the same slot", slot(), 1.0),
        ("a shallower one with the same flanks", flanked(6.0), 1.0),
        ("a deeper one with the same flanks", flanked(12.0), FLANKS_MM / (12.0 + FLANKS_MM)),
        ("a deeper one, 0.1 mm wider at each flank", flanked(12.0, wider=0.1), 0.0),
        ("a shallower one, as wide", flanked(6.0, wider=0.1), 1 - FLANKS_MM * 6 / 9 / (12.0 + FLANKS_MM)),
        ("one elsewhere", slot(x=60.0), 1.0),
        ("one as deep beside it, over the right flank", slot(x=46.0), 1 - FLANKS_MM / 2 / (12.0 + FLANKS_MM)),
        ("a deeper one there, over part of the baseline, too", slot(x=46.0, depth=12.0), 1 - (5.25 + FLANKS_MM / 2) / (12.0 + FLANKS_MM)),
    ],
)
def test_what_was_cut_before_backs_no_more(what: str, before: Polygon, backed: float) -> None:
    assert edge(slot(), before).backed == pytest.approx(backed, abs=0.02), what


def test_a_slot_at_the_boards_edge_has_one_flank() -> None:
    assert edge(slot(x=0.0)).length_mm == pytest.approx(6.0 + FLANKS_MM / 2, abs=0.3)


def test_a_slot_that_ends_in_the_board_has_no_exit_edge_but_for_what_the_tip_reaches() -> None:
    assert exit_edge("p.ngc", slot(far=-6.5), Polygon(), BOARD) is None
    half = math.sqrt(6.0**2 - 5.0**2)  # of the chord at the tip, 5 mm before the face
    assert slot(far=-5.0).bounds[::2] == pytest.approx((40.0 - half, 40.0 + half), abs=1e-6)


def test_a_slanted_pass_is_as_wide_in_the_face_as_its_sides_are() -> None:
    """At 45 degrees a cutter of 12 mm takes 12 sqrt(2) of the face."""
    made = run(f"{READY_DOVETAIL}G0 X20 Y-20\nG1 Z-9 F2000\nX60 Y20\nG0 Z10\nM30", "p.ngc", tools=[1])
    low, _, high, _ = opened(BoardWork(made.file, UPRIGHT.to_machine, made.motions), TOOLS).bounds
    assert (low, high) == pytest.approx((40.0 - 6.0 * math.sqrt(2.0), 40.0 + 6.0 * math.sqrt(2.0)))
