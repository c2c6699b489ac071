"""Can a board be pushed home along a straight way?

Seen along the way, nothing of the standing board may lie where wood of the moving one has to pass: the section of the standing
board at any depth must be clear of every section of the moving one that starts further in. That holds for every position on
the way at once, not only for some of them.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from manifold3d import CrossSection, JoinType, Manifold

from camtools.verify.fit.plane_sections import place_of, region_of, slice_of, widest

__all__ = ["STEP_MM", "Blocked", "blocked_by", "depths_between"]

STEP_MM = 0.5  # between sections
_SLACK_MM = 0.01  # of overlap that is no obstacle


@dataclass(frozen=True, slots=True)
class Blocked:
    """How wide the wood in the way is, seen along the way, and where it stands; 0 where the way is free."""

    width_mm: float
    place: tuple[float, float, float]


FREE = Blocked(0.0, (0.0, 0.0, 0.0))


def depths_between(low: float, high: float, step: float = STEP_MM) -> list[float]:
    """Return places between two planes for sections, none of them on the planes."""
    count = max(2, round((high - low) / step))
    return [low + (high - low) * (i + 0.5) / count for i in range(count)]


def blocked_by(mover: Manifold, obstacle: Manifold, axis: str, depths: Sequence[float]) -> Blocked:
    """Tell what stands in the way of a board that comes from the low end of an axis.

    Parameters
    ----------
    mover, obstacle
        Both boards at home.
    depths
        Places along the axis at which both are cut, ascending.
    """
    ahead = CrossSection()  # wood of the mover that has to pass a depth: all that ends further in
    worst = FREE
    for depth in reversed(depths):
        standing = slice_of(obstacle, axis, depth)
        common = standing ^ ahead
        if not common.offset(-_SLACK_MM / 2, JoinType.Miter).is_empty():
            width, spot = widest(region_of(common.to_polygons()))
            if width > worst.width_mm:
                worst = Blocked(width, place_of(axis, depth, spot))
        ahead = (ahead + slice_of(mover, axis, depth)).simplify(_SLACK_MM / 50)
    return worst
