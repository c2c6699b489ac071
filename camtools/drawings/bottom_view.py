"""The bottom from above: its outline with trimmed corners, every corner measured from the reference edges."""

from __future__ import annotations

from camtools.drawer.boards import Board
from camtools.drawings.board_views import below, ordinates, titled
from camtools.drawings.icons import plan_icon
from camtools.drawings.sheet import Drawing

__all__ = ["bottom_view"]


def bottom_view(board: Board, scale: float) -> Drawing:
    """Return the bottom, its front edge down."""
    length, width, _ = board.piece.size_mm
    outline = board.piece.outline or ((0.0, 0.0), (length, 0.0), (length, width), (0.0, width))
    drawing = Drawing([], scale)
    base = min(v for _, v in outline)
    front = [(u, v) for u, v in outline if v - base < 1e-6]
    drawing.line([(min(u for u, _ in front), base), (max(u for u, _ in front), base)], "reference")
    for here, there in zip(outline, (*outline[1:], outline[0]), strict=True):
        if here[1] - base > 1e-6 or there[1] - base > 1e-6:
            drawing.line([here, there], "outline")
    ordinates(drawing, sorted({round(v, 6) for _, v in outline}), 0.0, "left")
    us = sorted({round(u, 6) for u, _ in outline})
    below(drawing, us, us, 0.0)
    drawing.words("front edge", length / 2 * scale, 4.0, 2.4)
    drawing.words("rear edge", length / 2 * scale, width * scale - 4.0, 2.4)
    return titled(drawing, "BOTTOM FROM ABOVE", plan_icon("bottom", "above"))
