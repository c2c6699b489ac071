"""What each joint needs on a piece, end by end.

A joint is a function in ``JOINTS`` from a piece to its work; holds, order, programs, pictures and the check follow.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from itertools import pairwise

from camtools.drawer.boards import HalfBlind, Piece, TailedJoint, Through
from camtools.toolpath.corner_cuts import corners_cut
from camtools.toolpath.groove_cuts import groove_cut
from camtools.toolpath.moves import Work
from camtools.toolpath.pins import pins_cut
from camtools.toolpath.sockets import rough_sockets_cut, sockets_cut
from camtools.toolpath.tails import flat_tails_cut, rough_tails_cut, tails_cut
from camtools.toolpath.trial.nicks import nicks_cut
from camtools.toolpath.trial.slots import slots_cut
from camtools.toolpath.workholding import END_GROOVE

__all__ = ["JOINTS", "works_of"]


def half_blind(piece: Piece) -> list[Work]:
    """Tails on the front ends of the sides, sockets in both ends of the front."""
    joint = piece.half_blind
    if joint is None:
        return []
    if "side" in piece.role:
        return _tails(joint, "front end")
    right = piece.right if isinstance(piece.right, HalfBlind) else joint
    return [*_sockets(joint, "left end", "sockets"), *(() if piece.trial else _sockets(right, "right end", "sockets"))]


def through(piece: Piece) -> list[Work]:
    """Tails on the rear ends of the sides, pins on both ends of the back."""
    joint = piece.through
    if joint is None:
        return []
    if "side" in piece.role:
        return _tails(joint, "rear end")
    right = piece.right if isinstance(piece.right, Through) else joint
    if joint.flat is not None:
        return [*_sockets(joint.laid, "left end", "pins"), *(() if piece.trial else _sockets(right.laid, "right end", "pins"))]
    ends = [("left end", joint), *(() if piece.trial else (("right end", right),))]
    return [Work(end, "pins", partial(pins_cut, own), partings_mm=_pins(own, own.raise_mm)) for end, own in ends]


def _pins(joint: TailedJoint, lift_mm: float = 0.0) -> tuple[float, ...]:
    """Return the middles of the pins between sockets, from the reference edge of their board, which stands so much higher."""
    return tuple((one.high_mm + other.low_mm) / 2 - lift_mm for one, other in pairwise(joint.tails))


def _sockets(joint: HalfBlind, end: str, what: str) -> list[Work]:
    return [
        Work(end, "clear waste of sockets", lambda s, c: rough_sockets_cut(joint, s, c), joint.rough_stock_mm, _pins(joint)),
        Work(end, what, lambda s, c: sockets_cut(joint, s, c), partings_mm=_pins(joint)),
    ]


def _tails(joint: HalfBlind | Through, end: str) -> list[Work]:
    partings = tuple(tail.middle_mm for tail in joint.tails)
    if (flat := joint.flat) is not None:
        return [Work(end, "tails", lambda s, c: flat_tails_cut(joint, flat, s, c), partings_mm=partings)]
    return [
        Work(end, "clear waste of tails", lambda s, c: rough_tails_cut(joint, s, c), joint.rough_stock_mm, partings),
        Work(end, "tails", lambda s, c: tails_cut(joint, s, c), partings_mm=partings),
    ]


def groove(piece: Piece) -> list[Work]:
    """The groove that holds the bottom."""
    cut = piece.groove
    return [] if cut is None else [Work(END_GROOVE, "groove", lambda s, c: groove_cut(cut, piece.size_mm[0], s, c))]


def bottom_corners(piece: Piece) -> list[Work]:
    """The corners of the bottom, cut back to clear the ends of the grooves."""
    corners = piece.corners
    if corners is None:
        return []
    cut, middle = partial(corners_cut, corners, piece.size_mm), (piece.size_mm[1] / 2,)
    return [Work(end, "corners", cut, partings_mm=middle) for end in ("left end", "right end")]


def trial(piece: Piece) -> list[Work]:
    """The nicks that count the steps of a trial, and the slots that its cutters are measured by."""
    joint, cuts = piece.half_blind or piece.through, piece.trial
    if joint is None or cuts is None or not cuts.nicks:
        return []
    between = tuple((one.middle_mm + other.middle_mm) / 2 for one, other in pairwise(cuts.slots))
    by_cutter = {slot.cutter: [other for other in cuts.slots if other.cutter == slot.cutter] for slot in cuts.slots}
    return [
        Work("left end", "nicks", lambda s, c: nicks_cut(joint, cuts.nicks, s, c), partings_mm=_pins(joint)),
        *(Work("right end", "slots", partial(slots_cut, own), partings_mm=between) for own in by_cutter.values()),
    ]


JOINTS: tuple[Callable[[Piece], list[Work]], ...] = (
    half_blind,
    through,
    groove,
    bottom_corners,
    trial,
)


def works_of(piece: Piece) -> dict[str, list[Work]]:
    """Return all that is to be done on a piece, in order, by the end it is done at; what is done at one end is done in one setup."""
    by_end: dict[str, list[Work]] = {}
    for joint in JOINTS:
        for work in joint(piece):
            by_end.setdefault(work.end, []).append(work)
    return by_end
