"""What boards are called, by everyone: pictures, programs, drawings, lists, labels and files.

A board is called by its mark, such as ``left-side-2``, which equal boards share, for the same programs cut them; where one of them is
meant, its drawer is named besides. Its id stands in the packet's data alone, and on boards that were measured one by one.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Protocol

from camtools.drawer.boards import Board, Piece

__all__ = ["marks_of", "owners_of"]


class _Owner(Protocol):
    """A drawer, or a set of trial boards."""

    @property
    def name(self) -> str: ...
    @property
    def boards(self) -> tuple[Board, ...]: ...


def marks_of(owners: Iterable[_Owner]) -> dict[Piece, str]:
    """Give every different piece a short mark, such as ``left-side-2``; equal pieces share it."""
    marks: dict[Piece, str] = {}
    counts: dict[str, int] = {}
    for owner in owners:
        for board in owner.boards:
            if board.piece not in marks:
                role = board.piece.role
                counts[role] = counts.get(role, 0) + 1
                marks[board.piece] = board.id if board.piece.trial else f"{role.replace(' ', '-')}-{counts[role]}"
    return marks


def owners_of(owners: Iterable[_Owner]) -> dict[str, str]:
    """Return what each board belongs to, by its id; with what was pencilled on it where it was measured."""
    return {board.id: f"{owner.name} ({board.id})" if board.planned_mm else owner.name for owner in owners for board in owner.boards}
