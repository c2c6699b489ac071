"""The through joint's work: tails on the sides, pins on the back."""

from __future__ import annotations

from camtools.drawer.boards import Piece
from camtools.toolpath.pins import pins_cut
from camtools.toolpath.tails import rough_tails_cut, tails_cut
from camtools.toolpath.works import Work

__all__ = ["works"]


def works(piece: Piece) -> list[Work]:
    """Return what this joint needs on a piece."""
    joint = piece.through
    if joint is None:
        return []
    if "side" in piece.role:
        return [Work("rear end", "tails", lambda s, c: (rough_tails_cut(joint, s, c), tails_cut(joint, s, c)))]
    return [Work(end, "pins", lambda s, c: (pins_cut(joint, s, c),)) for end in ("left end", "right end")]
