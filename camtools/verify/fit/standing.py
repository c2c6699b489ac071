"""How the boards of a drawer stand to one another: where their ends stand out and how high they reach, worked out from their sizes."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from camtools.output.manifest import BoardEntry, JointLimits, Triple
from camtools.verify.written import WrittenDrawer

__all__ = ["Standing", "lifted_mm", "standing_of"]


@dataclass(frozen=True, slots=True)
class Standing:
    """By part: how far ends stand out, of front and back beyond the sides, of sides beyond the back; and how high boards reach."""

    proud_mm: Mapping[str, float]
    top_mm: Mapping[str, float]


def lifted_mm(board: BoardEntry) -> float:
    """Return how high a board's lower edge lies in the drawer."""
    return board.to_drawer[2][3]


def standing_of(parts: Mapping[str, BoardEntry], outside: Triple, limits: JointLimits, wish: WrittenDrawer | None) -> Standing:
    """Return how boards stand: as chosen, or, where they were measured, as their own sizes have it.

    Parameters
    ----------
    parts
        Boards of the drawer.
    outside
        Its width, depth and height.
    limits, wish
        How it is to fit, and what is written of it.
    """
    wide, deep, high = outside
    if wish is None or wish.measured is None:
        proud = {"front": 0.0, "back": limits.proud, "left": limits.proud, "right": limits.proud}
        return Standing(proud, dict.fromkeys(proud, high))
    proud = {part: (parts[part].size[0] - wide) / 2 for part in ("front", "back")}
    proud |= {part: limits.lap + parts[part].size[0] - deep for part in ("left", "right")}
    return Standing(proud, {part: parts[part].size[1] + lifted_mm(parts[part]) for part in proud})
