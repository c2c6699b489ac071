"""Guide bushes: the ring under a router's base that follows a comb while the cutter turns inside it."""

from __future__ import annotations

from dataclasses import dataclass

from camtools.faults import CannotCut, Fault
from camtools.geometry.dovetail import radius_at
from camtools.geometry.wishes import COMMON_BUSHES_MM, TemplateWishes
from camtools.job.piece import Cutter

__all__ = ["ROOM_MM", "Bush", "bush_for", "offset_mm"]

ROOM_MM = 1.0  # between bore and cutter on each side (facts, cutting.md section 5: from memory, "about 1 mm")


def offset_mm(bush_mm: float, cutter_mm: float) -> float:
    """Distance from a comb's edge to the cut: (bush - cutter)/2 (facts, cutting.md section 5; four trade sources agree)."""
    return (bush_mm - cutter_mm) / 2


@dataclass(frozen=True, slots=True)
class Bush:
    """A guide bush on a comb of some thickness; the bush is no longer than the comb is thick."""

    diameter_mm: float  # outside
    wall_mm: float
    comb_mm: float

    def needed_bore_mm(self, cutter: Cutter, depth_mm: float) -> float:
        """Return the bore that lets a cutter turn freely whose tip stands ``depth_mm`` below the comb."""
        inside = 0.0
        if depth_mm < cutter.cutting_length_mm:
            inside = 2 * radius_at(cutter, depth_mm)
        if depth_mm + self.comb_mm > cutter.cutting_length_mm:
            inside = max(inside, cutter.shank_mm)
        return inside + 2 * ROOM_MM

    def clear(self, cutter: Cutter, depth_mm: float, where: str) -> None:
        """Raise CannotCut where the cutter does not turn freely in the bush."""
        bore, needed = self.diameter_mm - 2 * self.wall_mm, self.needed_bore_mm(cutter, depth_mm)
        if bore < needed - 1e-9:
            raise CannotCut(
                Fault(
                    where,
                    f"the cutter number {cutter.number} does not turn freely in the bush",
                    f"{self.diameter_mm:g} mm bush, bore {bore:g} mm",
                    f"a bore of at least {needed:.2f} mm, so a bush of {needed + 2 * self.wall_mm:.2f} mm",
                    "take a larger bush, or a cutter with a thinner shank",
                )
            )


def bush_for(cutter: Cutter, depth_mm: float, wishes: TemplateWishes) -> Bush:
    """Return the bush asked for, or the smallest common one that the cutter turns freely in."""
    for diameter in COMMON_BUSHES_MM if wishes.bush_mm is None else (wishes.bush_mm,):
        bush = Bush(diameter, wishes.bush_wall_mm, wishes.comb_mm)
        if diameter - 2 * wishes.bush_wall_mm >= bush.needed_bore_mm(cutter, depth_mm) - 1e-9:
            break
    return bush
