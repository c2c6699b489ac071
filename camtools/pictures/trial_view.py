"""A picture of trial boards: which socket is which step, the nicks that tell it, and the slots that cutters are measured by.

Every end is drawn as it is seen: that of a board that lay flat from beyond that end, its inside face up; that of a back that stood upright
from outside, its end up.
"""

from __future__ import annotations

import math

from camtools.drawer.boards import HalfBlind, Piece, Slot, Through, TrialCuts
from camtools.drawer.trial.trial_boards import SLOT_LETTERS, TrialSet
from camtools.pictures.paper import XY, Paper, rectangle
from camtools.pictures.signs import edge_marks
from camtools.toolpath.trial.nicks import FLUTE_MM
from camtools.wording import fine

__all__ = ["trial_picture"]

_WIDE, _HIGH = 456, 640  # so narrow that a telephone shows it with letters that can be read
_LEFT_PX = 12.0
_SHOWN_MM = 26.0  # of a back's length
_HOW = "left end seen from beyond it, inside face up. The nicks stand"
_ROWS_PX = (16.0, 36.0, 56.0)  # under a board: numbers, what they stand for in two rows by turns


def trial_picture(trial: TrialSet) -> Paper:
    """Draw what is to be read off a set of trial boards."""
    paper = Paper(_WIDE, _HIGH)
    widest = max(board.piece.size_mm[1] for board in (trial.front, trial.back))
    scale = (_WIDE - 2 * _LEFT_PX) / widest
    paper.write((_LEFT_PX, _HIGH - 20), f"{trial.front.id}, {trial.back.id}", size="badge", bold=True)
    paper.write((_LEFT_PX, _HIGH - 44), "Steps count from the triangles: the reference edge.", size="small", bold=True)
    tops = (_HIGH - 60.0, _HIGH - 260.0, _HIGH - 456.0, 0.0)
    for draw, name, top, low in zip((_front, _back, _slots), ("half-blind", "through", "slots"), tops, tops[1:], strict=False):
        draw(paper, trial, scale, top - 14)
        paper.view(name, (0.0, low, _WIDE, top))
    return paper


class _Board:
    """Places across a board and up from a line on the paper; ``mirrored`` where its reference edge is seen at the right."""

    def __init__(self, scale: float, width_mm: float, bottom_px: float, mirrored: bool) -> None:
        self._scale, self._bottom, self._sign = scale, bottom_px, -1.0 if mirrored else 1.0
        self._start = _LEFT_PX + (width_mm * scale if mirrored else 0.0)

    def at(self, across_mm: float, up_mm: float) -> XY:
        return self._start + self._sign * across_mm * self._scale, self._bottom + up_mm * self._scale

    def box(self, low_mm: float, high_mm: float, bottom_mm: float, top_mm: float) -> list[XY]:
        (left, bottom), (right, top) = self.at(low_mm, bottom_mm), self.at(high_mm, top_mm)
        return rectangle(min(left, right), bottom, max(left, right), top)

    def edge(self, paper: Paper, up_mm: float) -> None:
        """Mark the reference edge."""
        edge_marks(paper, self.at(0.0, up_mm), (-self._sign, 0.0), 8.0)

    def under(self, paper: Paper, across_mm: float, row: int, words: str) -> None:
        """Write words in a row under the board: numbers and letters in the first."""
        place = self.at(across_mm, 0.0)[0], self._bottom - _ROWS_PX[row]
        paper.write(place, words, size="small" if row else "mark", bold=not row, align="center")


def _told(paper: Paper, top_px: float, words: str) -> float:
    """Say in lines what is drawn below; return how high a board may reach there, in px."""
    return paper.write_lines((_LEFT_PX, top_px), words, _WIDE - 2 * _LEFT_PX, size="small") - 2


def _steps(paper: Paper, board: _Board, joint: HalfBlind | Through, trial: TrialSet) -> None:
    for number, (tail, clearance) in enumerate(zip(joint.tails, trial.clearances_mm, strict=True), 1):
        board.under(paper, tail.middle_mm, 0, str(number))
        board.under(paper, tail.middle_mm, 1 + (number + 1) % 2, fine(clearance))


def _front(paper: Paper, trial: TrialSet, scale: float, top_px: float) -> None:
    piece = trial.front.piece
    assert piece.half_blind is not None
    words = f"Front, its {_HOW} one below the other beside each socket, to be felt."
    _end(paper, trial, piece, piece.half_blind, scale, top_px, words)


def _end(paper: Paper, trial: TrialSet, piece: Piece, joint: HalfBlind | Through, scale: float, top_px: float, words: str) -> None:
    cuts, (_, width, thick) = piece.trial, piece.size_mm
    assert cuts is not None
    sockets = joint if isinstance(joint, HalfBlind) else joint.laid
    board = _Board(scale, width, _told(paper, top_px, words) - thick * scale, mirrored=False)
    paper.fill([board.box(0.0, width, 0.0, thick)], "wood end", "outline")
    floor = max(0.0, thick - sockets.length_mm - sockets.free_depth_mm)
    for tail in sockets.tails:
        half = tail.width_mm / 2 + (sockets.play_mm if joint is sockets else joint.clearance_mm)
        lean = (thick - floor) * joint.dovetail.slope
        places = ((-half, floor), (half, floor), (half - lean, thick), (lean - half, thick))
        paper.fill([[board.at(tail.middle_mm + x, y) for x, y in places]], "paper", "outline")
    for own in cuts.nicks if joint is sockets else ():
        wide = math.sqrt(own.depth_mm * (joint.dovetail.diameter_mm - own.depth_mm))
        high = own.depth_mm / joint.dovetail.slope
        for i in range(1, own.count + 1):
            low = thick - i * own.pitch_mm
            paper.fill([board.box(own.middle_mm - wide, own.middle_mm + wide, low, low + high)], "top", "thin")
    if isinstance(joint, Through):
        _flutes(paper, board, joint, cuts, (thick - min(FLUTE_MM, joint.length_mm / 2), thick))
    _steps(paper, board, joint, trial)
    board.edge(paper, thick / 2)


def _back(paper: Paper, trial: TrialSet, scale: float, top_px: float) -> None:
    piece = trial.back.piece
    joint, cuts, (_, width, _) = piece.through, piece.trial, piece.size_mm
    assert joint is not None
    assert cuts is not None
    if joint.flat is not None:
        _end(paper, trial, piece, joint, scale, top_px, f"Back, its {_HOW} side by side on the far side of each socket.")
        return
    words = "Back, its outside face, left end up. The nicks stand side by side in the face, on the far side of each socket."
    shown = _SHOWN_MM * min(1.0, 2.0 / scale)
    board = _Board(scale, width, _told(paper, top_px, words) - shown * scale, mirrored=True)
    paper.fill([board.box(0.0, width, 0.0, shown)], "wood", "outline")
    deep = joint.side_mm + joint.proud_mm
    for tail in joint.tails:
        half = tail.width_mm / 2 + joint.clearance_mm
        paper.fill([board.box(tail.middle_mm - half, tail.middle_mm + half, shown - deep, shown)], "paper", "outline")
    _flutes(paper, board, joint, cuts, (shown - min(FLUTE_MM, joint.side_mm / 2), shown))
    _steps(paper, board, joint, trial)
    board.edge(paper, shown / 3)


def _flutes(paper: Paper, board: _Board, joint: Through, cuts: TrialCuts, up_mm: tuple[float, float]) -> None:
    for own in cuts.nicks:
        half = math.sqrt(own.depth_mm * (joint.straight.diameter_mm - own.depth_mm))
        for i in range(own.count):
            middle = own.middle_mm + (i - (own.count - 1) / 2) * own.pitch_mm
            paper.fill([board.box(middle - half, middle + half, *up_mm)], "top", "thin")


def _slots(paper: Paper, trial: TrialSet, scale: float, top_px: float) -> None:
    piece = trial.front.piece
    cuts, groove, (_, width, thick) = piece.trial, piece.groove, piece.size_mm
    assert cuts is not None
    words = "Front, its right end seen from beyond it, inside face up. Measure the mouth of each slot at the upper face with calipers."
    board = _Board(scale, width, _told(paper, top_px, words) - thick * scale, mirrored=True)
    paper.fill([board.box(0.0, width, 0.0, thick)], "wood end", "outline")
    if groove is not None:
        across = groove.edge_mm, groove.edge_mm + groove.width_mm
        paper.fill([board.box(*across, thick - groove.depth_mm, thick)], "paper", "outline")
        board.under(paper, sum(across) / 2, 1, "groove")
    for letter, slot in zip(SLOT_LETTERS, cuts.slots, strict=False):
        tip, mouth = slot.cutter.diameter_mm / 2, _mouth_mm(slot) / 2
        floor = thick - slot.depth_mm
        places = ((-tip, floor), (tip, floor), (mouth, thick), (-mouth, thick))
        paper.fill([[board.at(slot.middle_mm + x, y) for x, y in places]], "paper", "outline")
        board.under(paper, slot.middle_mm, 0, letter)
    board.edge(paper, thick / 2)


def _mouth_mm(slot: Slot) -> float:
    """Return how wide a slot is at the face, by its cutter as the job tells it."""
    return 2 * slot.cutter.radius_at(slot.depth_mm)
