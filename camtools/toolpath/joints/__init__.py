"""Joints. A joint is one file beside this one, with a function ``works``, and one line in ``JOINTS``."""

from __future__ import annotations

from collections.abc import Callable
from importlib import import_module

from camtools.drawer.boards import Piece
from camtools.toolpath.works import Work

__all__ = ["JOINTS", "works_of"]

JOINTS = (
    "half_blind",
    "through",
    "groove",
)

_WORKS: tuple[Callable[[Piece], list[Work]], ...] = tuple(import_module(f"{__name__}.{name}").works for name in JOINTS)


def works_of(piece: Piece) -> dict[str, list[Work]]:
    """Return all that is to be done on a piece, by the end it is done at; what is done at one end is done in one setup."""
    by_end: dict[str, list[Work]] = {}
    for works in _WORKS:
        for work in works(piece):
            by_end.setdefault(work.end, []).append(work)
    return by_end
