"""Guide bushes: the ring under a router's base that follows a comb while the cutter turns inside it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from camtools.faults import CannotCut, Fault
from camtools.job.job import Cutter, TemplateWish
from camtools.wording import MM_PER_INCH, mm

__all__ = ["COMMON_BUSHES_MM", "ROOM_MM", "Bush", "bush_for"]

# Outside diameters on the market, in mm and in inches.
COMMON_BUSHES_MM = tuple(
    sorted([10.0, 12.0, 16.0, 17.0, 20.0, 24.0, 27.0, 30.0, 40.0, *(round(MM_PER_INCH * n / 16, 2) for n in (5, 6, 7, 8, 10, 12, 16))])
)
ROOM_MM = 1.0  # between bore and cutter on each side (docs/sources.md section 10: from memory, "about 1 mm")


@dataclass(frozen=True, slots=True)
class Bush:
    """A guide bush on a comb of some thickness; the bush is no longer than the comb is thick."""

    diameter_mm: float  # outside
    wall_mm: float
    comb_mm: float

    @property
    def bore_mm(self) -> float:
        return self.diameter_mm - 2 * self.wall_mm

    def needed_bore_mm(self, cutter: Cutter, depth_mm: float) -> float:
        """Return the bore that lets a cutter turn freely whose tip stands ``depth_mm`` below the comb."""
        inside = 0.0
        if depth_mm < cutter.cutting_length_mm:
            inside = 2 * cutter.radius_at(depth_mm)
        if depth_mm + self.comb_mm > cutter.cutting_length_mm:
            inside = max(inside, cutter.shank_mm)
        return inside + 2 * ROOM_MM

    def clear(self, cutter: Cutter, depth_mm: float, where: str) -> None:
        """Raise CannotCut where the cutter does not turn freely in the bush."""
        bore, needed = self.bore_mm, self.needed_bore_mm(cutter, depth_mm)
        if bore < needed - 1e-9:
            problem = f"the cutter number {cutter.number} does not turn freely in the bush"
            limit = f"a bore of at least {mm(needed)}, so a bush of {mm(needed + 2 * self.wall_mm)}"
            raise CannotCut(Fault(where, problem, f"a bush of {mm(self.diameter_mm)}, bore {mm(bore)}", limit))


def bush_for(cutter: Cutter, depths_mm: Iterable[float], wish: TemplateWish) -> Bush:
    """Return the smallest bush of those asked for, or of the common ones, in which the cutter turns freely at all these depths.

    Where none is large enough the largest is returned; ``Bush.clear`` then tells what is needed.
    """
    bushes = [Bush(size, wish.bush_wall_mm, wish.comb_mm) for size in sorted(wish.bushes_mm or COMMON_BUSHES_MM)]
    needed = max(bushes[0].needed_bore_mm(cutter, depth) for depth in depths_mm)
    return next((bush for bush in bushes if bush.bore_mm >= needed - 1e-9), bushes[-1])
