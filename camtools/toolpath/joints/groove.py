"""The work of the groove that holds the bottom."""

from __future__ import annotations

from camtools.drawer.boards import Piece
from camtools.toolpath.grooves import groove_cut
from camtools.toolpath.holds import END_GROOVE
from camtools.toolpath.works import Work

__all__ = ["works"]


def works(piece: Piece) -> list[Work]:
    """Return what the groove needs on a piece."""
    groove = piece.groove
    if groove is None:
        return []
    return [Work(END_GROOVE, "groove", lambda s, c: (groove_cut(groove, piece.size_mm[0], s, c),))]
