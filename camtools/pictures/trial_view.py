"""A picture of trial boards: which socket is which step, the nicks that tell it, and the slots that cutters are measured by.

Every end is drawn as it is seen: a front's from beyond that end, its inside face up; a back's from outside, its end up.
"""

from __future__ import annotations

import math

from camtools.drawer.boards import HalfBlind, Slot, Through
from camtools.drawer.trial.trial_boards import SLOT_LETTERS, TrialSet
from camtools.pictures.paper import XY, Paper, rectangle
from camtools.toolpath.trial.nicks import FLUTE_MM
from camtools.wording import fine

__all__ = ["trial_picture"]

_WIDE, _HIGH = 1280, 860
_LEFT_PX, _SIDE_PX = 40.0, 110.0
_SHOWN_MM = 26.0  # of a back's length


def trial_picture(trial: TrialSet) -> Paper:
    """Draw what is to be read off a set of trial boards."""
    paper = Paper(_WIDE, _HIGH)
    widest = max(board.piece.size_mm[1] for board in (trial.front, trial.back))
    scale = (_WIDE - _LEFT_PX - 2 * _SIDE_PX) / widest
    paper.write((_LEFT_PX, _HIGH - 26), f"{trial.front.id}, {trial.back.id}: steps count from the reference edge", size="title", bold=True)
    _front(paper, trial, scale, _HIGH - 80)
    _back(paper, trial, scale, _HIGH - 345)
    _slots(paper, trial, scale, 225)
    return paper


class _Board:
    """Places across a board and up from a line on the paper; ``mirrored`` where its reference edge is seen at the right."""

    def __init__(self, scale: float, width_mm: float, bottom_px: float, mirrored: bool) -> None:
        self._scale, self._bottom, self._sign = scale, bottom_px, -1.0 if mirrored else 1.0
        self._start = _LEFT_PX + _SIDE_PX + (width_mm * scale if mirrored else 0.0)

    def at(self, across_mm: float, up_mm: float) -> XY:
        return self._start + self._sign * across_mm * self._scale, self._bottom + up_mm * self._scale

    def box(self, low_mm: float, high_mm: float, bottom_mm: float, top_mm: float) -> list[XY]:
        (left, bottom), (right, top) = self.at(low_mm, bottom_mm), self.at(high_mm, top_mm)
        return rectangle(min(left, right), bottom, max(left, right), top)

    def edge(self, paper: Paper, up_mm: float) -> None:
        """Name the reference edge, beside it."""
        x, y = self.at(0.0, up_mm)
        for line, words in enumerate(("reference", "edge")):
            paper.write((x - self._sign * 12, y + 9 - 19 * line), words, size="small", align="right" if self._sign > 0 else "left")


def _steps(paper: Paper, board: _Board, joint: HalfBlind | Through, trial: TrialSet, up_mm: float) -> None:
    for number, (tail, clearance) in enumerate(zip(joint.tails, trial.clearances_mm, strict=True), 1):
        x, y = board.at(tail.middle_mm, up_mm)
        paper.write((x, y), str(number), size="mark", bold=True, align="center")
        paper.write((x, y - 21), fine(clearance), size="small", align="center")


def _front(paper: Paper, trial: TrialSet, scale: float, top_px: float) -> None:
    piece = trial.front.piece
    joint, cuts, (_, width, thick) = piece.half_blind, piece.trial, piece.size_mm
    assert joint is not None
    assert cuts is not None
    words = "Front, its left end seen from beyond it, inside face up. The nicks stand one below the other beside each socket, to be felt."
    paper.write((_LEFT_PX, top_px), words)
    board = _Board(scale, width, top_px - 25 - thick * scale, mirrored=False)
    paper.fill([board.box(0.0, width, 0.0, thick)], "wood end", "outline")
    floor = thick - joint.length_mm - joint.free_depth_mm
    for tail in joint.tails:
        half = tail.width_mm / 2 + joint.play_mm
        lean = (thick - floor) * joint.dovetail.slope
        places = ((-half, floor), (half, floor), (half - lean, thick), (lean - half, thick))
        paper.fill([[board.at(tail.middle_mm + x, y) for x, y in places]], "paper", "outline")
    for own in cuts.nicks:
        wide = math.sqrt(own.depth_mm * (joint.dovetail.diameter_mm - own.depth_mm))
        high = own.depth_mm / joint.dovetail.slope
        for i in range(1, own.count + 1):
            low = thick - i * own.pitch_mm
            paper.fill([board.box(own.middle_mm - wide, own.middle_mm + wide, low, low + high)], "top", "thin")
    _steps(paper, board, joint, trial, -14 / scale)
    board.edge(paper, thick / 2)


def _back(paper: Paper, trial: TrialSet, scale: float, top_px: float) -> None:
    piece = trial.back.piece
    joint, cuts, (_, width, _) = piece.through, piece.trial, piece.size_mm
    assert joint is not None
    assert cuts is not None
    words = "Back, its outside face, left end up. The nicks stand side by side in the face, on the far side of each socket."
    paper.write((_LEFT_PX, top_px), words)
    shown = _SHOWN_MM * min(1.0, 6.0 / scale)
    board = _Board(scale, width, top_px - 25 - shown * scale, mirrored=True)
    paper.fill([board.box(0.0, width, 0.0, shown)], "wood", "outline")
    deep = joint.side_mm + joint.proud_mm
    for tail in joint.tails:
        half = tail.width_mm / 2 + joint.clearance_mm
        paper.fill([board.box(tail.middle_mm - half, tail.middle_mm + half, shown - deep, shown)], "paper", "outline")
    for own in cuts.nicks:
        half = math.sqrt(own.depth_mm * (joint.straight.diameter_mm - own.depth_mm))
        for i in range(own.count):
            middle = own.middle_mm + (i - (own.count - 1) / 2) * own.pitch_mm
            paper.fill([board.box(middle - half, middle + half, shown - min(FLUTE_MM, joint.side_mm / 2), shown)], "top", "thin")
    _steps(paper, board, joint, trial, -14 / scale)
    board.edge(paper, shown / 2)


def _slots(paper: Paper, trial: TrialSet, scale: float, top_px: float) -> None:
    piece = trial.front.piece
    cuts, groove, (_, width, thick) = piece.trial, piece.groove, piece.size_mm
    assert cuts is not None
    words = "Front, its right end seen from beyond it, inside face up. Measure the mouth of each slot at the upper face with calipers."
    paper.write((_LEFT_PX, top_px), words)
    board = _Board(scale, width, top_px - 25 - thick * scale, mirrored=True)
    paper.fill([board.box(0.0, width, 0.0, thick)], "wood end", "outline")
    if groove is not None:
        across = groove.edge_mm, groove.edge_mm + groove.width_mm
        paper.fill([board.box(*across, thick - groove.depth_mm, thick)], "paper", "outline")
        paper.write(board.at(sum(across) / 2, -14 / scale), "groove", size="small", align="center")
    for letter, slot in zip(SLOT_LETTERS, cuts.slots, strict=False):
        tip, mouth = slot.cutter.diameter_mm / 2, _mouth_mm(slot) / 2
        floor = thick - slot.depth_mm
        places = ((-tip, floor), (tip, floor), (mouth, thick), (-mouth, thick))
        paper.fill([[board.at(slot.middle_mm + x, y) for x, y in places]], "paper", "outline")
        paper.write(board.at(slot.middle_mm, -14 / scale), letter, size="mark", bold=True, align="center")
    board.edge(paper, thick / 2)


def _mouth_mm(slot: Slot) -> float:
    """Return how wide a slot is at the face, by its cutter as the job tells it."""
    return 2 * slot.cutter.radius_at(slot.depth_mm)
