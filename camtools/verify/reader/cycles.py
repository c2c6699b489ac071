"""Canned drilling cycles, move by move. NISTIR 6556 section 3.5.16, p. 30-36."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from camtools.verify.reader.motion import Point

__all__ = ["Hole", "hole_moves"]

_PECK_GAP_MM = 0.254  # G83 returns by rapid to this height above the last depth; 0.010 inch in the published source


@dataclass(frozen=True, slots=True)
class Hole:
    """One hole: where, and the heights of the cycle."""

    x: float
    y: float
    bottom: float
    retract: float  # the R plane
    clear: float  # where the cycle ends
    peck: float  # 0 where the cycle does not peck


def hole_moves(code: int, hole: Hole, height: float) -> Iterator[tuple[bool, Point]]:
    """Yield ``(cutting, end)`` for a G81, G82, G83, G85 or G89 that starts at ``height``."""
    x, y = hole.x, hole.y
    yield False, (x, y, height)
    if height != hole.retract:
        yield False, (x, y, hole.retract)
    depth = hole.retract - hole.peck
    while code == 830 and depth > hole.bottom:
        yield True, (x, y, depth)
        yield False, (x, y, hole.retract)
        yield False, (x, y, min(hole.retract, depth + _PECK_GAP_MM))
        depth -= hole.peck
    yield True, (x, y, hole.bottom)
    yield code in (850, 890), (x, y, hole.clear)
