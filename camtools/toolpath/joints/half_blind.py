"""The half-blind joint's work: tails on the sides, sockets in the front."""

from __future__ import annotations

from camtools.drawer.boards import Piece
from camtools.toolpath.sockets import rough_sockets_cut, sockets_cut
from camtools.toolpath.tails import rough_tails_cut, tails_cut
from camtools.toolpath.works import Work

__all__ = ["works"]


def works(piece: Piece) -> list[Work]:
    """Return what this joint needs on a piece."""
    joint = piece.half_blind
    if joint is None:
        return []
    if "side" in piece.role:
        return [Work("front end", "tails", lambda s, c: (rough_tails_cut(joint, s, c), tails_cut(joint, s, c)))]
    return [
        Work(end, "sockets", lambda s, c: (rough_sockets_cut(joint, s, c), sockets_cut(joint, s, c))) for end in ("left end", "right end")
    ]
