"""Labels for boards, to cut out and stick on: name, drawer, face, reference edge and ends, each for one single board."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from camtools.drawer.boards import Board, Drawer
from camtools.drawings.sheet import Drawing, Sheet
from camtools.drawings.sheet_layout import small_paper
from camtools.geometry.frames import determinant
from camtools.toolpath.handling.board_names import marks_of, owners_of
from camtools.wording import figure

__all__ = ["label_sheets"]

_WIDE_MM, _HIGH_MM, _MARGIN_MM = 92.0, 36.0, 10.0  # of a label, and beyond all of them: printers need it
_SIDE_MM, _TRIANGLE_MM = 5.0, 3.6
_ROOM_MM = _WIDE_MM - 4 * _SIDE_MM


def label_sheets(drawers: Sequence[Drawer]) -> list[Sheet]:
    """Return sheets of labels, one for every board that is made, drawer by drawer, on the paper of the units that are told."""
    paper = small_paper()
    across, down = (
        int((room_mm - 2 * _MARGIN_MM) // own_mm) for room_mm, own_mm in ((paper.width_mm, _WIDE_MM), (paper.height_mm, _HIGH_MM))
    )
    each, left_mm = across * down, (paper.width_mm - across * _WIDE_MM) / 2
    labels = list(_labels(drawers))
    sheets: list[Sheet] = []
    for first in range(0, len(labels), each):
        page = Drawing([])
        for place, label in enumerate(labels[first : first + each]):
            row, column = divmod(place, across)
            page.put(label, left_mm + column * _WIDE_MM, paper.height_mm - _MARGIN_MM - (row + 1) * _HIGH_MM)
        sheets.append(Sheet("labels", "Labels", paper.name, paper.width_mm, paper.height_mm, (1, 1), tuple(page.items)))
    return sheets


def _labels(drawers: Sequence[Drawer]) -> Iterator[Drawing]:
    marks, owners = marks_of(drawers), owners_of(drawers)
    for drawer in drawers:
        for number in range(1, drawer.count + 1):
            for board in drawer.boards:
                owner = owners[board.id] + (f", {number} of {drawer.count}" if drawer.count > 1 else "")
                yield _label(board, marks[board.piece], owner)


def _label(board: Board, mark: str, owner: str) -> Drawing:
    """Return a label as it lies on the outside face, its lower edge along the reference edge."""
    drawing, role, middle = Drawing([]), board.piece.role, _WIDE_MM / 2
    drawing.box((0.0, 0.0), (_WIDE_MM, _HIGH_MM), "thin")
    for x in (middle - 0.55 * _TRIANGLE_MM, middle + 0.55 * _TRIANGLE_MM):
        corners = [(x, 0.6), (x - _TRIANGLE_MM / 2, 0.6 + _TRIANGLE_MM), (x + _TRIANGLE_MM / 2, 0.6 + _TRIANGLE_MM)]
        drawing.area(corners, 0.0)
    ends = ("front", "rear") if "side" in role else ("left", "right")
    if determinant(board.to_drawer) > 0:  # who looks at the outside face has u = 0 at the right
        ends = ends[::-1]
    for end, x in zip(ends, (_SIDE_MM, _WIDE_MM - _SIDE_MM), strict=True):
        drawing.words(f"{end} end", x, _HIGH_MM / 2, 3.0, upright=True)
    sizes = " x ".join(figure(size) for size in board.piece.size_mm)
    start = 2 * _SIDE_MM
    drawing.words_within(_ROOM_MM, mark, start, _HIGH_MM - 7.0, 6.5, pen="heavy")
    drawing.words_within(_ROOM_MM, owner, start, _HIGH_MM - 15.5, 4.0)
    drawing.words_within(_ROOM_MM, f"{role}, {sizes}, outside face", start, _HIGH_MM - 22.5, 2.4)
    edge = "front edge" if role == "bottom" else "bottom edge"
    drawing.words("reference edge", middle - 2 * _TRIANGLE_MM, 2.6, 2.2, "end")
    drawing.words(edge, middle + 2 * _TRIANGLE_MM, 2.6, 2.2, "start")
    return drawing
