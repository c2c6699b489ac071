"""What is to be done on a piece, and where: one function a joint, registered in one line."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from camtools.drawer.boards import Piece
from camtools.toolpath.grooves import groove_cut
from camtools.toolpath.holds import END_GROOVE
from camtools.toolpath.moves import Cut
from camtools.toolpath.pins import pins_cut
from camtools.toolpath.sockets import rough_sockets_cut, sockets_cut
from camtools.toolpath.tails import rough_tails_cut, tails_cut

__all__ = ["JOINTS", "Work", "works_of"]


@dataclass(frozen=True, slots=True)
class Work:
    """One setup's work on a piece.

    ``cuts`` is called with the stop, "left" or "right", and the clearance height in mm; a cut that is not needed is None.
    """

    end: str
    what: str
    cuts: Callable[[str, float], Sequence[Cut | None]]


def _half_blind(piece: Piece) -> list[Work]:
    joint = piece.half_blind
    if joint is None:
        return []
    if "side" in piece.role:
        return [Work("front end", "tails", lambda s, c: (rough_tails_cut(joint, s, c), tails_cut(joint, s, c)))]
    return [
        Work(end, "sockets", lambda s, c: (rough_sockets_cut(joint, s, c), sockets_cut(joint, s, c)))
        for end in ("left end", "right end")
    ]


def _through(piece: Piece) -> list[Work]:
    joint = piece.through
    if joint is None:
        return []
    if "side" in piece.role:
        return [Work("rear end", "tails", lambda s, c: (rough_tails_cut(joint, s, c), tails_cut(joint, s, c)))]
    return [Work(end, "pins", lambda s, c: (pins_cut(joint, s, c),)) for end in ("left end", "right end")]


def _groove(piece: Piece) -> list[Work]:
    groove = piece.groove
    if groove is None:
        return []
    return [Work(END_GROOVE, "groove", lambda s, c: (groove_cut(groove, piece.size_mm[0], s, c),))]


# A joint is added here: a function from a piece to the works that it needs.
JOINTS: tuple[Callable[[Piece], list[Work]], ...] = (
    _half_blind,
    _through,
    _groove,
)


def works_of(piece: Piece) -> list[Work]:
    """Return all that is to be done on a piece, joint by joint."""
    return [work for joint in JOINTS for work in joint(piece)]
