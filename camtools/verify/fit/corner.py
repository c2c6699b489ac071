"""The four corners of a drawer, all seen alike.

In a corner's frame ``x`` runs inwards from the side's outside face, ``y`` inwards from the outside face of front or back, and
``z`` up: every corner looks like the front left one.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from manifold3d import Manifold

from camtools.output.manifest import Triple

__all__ = ["CORNERS", "Corner", "called", "joint_worked"]

_MARGIN_MM = 12.0  # of boards that is looked at around a corner


@dataclass(frozen=True, slots=True)
class Corner:
    """Where two boards meet: the tail board is the side, the pin board front or back."""

    name: str
    tail_part: Literal["left", "right"]
    pin_part: Literal["front", "back"]

    @property
    def joint(self) -> str:
        """Its joint, as faults name it."""
        return f"{self.name} joint"

    @property
    def half_blind(self) -> bool:
        return self.pin_part == "front"

    def _signs(self) -> tuple[float, float]:
        return (1.0 if self.tail_part == "left" else -1.0), (1.0 if self.pin_part == "front" else -1.0)

    def into(self, solid: Manifold, outside: Triple) -> Manifold:
        """Bring a solid from the drawer's frame into the corner's."""
        sx, sy = self._signs()
        x0, y0 = (0.0 if sx > 0 else outside[0]), (0.0 if sy > 0 else outside[1])
        return solid.transform(((sx, 0.0, 0.0, x0), (0.0, sy, 0.0, y0), (0.0, 0.0, 1.0, 0.0)))

    def out(self, place: Triple, outside: Triple) -> Triple:
        """Bring a place from the corner's frame back into the drawer's."""
        sx, sy = self._signs()
        x, y, z = place
        return (x if sx > 0 else outside[0] - x), (y if sy > 0 else outside[1] - y), z

    def near(self, solid: Manifold, tail_mm: float, pin_mm: float) -> Manifold:
        """Cut away what lies far from the joint of boards of these thicknesses, in the corner's frame."""
        near_x = solid.trim_by_plane((-1.0, 0.0, 0.0), -(tail_mm + _MARGIN_MM))
        return near_x.trim_by_plane((0.0, -1.0, 0.0), -(pin_mm + _MARGIN_MM))


def called(part: str) -> str:
    """Return what a part of a drawer is called."""
    return f"{part} side" if part in ("left", "right") else part


def joint_worked(part: str, end: str) -> str:
    """Return which joint of a drawer is worked at an end of a part, as faults name it, or its groove."""
    if end == "groove":
        return f"groove in the {called(part)}"
    if part in ("left", "right"):
        return f"{'front' if end == 'u=0' else 'back'} {part} joint"
    return f"{part} {'left' if end == 'u=0' else 'right'} joint"


CORNERS = (
    Corner("front left", "left", "front"),
    Corner("front right", "right", "front"),
    Corner("back left", "left", "back"),
    Corner("back right", "right", "back"),
)
