"""Stops of a router table: tried by moving a board over a cutter that stands still."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import pytest

from camtools.drawer.boards import Board
from camtools.geometry.frames import determinant
from camtools.templates.router_settings import stops_for
from tests.output.specimens import DRAWER

BOARDS = {board.piece.role: board for board in DRAWER.boards if board.piece.groove}


def cut_between(board: Board, left: float | None, right: float | None) -> tuple[float, float]:
    """Lower a board against the right stop and feed it to the left stop; return where the cutter cut, along u.

    Seen from above with the inside face down, u runs to the right or left so that nothing is mirrored.
    """
    length, groove = board.piece.size_mm[0], board.piece.groove
    half = groove.cutter.diameter_mm / 2
    # A board's right end stands `right` to the right of the cutter at first, its left end `left` to the left of it at last.
    first = length if right is None else right
    last = length if left is None else left
    sign = 1.0 if determinant(((1, 0, 0, 0), (0, -1, 0, 0), (0, 0, -1, 0))) * determinant(board.to_drawer) > 0 else -1.0
    from_left_end = sorted((length - first, last))
    low, high = from_left_end[0] - half, from_left_end[1] + half
    return (low, high) if sign > 0 else (length - high, length - low)


@pytest.mark.parametrize("board", BOARDS.values(), ids=BOARDS.keys())
def test_the_cut_between_the_stops_is_the_groove(board: Board) -> None:
    piece = replace(board.piece, groove=replace(board.piece.groove, start_mm=18.0, stop_mm=board.piece.size_mm[0] - 31.0))
    setting = stops_for(piece, piece.groove, board.to_drawer)
    assert cut_between(replace(board, piece=piece), setting.left_stop_mm, setting.right_stop_mm) == pytest.approx(setting.marks_mm)
    assert setting.marks_mm == (18.0, piece.size_mm[0] - 31.0)


def test_left_and_right_sides_have_their_stops_swapped() -> None:
    groove = replace(DRAWER.left.piece.groove, start_mm=18.0, stop_mm=210.0)
    left = stops_for(DRAWER.left.piece, groove, DRAWER.left.to_drawer)
    right = stops_for(DRAWER.right.piece, groove, DRAWER.right.to_drawer)
    assert (left.left_stop_mm, left.right_stop_mm) == (right.right_stop_mm, right.left_stop_mm)
    assert left.left_stop_mm != left.right_stop_mm
    assert left.start_to_the_left
    assert not right.start_to_the_left


def test_where_a_groove_runs_out_there_is_no_stop() -> None:
    piece = DRAWER.left.piece
    groove = replace(piece.groove, stop_mm=piece.size_mm[0] + 1.0)
    left, right = (stops_for(piece, groove, board.to_drawer) for board in (DRAWER.left, DRAWER.right))
    assert left.left_stop_mm is None
    assert right.right_stop_mm is None
    assert left.marks_mm == (groove.start_mm, piece.size_mm[0])


def test_a_wider_groove_is_cut_in_passes_away_from_the_fence() -> None:
    piece = DRAWER.left.piece
    groove = replace(piece.groove, width_mm=14.0)
    fences = stops_for(piece, groove, DRAWER.left.to_drawer).fence_mm
    assert fences[0] == groove.edge_mm
    assert fences[-1] + groove.cutter.diameter_mm == pytest.approx(groove.edge_mm + 14.0)
    assert all(0 < b - a <= 0.8 * 6.0 + 1e-9 for a, b in pairwise(fences))
